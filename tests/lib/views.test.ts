import { describe, expect, it } from 'vitest';
import { finish, interpolated, type Steps } from '../../src/lib/index.ts';
import { specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';
import { keptViews, readList, type LossSettings } from '../../src/widgets/views/lost.ts';
import { views, type ViewsResult, type ViewsState } from '../../src/widgets/views/model.ts';
import { askRules } from '../../src/widgets/views/rules.ts';

const show = (change: Partial<ViewsState> = {}, subject: Specimen = specimen('capsule')) => finish(views.compute({ ...views.initial, ...change }, subject) as Steps<ViewsResult>);
const loss = (change: Partial<LossSettings>): LossSettings => ({ lost: 'none', first: 1, count: 3, apart: 4, list: '', ...change });
const lostOf = (count: number, settings: Partial<LossSettings>) => {
  const kept = new Set(keptViews(count, loss(settings)));
  return Array.from({ length: count }, (_, k) => k + 1).filter((number) => !kept.has(number - 1));
};

describe('keptViews(views, settings)', () => {
  it('loses what it is told, counted from 1', () => {
    expect(lostOf(12, { lost: 'none' })).toEqual([]);
    expect(lostOf(12, { lost: 'every', first: 2, apart: 4 })).toEqual([2, 6, 10]);
    expect(lostOf(12, { lost: 'block', first: 11, count: 4 })).toEqual([11, 12]);
    expect(lostOf(12, { lost: 'list', list: '3, 10–12' })).toEqual([3, 10, 11, 12]);
    expect(lostOf(40, { lost: 'scattered', count: 9 })).toHaveLength(9);
  });
  it('loses the same views here and there each time', () => expect(lostOf(40, { lost: 'scattered', count: 9 })).toEqual(lostOf(40, { lost: 'scattered', count: 9 })));
  it('keeps one view where none would be left', () => expect(keptViews(3, loss({ lost: 'list', list: '1-3' }))).toEqual([0]));
});

describe('readList(text)', () => {
  it('says in a sentence what is no view', () => {
    expect(() => readList('3, x')).toThrow('“x” is not a view: write numbers and ranges from 1, such as 3, 10-14.');
    expect(() => readList('0')).toThrow('count from 1');
    expect(() => readList('9-4')).toThrow('lower number first');
  });
});

describe('askRules(diameter, period, directions)', () => {
  it('gives the numbers of the published rules: H1 to H4 for 100 mm on cells of 0.5 mm', () => {
    const needed = askRules(100, 1, 315).map((rule) => rule.needed);
    expect(needed.slice(0, 3)).toEqual([315, 315, 629]); // H1, H2, H3
    expect(Math.abs(needed[3] - 314)).toBeLessThanOrEqual(2); // H4: rays, not cells, so one less
    expect(needed[4]).toBe(629); // H5 for a fan of no width: twice as many over twice the angle
  });
  it('keeps a detail of its own kind when it is given the directions that it asks for', () => {
    const [period, cell, pixel, , fan] = askRules(100, 1, 100 * Math.PI);
    expect(period.kept).toBeCloseTo(1, 9);
    expect(cell.kept).toBeCloseTo(0.5, 9);
    expect(pixel.kept).toBeCloseTo(1, 9);
    expect(fan.kept).toBeCloseTo(1, 9);
  });
});

describe('the plate views', () => {
  it('counts directions over a whole turn: as many as views when odd, half when even (H8)', () => {
    expect(show({ views: 45, turn: 360 }).directions).toBe(45);
    expect(show({ views: 44, turn: 360 }).directions).toBe(22);
    expect(show({ views: 90, turn: 360 }).directions).toBe(45);
    expect(show({ views: 45, turn: 180 }).directions).toBe(45);
  });

  it('gives the same picture for 45 views over half a turn, 45 over a whole turn and 90 over a whole turn: the same directions', () => {
    const [half, odd, even] = [show({ views: 45 }), show({ views: 45, turn: 360 }), show({ views: 90, turn: 360 })].map(({ picture }) => picture.data);
    const apart = (a: Float32Array, b: Float32Array) => Math.max(...a.map((value, i) => Math.abs(value - b[i])));
    expect(apart(half, odd)).toBeLessThan(1e-5);
    expect(apart(half, even)).toBeLessThan(1e-5);
  });

  it('errs less with 90 views than with 45, for every specimen', () => {
    for (const id of ['capsule', 'bead', 'head'] as const) {
      const { error, secondError } = show({ views: 45, second: 90 }, specimen(id));
      expect(secondError!, id).toBeLessThan(0.8 * error);
    }
  });

  it('leaves the picture of a bead clean inside the marked circle and starred outside it', () => {
    const bead = specimen('bead');
    // With the ramp stopped at half the Nyquist frequency, interpolation between cells adds next to nothing above it.
    const { picture, clean } = show({ views: 16, cutoff: 50 }, bead);
    const shape = bead.phantom![0];
    const swing = (radius: number) => {
      const values = Array.from({ length: 720 }, (_, k) => interpolated(picture, shape.x + radius * Math.cos((k * Math.PI) / 360), shape.y + radius * Math.sin((k * Math.PI) / 360)));
      return Math.max(...values) - Math.min(...values);
    };
    expect(clean).toBeCloseTo((4 * picture.pixelSize * 16) / Math.PI, 6);
    expect(swing(1.1 * clean)).toBeGreaterThan(3 * swing(0.8 * clean));
  });

  it('keeps the scale when every fourth view is lost, with shares and with equal weights', () => {
    const mean = ({ picture }: ViewsResult) => picture.data.reduce((sum, value) => sum + value, 0) / picture.data.length;
    const whole = mean(show({ views: 180, lost: 'none' }, specimen('head')));
    for (const weights of ['share', 'equal'] as const) expect(mean(show({ views: 180, lost: 'every', apart: 4, weights }, specimen('head')))).toBeCloseTo(whole, 3);
  });

  it('loses more to a block than to the same number of views here and there', () => {
    const block = show({ views: 180, lost: 'block', count: 45 });
    const scattered = show({ views: 180, lost: 'scattered', count: 45 });
    expect(block.kept.length).toBe(scattered.kept.length);
    expect(block.error).toBeGreaterThan(1.5 * scattered.error);
    expect((block.gap * 180) / Math.PI).toBeCloseTo(46, 6);
  });

  it('does not let two views shout for a whole block: shares of three steps at most err less', () => {
    const lose = (weights: ViewsState['weights']) => show({ views: 180, lost: 'block', count: 45, weights }).error;
    expect(lose('capped')).toBeLessThan(lose('equal'));
    expect(lose('equal')).toBeLessThan(lose('share'));
  });

  it('shows the difference as the picture less the object', () => {
    const { picture, beside } = show({ beside: 'difference' });
    const truth = show({ beside: 'truth' }).beside;
    expect(beside.data[8000]).toBeCloseTo(picture.data[8000] - truth.data[8000], 7);
  });

  it('says how far streaks stay away and what the rule asks for', () => {
    const state = { ...views.initial, views: 45 };
    const words = views.describe(state, show(state), specimen('capsule'));
    expect(words).toMatch(/45 views over 180° look in 45 different directions, 4° apart/);
    expect(words).toMatch(/Streaks begin 17\.9 mm/); // 2·45·0.625/π
  });
});
