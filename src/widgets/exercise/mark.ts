/** Marks an answer. The same code marks in the page and in the tests. */
import { readAnswer } from './read-answer.ts';
import type { ExerciseDefinition } from './definition.ts';

/** What marking needs of an exercise, small enough to travel in the page. */
export interface Marking extends Pick<ExerciseDefinition, 'answer' | 'unit' | 'tolerance'> {
  /** The values of the usual wrong answers; a mark names one by its place. */
  readonly wrong: readonly number[];
}

export type Mark =
  | { readonly verdict: 'right' }
  /** One of the usual mistakes: wrong[mistake] has the words for it. */
  | { readonly verdict: 'mistake'; readonly mistake: number }
  | { readonly verdict: 'power of ten' | 'sign' | 'wrong' | 'unreadable' | 'empty' };

export function markAnswer(exercise: Marking, text: string): Mark {
  if (text.trim() === '') return { verdict: 'empty' };
  const value = readAnswer(text, exercise.unit);
  if (value === undefined) return { verdict: 'unreadable' };
  const near = (target: number) => Math.abs(value - target) <= exercise.tolerance * (Math.abs(target) || 1) * (1 + 1e-9);
  if (near(exercise.answer)) return { verdict: 'right' };
  const mistake = exercise.wrong.findIndex(near);
  if (mistake >= 0) return { verdict: 'mistake', mistake };
  if (near(-exercise.answer)) return { verdict: 'sign' };
  const power = Math.round(Math.log10(Math.abs(value / exercise.answer)));
  if (power !== 0 && Number.isFinite(power) && near(exercise.answer * 10 ** power)) return { verdict: 'power of ten' };
  return { verdict: 'wrong' };
}

/** What the page says of a mark, where the exercise itself has no words for it. */
export const sayings = {
  right: 'Right.',
  sign: 'The size is right, the sign is not.',
  'power of ten': 'The figures are right, the power of ten is not. Look at the units once more.',
  wrong: 'Not yet. The hint below shows a way in.',
  unreadable: 'This cannot be read as a number. Write 0.0042, 4.2e-3 or 0,0042, without separators for thousands.',
  empty: '',
} as const;
