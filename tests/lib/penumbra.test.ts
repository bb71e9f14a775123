import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { bars, blurred, contrastLeft, edge, type Pattern } from '../../src/widgets/penumbra/blur.ts';
import { penumbra, periods, type PenumbraResult, type PenumbraState } from '../../src/widgets/penumbra/model.ts';
import type { Specimen } from '../../src/widgets/frame/definition.ts';
import { clean } from '../../src/widgets/frame/settings.ts';

const show = (change: Partial<PenumbraState> = {}) => penumbra.compute({ ...penumbra.initial, ...change }, {} as Specimen) as PenumbraResult;
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** The two running means by adding up many points. */
function addedUp({ light }: Pattern, x: number, penumbra: number, cell: number): number {
  const points = 300;
  let sum = 0;
  for (let i = 0; i < points; i++) for (let j = 0; j < points; j++) sum += light(x + ((i + 0.5) / points - 0.5) * penumbra + ((j + 0.5) / points - 0.5) * cell);
  return sum / points ** 2;
}

describe('blurred(pattern, x, penumbra, cell)', () => {
  it('is the mean over penumbra and cell, added up point by point', () => {
    fc.assert(fc.property(real(-2, 2), real(0.01, 2), real(0.01, 1), real(0.3, 3), (x, wide, cell, period) => {
      for (const pattern of [edge, bars(period)]) expect(Math.abs(blurred(pattern, x, wide, cell) - addedUp(pattern, x, wide, cell))).toBeLessThan(0.03);
    }), { seed: 20240711, numRuns: 30 });
  });
  it('leaves an edge sharp without spot and cell, and halves it in its middle', () => {
    expect([-0.1, 0, 0.1].map((x) => blurred(edge, x, 0, 0))).toEqual([0, 0.5, 1]);
    expect(blurred(edge, 0, 0.7, 0.2)).toBeCloseTo(0.5, 12);
    expect(blurred(edge, 0.25, 1, 0)).toBeCloseTo(0.75, 12);
  });
});

describe('contrastLeft(period, penumbra, cell)', () => {
  it('is what is left of the first wave of the bars', () => {
    const [period, wide, cell] = [1, 0.3, 0.2];
    const points = 2000;
    const wave = (wide: number, cell: number) => Array.from({ length: points }, (_, k) => blurred(bars(period), (k + 0.5) / points, wide, cell) * Math.sin((2 * Math.PI * (k + 0.5)) / points)).reduce((sum, value) => sum + value, 0);
    expect(contrastLeft(period, wide, cell)).toBeCloseTo(wave(wide, cell) / wave(0, 0), 5);
  });
});

describe('the plate penumbra', () => {
  it('reads off what the check values say: I2 and I4 scaled to its own reach', () => {
    const { magnification, unsharp, unsharpAtObject, effective } = show({ toObject: 200, toScreen: 800, spot: 1, pitch: 0.2 });
    expect([magnification, unsharp, unsharpAtObject]).toEqual([4, 3, 0.75]);
    expect(effective).toBeCloseTo(0.751665, 6);
  });
  it('puts the least of its curve at the best magnification: I5', () => {
    const { curve, best, bestEffective } = show({ spot: 0.1, pitch: 0.15 });
    const least = curve.effective.indexOf(Math.min(...curve.effective));
    expect(Math.abs(curve.magnification[least] - best)).toBeLessThan(curve.magnification[1] - curve.magnification[0]);
    expect(curve.effective[least]).toBeGreaterThanOrEqual(bestEffective);
  });
  it('blurs the edge over the penumbra and no further', () => {
    const { edge: { x, light }, unsharpAtObject } = show();
    x.forEach((at, k) => {
      if (Math.abs(at) > unsharpAtObject / 2) expect(light[k]).toBeCloseTo(at > 0 ? 1 : 0, 12);
      else expect(light[k]).toBeCloseTo(0.5 + at / unsharpAtObject, 9);
    });
  });
  it('casts no penumbra from a point, and none from an object on the screen', () => {
    expect(show({ spot: 0 })).toMatchObject({ unsharp: 0, best: Infinity, bestEffective: 0 });
    expect(show({ toObject: 600, toScreen: 600 })).toMatchObject({ magnification: 1, unsharp: 0, cell: 0.2, effective: 0.2 });
  });
  it('draws bars of light between 0 and 1, half of it on average, finer ones fainter', () => {
    const { pattern, contrasts } = show();
    const rows = periods.map((_, row) => pattern.data.subarray(row * pattern.width, (row + 1) * pattern.width));
    for (const value of pattern.data) expect(value >= -1e-6 && value <= 1 + 1e-6, `light of ${value}`).toBe(true);
    const swing = rows.map((row) => Math.max(...row) - Math.min(...row));
    swing.slice(1, 6).forEach((each, k) => expect(each, `${periods[k + 1]} mm against ${periods[k]} mm`).toBeLessThanOrEqual(swing[k] + 1e-6));
    expect(contrasts[0]).toBeGreaterThan(0.9);
  });
  it('keeps the object before the screen', () => {
    expect(clean(penumbra, { ...penumbra.initial, toObject: 700, toScreen: 500 })).toMatchObject({ toObject: 500, toScreen: 500 });
  });
  it('says magnification, penumbra and the best there is', () => {
    const words = penumbra.describe(penumbra.initial, show(), {} as Specimen);
    expect(words).toContain('1.5 times as large as the object. The spot blurs an edge over 0.5 mm of the screen, which is 0.333 mm at the object');
    expect(words).toContain('the best magnification is 1.04, with an effective pixel of 0.196 mm');
    expect(penumbra.describe({ ...penumbra.initial, spot: 0 }, show({ spot: 0 }), {} as Specimen)).toContain('A point casts no penumbra');
  });
});
