/** Exercises: what may be typed, how it is marked, and that every exercise of the book marks its own answers as it should. */
import { describe, expect, test } from 'vitest';
import { chaptersWithExercises, exercisesOf, type NumberedExercise } from '../../src/widgets/exercise/all.ts';
import { markAnswer, type Marking } from '../../src/widgets/exercise/mark.ts';
import { readAnswer } from '../../src/widgets/exercise/read-answer.ts';
import { markdown } from '../../src/widgets/text/markdown.ts';

describe('reading an answer', () => {
  test.each<[text: string, unit: string, value: number]>([
    ['0.0042', '', 0.0042], ['1.5e-3', '', 0.0015], ['1,5', 'mm', 1.5], ['1,5e-3', '', 0.0015], [' 12 ', 'mm', 12], ['.5', '', 0.5], ['5.', '', 5],
    ['−3.2', 'mm', -3.2], ['–3.2', 'mm', -3.2], ['+7', '', 7], ['1/3', '', 1 / 3], ['-1/8', '', -0.125], ['12 000', '', 12000], ['12\u202f000', '', 12000],
    ['1.5×10^-3', '', 0.0015], ['1.5 x 10^-3', '', 0.0015], ['1,5 · 10⁻³', '', 0.0015], ['2*10**4', '', 20000],
    ['15 mm', 'mm', 15], ['15mm', 'mm', 15], ['0.02/mm', '1/mm', 0.02], ['0.02 1/mm', '1/mm', 0.02], ['30°', '°', 30],
    ['12 %', '%', 12], ['12', '%', 12], ['12 %', '', 0.12], ['12,5%', '', 0.125],
  ])('“%s” in “%s” is %f', (text, unit, value) => {
    expect(readAnswer(text, unit)).toBeCloseTo(value, 12);
  });

  test.each(['', 'about 3', '1.234,5', '1,234.5', '1,234,567', '3 apples', '1/0', '1/2/3', 'e5', '--3', '1e', '0x10', 'Infinity', 'NaN', '1..2'])('“%s” is no number', (text) => {
    expect(readAnswer(text, 'mm')).toBeUndefined();
  });
});

describe('marking', () => {
  const exercise: Marking = { answer: 4, unit: 'mm', tolerance: 0.01, wrong: [3, -4, 8] };
  test.each<[string, object]>([
    ['4', { verdict: 'right' }], ['4.04', { verdict: 'right' }], ['3.96', { verdict: 'right' }], ['4.05', { verdict: 'wrong' }],
    ['3', { verdict: 'mistake', mistake: 0 }], ['-4', { verdict: 'mistake', mistake: 1 }], ['8', { verdict: 'mistake', mistake: 2 }],
    ['40', { verdict: 'power of ten' }], ['0.004', { verdict: 'power of ten' }], ['5', { verdict: 'wrong' }], ['four', { verdict: 'unreadable' }], ['', { verdict: 'empty' }], ['0', { verdict: 'wrong' }],
  ])('“%s”', (text, mark) => {
    expect(markAnswer(exercise, text)).toEqual(mark);
  });

  test('the sign is pointed out where no usual mistake has it', () => {
    expect(markAnswer({ ...exercise, wrong: [] }, '-4')).toEqual({ verdict: 'sign' });
  });

  test('where the answer is nought, the tolerance is absolute', () => {
    const nought: Marking = { answer: 0, unit: '', tolerance: 0.01, wrong: [1] };
    expect(markAnswer(nought, '0')).toEqual({ verdict: 'right' });
    expect(markAnswer(nought, '0.005')).toEqual({ verdict: 'right' });
    expect(markAnswer(nought, '0.02')).toEqual({ verdict: 'wrong' });
  });
});

const exercises = (await Promise.all(chaptersWithExercises.map(exercisesOf))).flat();

describe.each(exercises.map((exercise) => [`${exercise.chapter}/${exercise.id}`, exercise] as const))('%s', (_, exercise) => {
  const marking: Marking = { ...exercise, wrong: exercise.wrong.map(({ value }) => value) };
  const mark = (value: number) => markAnswer(marking, String(value));

  test('takes its own answer as right, also rounded to where its tolerance reaches', () => {
    expect(mark(exercise.answer)).toEqual({ verdict: 'right' });
    expect(exercise.tolerance).toBeGreaterThan(0);
    expect(exercise.tolerance, 'a tolerance that takes almost anything').toBeLessThanOrEqual(0.1);
    const figures = Math.ceil(-Math.log10(exercise.tolerance)) + 1;
    expect(markAnswer(marking, exercise.answer.toPrecision(figures)), `rounded to ${figures} figures`).toEqual({ verdict: 'right' });
  });

  test('knows each usual mistake by its own words', () => {
    expect(exercise.wrong.length).toBeGreaterThan(0);
    exercise.wrong.forEach(({ value, says }, mistake) => {
      expect(mark(value), `${value}: ${says}`).toEqual({ verdict: 'mistake', mistake });
      expect(says.length).toBeGreaterThan(20);
    });
  });

  test('fails a wrong answer that it does not know', () => {
    const unlisted = [1.37, 0.61, 2.29, 0.173].map((factor) => (exercise.answer || 1) * factor).filter((value) => !exercise.wrong.some((wrong) => near(value, wrong.value, exercise)));
    expect(unlisted.length).toBeGreaterThan(0);
    for (const value of unlisted) expect(mark(value), String(value)).toEqual({ verdict: 'wrong' });
  });

  test('has a question, a hint and a solution that can be set', async () => {
    for (const text of [exercise.prompt, exercise.hint, exercise.solution, ...exercise.wrong.map(({ says }) => says)]) {
      const html = await markdown(text);
      expect(html, text).not.toContain('katex-error');
      expect(html, 'a number that is none').not.toMatch(/NaN|undefined|Infinity/);
      expect(html.replace(/<math[\s\S]*?<\/math>/g, ''), 'a dollar left over').not.toMatch(/\$/);
    }
    expect(exercise.solution.length, 'a solution that shows the way').toBeGreaterThan(40);
  });
});

function near(value: number, target: number, { tolerance }: NumberedExercise): boolean {
  return Math.abs(value - target) <= 2 * tolerance * Math.abs(target);
}
