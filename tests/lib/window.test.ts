import { describe, expect, it } from 'vitest';
import { specimen } from '../../src/widgets/specimen/specimen.ts';
import { noisy, windowPlate, type WindowResult } from '../../src/widgets/window/model.ts';

const head = specimen('head');
const result = async (change: Partial<typeof windowPlate.initial>) => (await windowPlate.compute({ ...windowPlate.initial, views: 60, ...change }, head)) as WindowResult;

describe('window plate', () => {
  it('your own formula 1 is the ramp alone, and Hann’s formula is Hann', async () => {
    for (const [formula, window] of [['1', 'ramp'], ['0.5 + 0.5*cos(pi*f/fc)', 'hann']] as const) {
      const [own, named] = [await result({ window: 'own', formula }), await result({ window })];
      expect(Math.max(...own.picture.data.map((value, i) => Math.abs(value - named.picture.data[i]))), formula).toBeLessThan(1e-7);
    }
  });

  it('a formula that cannot be read is one sentence', async () => {
    await expect(result({ window: 'own', formula: 'cos(' })).rejects.toThrow(/formula|window|read/i);
  });

  it('the kernel starts at 1 and is negative beside it for the ramp (check values D1: −4/π² of the middle)', async () => {
    const { kernel } = await result({});
    expect(kernel.value[12]).toBeCloseTo(1, 2);
    expect(kernel.value[13]).toBeCloseTo(-4 / Math.PI ** 2, 2);
    expect(kernel.value[14]).toBeCloseTo(0, 2);
  });

  it('unfiltered is scaled to the mean of the object, and still worse than the ramp', async () => {
    const [none, ramp] = [await result({ window: 'none' }), await result({})];
    expect(none.scale).not.toBe(1);
    expect(none.measures.rmse).toBeGreaterThan(ramp.measures.rmse);
  });

  it('with noise Hann errs less than the ramp, without noise more', async () => {
    const [ramp, hann] = [await result({ noise: 5 }), await result({ noise: 5, window: 'hann' })];
    expect(hann.measures.rmse).toBeLessThan(ramp.measures.rmse);
    const [cleanRamp, cleanHann] = [await result({ views: 180 }), await result({ views: 180, window: 'hann' })];
    expect(cleanHann.measures.rmse).toBeGreaterThan(cleanRamp.measures.rmse);
  });

  it('noise is the same every time and of the size that the control says', () => {
    const shadows = { views: 100, detectors: 100, data: new Float32Array(10_000).fill(2) };
    const [one, other] = [noisy(shadows, 0.05), noisy(shadows, 0.05)];
    expect(Array.from(one.data)).toEqual(Array.from(other.data));
    const mean = one.data.reduce((sum, value) => sum + value, 0) / 10_000;
    const deviation = Math.sqrt(one.data.reduce((sum, value) => sum + (value - mean) ** 2, 0) / 10_000);
    expect(mean).toBeCloseTo(2, 2);
    expect(deviation).toBeCloseTo(0.1, 2);
  });
});
