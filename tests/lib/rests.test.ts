import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tubeHeat } from '../../src/lib/index.ts';
import type { Specimen } from '../../src/widgets/frame/definition.ts';
import { longestExposure, longestRest, peakOf, rests, time, type RestsResult, type RestsState } from '../../src/widgets/rests/model.ts';

const show = (change: Partial<RestsState> = {}) => rests.compute({ ...rests.initial, ...change }, {} as Specimen) as RestsResult;
const words = (change: Partial<RestsState> = {}) => rests.describe({ ...rests.initial, ...change }, show(change), {} as Specimen);
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('peakOf(power, seconds, frames, rest, cooling)', () => {
  it('is what tubeHeat finds step by step', () => {
    fc.assert(fc.property(real(1, 1000), real(0.1, 20), fc.integer({ min: 1, max: 300 }), real(0, 120), real(20, 2000), (power, seconds, frames, rest, cooling) => {
      const { peak } = tubeHeat({ power, seconds, frames, rest }, { limit: 1000, coolingTime: cooling });
      expect(Math.abs(peakOf(power, seconds, frames, rest, cooling) / peak - 1)).toBeLessThan(1e-9);
    }), { seed: 20250316 });
  });
});

describe('the plate rests', () => {
  // By hand: a kilovolt times a milliampere is a watt. 80 kV · 2 mA · 4 s · 120 = 76,800 J.
  it('counts the energy of a scan', () => {
    expect(show().heat.energy).toBeCloseTo(76_800, 6);
  });
  // By hand: with no loss to speak of all of the heat stays; without rests the curve is power·τ·(1 − e^(−t/τ)), here 160 W · 400 s · (1 − e^(−480/400)).
  it('heats as one exposure does where there is no rest', () => {
    expect(show({ by: 'own', rest: 0 }).heat.peak).toBeCloseTo(64_000 * (1 - Math.exp(-1.2)), 6);
  });
  // Newton's law of cooling: in the long run as much is lost as comes in, power · duty · τ on average.
  it('comes to rest where losses and power balance', () => {
    const { heat } = show({ by: 'own', rest: 12, frames: 720, seconds: 4, cooling: 100 });
    const middle = (heat.heat[heat.heat.length - 1] + heat.heat[heat.heat.length - 2]) / 2;
    expect(Math.abs(middle / (160 * 0.25 * 100) - 1)).toBeLessThan(0.005);
  });
  it('finds the least rest: no more heat than was to be used, and more with a tenth of a second less', () => {
    const { rest, heat } = show();
    expect(heat.peak).toBeLessThanOrEqual(10_000);
    expect(show({ by: 'own', rest: rest - 0.5 }).heat.peak).toBeGreaterThan(10_000);
    expect(peakOf(160, 4, 120, rest - 0.1, 400)).toBeGreaterThan(10_000);
  });
  it('says why where no rest is enough, and shows the heat all the same', () => {
    const { refused, heat } = show({ seconds: 20, mA: 10 });
    expect(refused).toContain('No rest between exposures is enough');
    expect(heat.share).toBeGreaterThan(1);
    expect(words({ seconds: 20, mA: 10 })).toContain('That is over its limit.');
  });
  it('maps the peak of every rest and length, and draws the edge where the map has it', () => {
    const { map, edge } = show();
    const [column, row] = [20, 10];
    const [rest, seconds] = [(longestRest * (column + 0.5)) / map.width, (longestExposure * (map.height - row - 0.5)) / map.height];
    const { share } = tubeHeat({ power: 160, seconds, frames: 120, rest }, { limit: 20_000, coolingTime: 400 });
    expect(map.data[row * map.width + column]).toBeCloseTo(share, 5);
    edge.rest.forEach((least, k) => { if (least > 0) expect(peakOf(160, edge.seconds[k], 120, least, 400)).toBeCloseTo(10_000, 2); });
    expect(edge.rest.some((least) => least > 0)).toBe(true);
  });
  it('draws the curve through the moments of the plan, exponentials between', () => {
    const { curve, heat } = show();
    expect(Math.max(...curve.kJ)).toBeCloseTo(heat.peak / 1000, 9);
    expect(curve.minutes.at(-1)! * 60).toBeCloseTo(heat.total, 6);
    curve.minutes.slice(1).forEach((minute, k) => expect(minute).toBeGreaterThanOrEqual(curve.minutes[k]));
  });
  it('says the rest, the peak and the time, and that the maker comes first', () => {
    expect(words()).toMatch(/^120 exposures of 4 s at 160 W: 76\.8 kJ in all\. The least rest between them is [\d.]+ s\. The tube comes to 9\.\d+ kJ, [\d.]+ % of its 20 kJ\. The scan takes [\d.]+ min, with the beam on for 8 min of it\. An estimate: the maker’s own charts come first\.$/);
    expect(words({ frames: 1 })).toContain('1 exposure of 4 s');
    expect(words({ by: 'own', rest: 0 })).toContain('No rest is taken between them.');
    expect([90, 600, 9000].map(time)).toEqual(['90 s', '10 min', '2.5 h']);
  });
});
