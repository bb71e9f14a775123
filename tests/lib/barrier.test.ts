import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { doseEstimate } from '../../src/lib/index.ts';
import { barrier, dose, farthest, marks, nearest, question, type BarrierResult, type BarrierState } from '../../src/widgets/barrier/model.ts';
import type { AnyControlOf, Specimen } from '../../src/widgets/frame/definition.ts';
import { clean } from '../../src/widgets/frame/settings.ts';

const show = (change: Partial<BarrierState> = {}) => barrier.compute({ ...barrier.initial, ...change }, {} as Specimen) as BarrierResult;
const words = (state: BarrierState) => barrier.describe(state, barrier.compute(state, {} as Specimen) as BarrierResult, {} as Specimen);
const anyState = fc.record({
  kVp: fc.integer({ min: 30, max: 150 }), mA: fc.double({ min: 0.1, max: 10, noNaN: true }), minutes: fc.integer({ min: 1, max: 1200 }), housing: fc.constantFrom('bare', 'rated'),
  distance: fc.double({ min: nearest, max: farthest, noNaN: true }), material: fc.constantFrom('lead', 'concrete', 'steel', 'wood'), thickness: fc.double({ min: 0, max: 300, noNaN: true }),
}).map((state) => clean(barrier, state) as BarrierState);

describe('the plate barrier', () => {
  // Check value L1: four times the distance, a sixteenth.
  it('falls with the square of the distance', () => {
    const [near, far] = [show({ distance: 2 }), show({ distance: 8 })];
    for (const name of ['low', 'likely', 'high'] as const) expect(near.estimate.perYear[name] / far.estimate.perYear[name]).toBeCloseTo(16, 9);
  });
  // Check value L10: Archer fit of NCRP 147, Table A.1, 100 kVp.
  it.each([[1, 0.00735916], [2, 0.000515832]])('lets through %d mm of lead at 100 kV, likely, what NCRP 147 gives', (thickness, share) => {
    const ratio = show({ kVp: 100, thickness }).estimate.perYear.likely / show({ kVp: 100, thickness: 0 }).estimate.perYear.likely;
    expect(Math.abs(ratio / share - 1)).toBeLessThan(1e-5);
  });
  // Check value L4, NCRP 49: half-value layer of lead at 100 kVp 0.27 mm. The high figure lets through no less.
  it('takes for the high figure no less than the half-value layers let through', () => {
    const ratio = show({ kVp: 100, thickness: 2.7 }).estimate.perYear.high / show({ kVp: 100, thickness: 0 }).estimate.perYear.high;
    expect(ratio).toBeGreaterThanOrEqual(2 ** -10 * (1 - 1e-9));
  });
  // Check value L14: ICRP 103.
  it('marks the limits of ICRP for the whole body', () => {
    expect(marks.map(({ limit }) => limit.milliSievert)).toEqual([1, 20, 50]);
  });
  it('shows in map and curves what the estimate gives at that place', () => {
    fc.assert(fc.property(anyState, fc.nat(47), fc.nat(32), (state, column, row) => {
      const { map, thickest, along, behind } = barrier.compute(state, {} as Specimen) as BarrierResult;
      const at = (change: Partial<BarrierState>) => Math.log10(Math.max(doseEstimate(question({ ...state, ...change })).perYear.high / 1000, 1e-9));
      const [distance, thickness] = [nearest + ((farthest - nearest) * (column + 0.5)) / map.width, (thickest * (map.height - 1 - row)) / (map.height - 1)];
      expect(map.data[row * map.width + column]).toBeCloseTo(at({ distance, thickness }), 5);
      expect(along.high[column]).toBeCloseTo(at({ distance: along.at[column] }), 9);
      expect(behind.high[row]).toBeCloseTo(at({ thickness: behind.at[row] }), 9);
      along.low.forEach((low, k) => expect(low <= along.likely[k] && along.likely[k] <= along.high[k]).toBe(true));
    }), { seed: 20250314, numRuns: 40 });
  });
  it('draws its line where the high figure is 1 mSv a year', () => {
    const { contours } = show();
    const k = contours.high.findIndex((m) => m < 8);
    expect(doseEstimate(question({ ...barrier.initial, distance: contours.high[k], thickness: contours.mm[k] })).perYear.high).toBeCloseTo(1000, 6);
  });
  it('says of steel and wood that no figures stand behind them', () => {
    expect(words({ ...barrier.initial, material: 'steel' })).toContain('no broad-beam figures are known here');
    expect(show({ material: 'steel', thickness: 5 }).estimate.perYear.high).toBe(show({ thickness: 0 }).estimate.perYear.high);
  });
  it('is an estimate in every state, and calls nothing safe', () => {
    fc.assert(fc.property(anyState, (state) => {
      const said = words(state);
      expect(said).toContain('An estimate, and no verdict: measure it.');
      expect(said).not.toMatch(/\bsafe|NaN|undefined|Infinity/i);
    }), { seed: 20250315, numRuns: 60 });
    const labels = Object.values(barrier.controls as Record<string, AnyControlOf<BarrierState>>).flatMap((control) => [control.label, ...(control.kind === 'choice' ? control.options.map(({ label }) => label) : [])]);
    expect([barrier.title, ...labels].join(' ')).not.toMatch(/\bsafe|\bok\b|allowed|fine/i);
  });
});

describe('dose(microSievert)', () => {
  it('takes the unit that reads best', () => {
    expect([0.4567, 83.2, 999, 1200, 2.5e6].map(dose)).toEqual(['0.46 µSv', '83 µSv', '1000 µSv', '1.2 mSv', '2.5 Sv']);
  });
});
