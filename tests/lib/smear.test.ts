import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { orderOf, smearPlate, type SmearResult } from '../../src/widgets/smear/model.ts';
import { specimen } from '../../src/widgets/specimen/specimen.ts';

const result = (change: Partial<typeof smearPlate.initial>, subject = specimen('bead')) => smearPlate.compute({ ...smearPlate.initial, ...change }, subject) as SmearResult;

describe('smear plate', () => {
  it('either order lays every view once', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 180 }), fc.constantFrom('turn' as const, 'spread' as const), (count, order) => {
      expect([...orderOf(count, order)].sort((a, b) => a - b)).toEqual(Array.from({ length: count }, (_, view) => view));
    }), { numRuns: 40 });
  });

  it('both orders end at the same sum', () => {
    const [one, other] = (['turn', 'spread'] as const).map((order) => result({ count: 40, laid: 40, order }).sum.data);
    expect(Math.max(...one.map((value, i) => Math.abs(value - other[i])))).toBeLessThan(1e-6);
  });

  it('forwards, each view adds what it alone smears, times its share of the half turn', () => {
    const [before, after] = [7, 8].map((laid) => result({ count: 30, laid }));
    const worst = after.sum.data.reduce((most, value, i) => Math.max(most, Math.abs(value - before.sum.data[i] - (Math.PI / 30) * after.single.data[i])), 0);
    expect(worst).toBeLessThan(1e-5);
  });

  it('around a bead the sum of 180 views falls as 1/r, at the height that the bead’s mass gives', () => {
    const { blur } = result({ count: 180, laid: 180 });
    expect(blur!.power, 'the slope that the plate calls the power').toBeGreaterThan(-1.06);
    expect(blur!.power, 'the slope that the plate calls the power').toBeLessThan(-0.94);
    const far = blur!.distance.findIndex((r) => r > 12);
    expect(blur!.measured[far] / blur!.law[far]).toBeCloseTo(1, 1);
  });

  it('an object that is no single disc has a profile and no blur curve', () => {
    const { blur, profile } = result({}, specimen('capsule'));
    expect(blur).toBeUndefined();
    expect(Math.max(...profile.object)).toBeLessThanOrEqual(1);
  });
});
