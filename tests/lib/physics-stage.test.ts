import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { evenViews, requireEvenViews, stageTable, stepAccuracy, type Stage } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const seed = { seed: 20250312 };
const whole = (min: number, max: number) => fc.integer({ min, max });
const anyStage: fc.Arbitrary<Stage> = fc.record({ fullSteps: fc.constantFrom(48, 200, 400), microsteps: fc.constantFrom(1, 2, 8, 16, 32, 256), gear: fc.record({ motor: whole(1, 90), table: whole(1, 20) }) });
const usual: Stage = { fullSteps: 200, microsteps: 16 };
const inTurn = ({ fullSteps, microsteps, gear = { motor: 1, table: 1 } }: Stage) => (fullSteps * microsteps * gear.motor) / gear.table;

describe('stageTable(stage, views, turn)', () => {
  test('no position is off by more than half a microstep, and none is further off late than early', () => {
    fc.assert(fc.property(anyStage, whole(2, 400), fc.constantFrom(180, 200, 203.5, 360), (stage, views, turn) => {
      fc.pre(views <= inTurn(stage) * (turn / 360) - 1);
      const table = stageTable(stage, views, (turn * Math.PI) / 180);
      const half = Math.PI / inTurn(stage);
      expect(table.worst).toBeLessThanOrEqual(half * (1 + 1e-12));
      table.rows.forEach((row, k) => {
        expect(row.frame).toBe(k);
        expect(Number.isInteger(row.position)).toBe(true);
        expect(row.wanted).toBeCloseTo((k * turn * Math.PI) / 180 / views, 9);
        expect(row.reached).toBeCloseTo((row.position * 2 * Math.PI) / inTurn(stage), 9);
        expect(row.error).toBeCloseTo(row.reached - row.wanted, 9);
        if (k > 0) expect(Math.abs(row.position - table.rows[k - 1].position - table.perView), 'moves differ by less than a microstep').toBeLessThan(1);
      });
      expect(table.even).toBe(table.rows.every(({ error }) => error === 0) && Number.isInteger(table.perView));
    }), seed);
  });
  test('a gear of 72 to 17 never makes whole turns of microsteps, and its positions stay within half a one after many turns of the motor', () => {
    const table = stageTable({ fullSteps: 200, microsteps: 16, gear: { motor: 72, table: 17 } }, 360);
    expect(table.rows[359].position).toBe(Math.round((359 * 200 * 16 * 72) / 17 / 360));
    expect(table.worst).toBeLessThanOrEqual(table.microstep / 2);
    expect(table.even).toBe(false);
  });
  test('a half turn of 45 views ends at half the microsteps', () => expect(stageTable(usual, 45, Math.PI).end).toBe(1600));
  test('more views than microsteps are refused with the most that there are', async () => {
    expect(await refusal(() => stageTable({ fullSteps: 200, microsteps: 1 }, 360))).toBe('360 views are more than the stage has places for: this turn has 200 whole microsteps, so take at most 200 views, more microsteps or a gear.');
  });
});

describe('evenViews and requireEvenViews', () => {
  test('what they name divides the microsteps, and nothing nearer does', () => {
    fc.assert(fc.property(fc.constantFrom(200, 3200, 6400, 51_200), whole(2, 200), (steps, views) => {
      const found = evenViews({ fullSteps: steps, microsteps: 1 }, views);
      for (let n = (found.below ?? 0) + 1; n < (found.above ?? steps + 1); n++) expect(steps % n === 0, `${n} views`).toBe(n === views && found.even);
      if (found.below) expect(steps % found.below).toBe(0);
      if (found.above) expect(steps % found.above).toBe(0);
      expect(Math.abs(found.nearest! - views)).toBe(Math.min(found.even ? 0 : Infinity, ...[found.below, found.above].filter((n) => n !== undefined).map((n) => Math.abs(n - views))));
    }), seed);
  });
  test('a number that does not divide is refused with both neighbours', async () => {
    expect(await refusal(() => requireEvenViews(usual, 45))).toBe('45 views do not divide the 3200 microsteps of this turn (71.1111 each): take 40 or 50 views, or have each position rounded by itself.');
    expect(() => requireEvenViews(usual, 50)).not.toThrow();
  });
  test('a gear that leaves no whole number of microsteps is refused as such', async () => {
    expect(await refusal(() => requireEvenViews({ ...usual, gear: { motor: 72, table: 17 } }, 45))).toContain('No number of views falls on whole microsteps');
  });
});

test('stepAccuracy is the same for any microsteps, and a gear divides it', () => {
  expect(stepAccuracy({ fullSteps: 200, microsteps: 256 })).toBeCloseTo(stepAccuracy({ fullSteps: 200, microsteps: 1 }), 15);
  expect(stepAccuracy({ fullSteps: 200, microsteps: 16, gear: { motor: 5, table: 1 } })).toBeCloseTo((0.05 * 2 * Math.PI) / 1000, 15);
});

test.each<[what: string, call: () => unknown, says: string]>([
  ['half a step', () => stageTable({ fullSteps: 200.5, microsteps: 1 }, 4), 'The number of full steps in a turn is 200.5'],
  ['no microsteps', () => stageTable({ fullSteps: 200, microsteps: 0 }, 4), 'The number of microsteps in a full step is 0'],
  ['half a view', () => stageTable(usual, 4.5), 'The number of views is 4.5'],
  ['no turn', () => stageTable(usual, 4, 0), 'The turn is 0'],
  ['a turn that is no number', () => stageTable(usual, 4, NaN), 'The turn is NaN'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));
