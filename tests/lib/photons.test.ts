import { describe, expect, it } from 'vitest';
import type { Specimen } from '../../src/widgets/frame/definition.ts';
import { count, evenly, normally } from '../../src/widgets/photons/draws.ts';
import { discs, photons, size, type PhotonsResult, type PhotonsState } from '../../src/widgets/photons/model.ts';

const show = (change: Partial<PhotonsState> = {}) => photons.compute({ ...photons.initial, ...change }, {} as Specimen) as PhotonsResult;
const moments = (values: ArrayLike<number>) => {
  const list = Array.from(values);
  const mean = list.reduce((sum, value) => sum + value, 0) / list.length;
  return { mean, variance: list.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (list.length - 1) };
};
const quanta = (result: PhotonsResult, name: string) => result.chain.stages.find((stage) => stage.name === name)!.quanta;

describe('draws', () => {
  const many = 40_000;
  it('are spread evenly, and normally', () => {
    const even = moments(evenly(1, many));
    expect(Math.abs(even.mean - 0.5)).toBeLessThan(0.005);
    expect(Math.abs(even.variance * 12 - 1)).toBeLessThan(0.02);
    const normal = moments(normally(2, many));
    expect(Math.abs(normal.mean)).toBeLessThan(0.02);
    expect(Math.abs(normal.variance - 1)).toBeLessThan(0.03);
  });
  // Poisson: the variance of a count is its mean. 40,000 draws tell a variance to 0.7 %.
  it.each([0.3, 2, 12, 29.9, 31, 400, 1e5])('of a count with a mean of %f have that mean and that variance', (mean) => {
    const [u, z] = [evenly(3, many), normally(4, many)];
    const { mean: ours, variance } = moments(Array.from(u, (each, i) => count(mean, each, z[i])));
    expect(Math.abs(ours / mean - 1)).toBeLessThan(5 / Math.sqrt(mean * many));
    expect(Math.abs(variance / mean - 1)).toBeLessThan(0.04);
  });
  it('count 0 with a chance of e⁻ᵐ', () => {
    expect([0.1353, 0.1354].map((u) => count(2, u, 0))).toEqual([0, 1]); // e⁻² = 0.13534
    expect(count(0, 0.9, 1)).toBe(0);
  });
});

describe('the plate photons', () => {
  it.each<[string, Partial<PhotonsState>]>([['as it opens', {}], ['in little light', { mAs: 0.1, patch: 0.02 }], ['behind acrylic', { acrylic: 100 }], ['with a fast lens close up', { fNumber: 0.95, patch: 0.02, mAs: 1 }], ['with a noisy camera', { readNoise: 20, mAs: 0.5 }]])('simulates the noise of the formula %s', (_, change) => {
    // 2048 pixels tell a deviation to 1.6 %.
    const { measured, formula } = show(change);
    expect(Math.abs(measured / formula - 1), `${measured} beside ${formula}`).toBeLessThan(0.05);
  });
  // By hand: 0.85/(1 + (2 · 1.8 · (1 + 0.1/0.004))²), Lambert's screen before a thin lens.
  it('collects the share of the light that the lens sees', () => {
    const result = show();
    expect(quanta(result, 'light collected') / quanta(result, 'light towards the camera')).toBeCloseTo(0.85 / (1 + 93.6 ** 2), 10);
    expect(quanta(result, 'electrons') / quanta(result, 'light collected')).toBeCloseTo(0.5, 12);
  });
  // Check value K7: four times the photons, half the noise; and inverse square, L1: at half the distance four times as many.
  it('has half the noise for four times the photons, however they are come by', () => {
    const still = { readNoise: 0 };
    const { chain } = show({ ...still, mAs: 1 });
    for (const more of [show({ ...still, mAs: 4 }), show({ ...still, mAs: 1, distance: photons.initial.distance / 2 })]) {
      expect(quanta(more, 'X-rays absorbed') / chain.stages[1].quanta).toBeCloseTo(4, 9);
      expect(Math.abs((2 * more.chain.relativeNoise) / chain.relativeNoise - 1)).toBeLessThan(0.001); // what the file's steps make
    }
  });
  it('shows the sink behind the screen with a dim lens, and in the screen with a bright one close up', () => {
    expect(show({ fNumber: 5.6 }).chain.sink).toBe('electrons');
    const bright = show({ fNumber: 0.95, patch: 0.02 });
    expect(bright.chain.sink).toBe('X-rays absorbed');
    expect(bright.parts.xrays).toBeGreaterThan(bright.parts.light);
  });
  it('adds up the square of the noise from its parts, each 0 or more', () => {
    for (const change of [{}, { readNoise: 0 }, { acrylic: 200 }] as const) {
      const { chain, parts } = show(change);
      for (const part of Object.values(parts)) expect(part).toBeGreaterThanOrEqual(0);
      expect(Object.values(parts).reduce((sum, part) => sum + part, 0) / chain.deviation ** 2).toBeCloseTo(1, 9);
    }
  });
  it('draws its curve through the point that it stands on, above that of the X-rays alone', () => {
    const { chain, against } = show({ mAs: 0.1 });
    expect(against.mAs[0]).toBeCloseTo(0.1, 12);
    expect(against.chain[0]).toBeCloseTo(chain.relativeNoise, 12);
    against.chain.forEach((noise, k) => expect(noise).toBeGreaterThan(against.xrays[k]));
  });
  it('has discs that take the share which stands on them', () => {
    const { picture } = show({ mAs: 10, fNumber: 1.4 });
    const wide = size / discs.length;
    discs.forEach((share, k) => {
      const inside: number[] = [];
      for (let row = size / 2; row < size; row++) for (let column = k * wide; column < (k + 1) * wide; column++) if (Math.hypot(column + 0.5 - (k + 0.5) * wide, row + 0.5 - 0.75 * size) < 0.3 * wide) inside.push(picture.data[row * size + column]);
      expect(Math.abs(moments(inside).mean - (1 - share))).toBeLessThan(0.006);
    });
  });
  it('is full where too much light comes, and says so', () => {
    const result = show({ mAs: 50, fNumber: 0.95 });
    expect(result.chain.saturated).toBe(true);
    expect(result.measured).toBe(0);
    expect(photons.describe({ ...photons.initial, mAs: 50, fNumber: 0.95 }, result, {} as Specimen)).toContain('The pixels are full');
  });
  it('says where the sink is', () => {
    expect(photons.describe(photons.initial, show(), {} as Specimen)).toContain('here the quantum sink lies behind the screen');
    const bright = { ...photons.initial, fNumber: 0.95, patch: 0.02 };
    expect(photons.describe(bright, show(bright), {} as Specimen)).toContain('the X-rays rule the noise');
  });
  it('is the same at every visit', () => {
    expect(show().picture.data).toEqual(show().picture.data);
  });
});
