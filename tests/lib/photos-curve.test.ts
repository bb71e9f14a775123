import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { curveFromExposures, lightOf, lightToSrgb, linearise, srgbToLight, type Photograph } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';
import { random } from './support/simulated-photographs.ts';

const photographOf = (width: number, values: ArrayLike<number>): Photograph => ({ width, height: values.length / width, data: Float32Array.from(values), bits: 8, saturated: 0, encoding: 'srgb' });

describe('linearise(photograph, curve, crop)', () => {
  test('there and back by the curve of sRGB is where it began', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1, noNaN: true }), (light) => {
      // The published constants meet at the knee to 2·10⁻⁹ only (check value O16).
      expect(Math.abs(srgbToLight(lightToSrgb(light)) - light)).toBeLessThan(3e-8);
    }), { seed: 1 });
  });

  test('the table is within 3·10⁻⁸ of the curve, and straight lines of a measured curve are kept', () => {
    const values = Float32Array.from({ length: 3000 }, (_, i) => i / 2999);
    const { data } = linearise(photographOf(3000, values), 'srgb');
    values.forEach((value, i) => expect(Math.abs(data[i] - srgbToLight(value)), `stored ${value}`).toBeLessThan(6e-8)); // and float32's own rounding
    const measured = { stored: [0, 0.5, 1], light: [0, 0.1, 1] };
    const bent = linearise(photographOf(4, [0.25, 0.5, 0.75, 1.2]), measured).data;
    [0.05, 0.1, 0.55, 1.36].forEach((light, i) => expect(bent[i]).toBeCloseTo(light, 6));
  });

  test('linear data pass unchanged, beyond full scale and below zero too', () => {
    expect([...linearise(photographOf(3, [-0.5, 0.25, 7]), 'linear').data]).toEqual([-0.5, 0.25, 7]);
  });

  test('keeps the part that is asked for', () => {
    expect(linearise(photographOf(3, [0, 1, 2, 3, 4, 5]), 'linear', { left: 1, top: 1, width: 2, height: 1 })).toEqual({ width: 2, height: 1, data: Float32Array.of(4, 5) });
  });

  test('a part that is not in the photograph is refused with both sizes', async () => {
    expect(await refusal(() => linearise(photographOf(3, [0, 1, 2]), 'linear', { left: 1, top: 0, width: 3, height: 1 }))).toContain('3 × 1 pixels from column 1 and row 0, does not lie within a photograph of 3 × 1');
  });

  test('a curve that does not rise is refused', async () => {
    expect(await refusal(() => lightOf({ stored: [0, 0.5, 0.5], light: [0, 1, 2] }))).toContain('both rising');
  });
});

describe('curveFromExposures(series)', () => {
  /** A wedge of light with a little unevenness, written along a curve, with noise. */
  function series(encode: (light: number) => number, times: readonly number[], { bits = 8, noise = 0.002 } = {}) {
    const [width, height] = [80, 60];
    const full = 2 ** bits - 1;
    const next = random(3);
    return times.map((seconds) => ({
      seconds,
      photograph: photographOf(width, Float32Array.from({ length: width * height }, (_, i) => {
        const scene = 0.02 + 1.1 * ((i % width) / width) ** 2 + 0.1 * (Math.floor(i / width) / height);
        const light = Math.min(1, Math.max(0, scene * seconds * (1 + noise * (next() + next() - 1))));
        return Math.round(encode(light) * full) / full;
      })),
    }));
  }
  const times = [0.06, 0.125, 0.25, 0.5, 1, 2];

  test.each([
    ['sRGB', lightToSrgb],
    ['a plain power of 1/1.8', (light: number) => light ** (1 / 1.8)],
    ['no curve at all', (light: number) => light],
    ['sRGB with a shoulder, as cameras make pictures pleasing', (light: number) => lightToSrgb(light * (1.3 - 0.3 * light))],
  ])('finds %s, but for its scale, which divides out: within 1 % from a fiftieth of the light to nine tenths', (_, encode) => {
    const { curve, misfit, pixels } = curveFromExposures(series(encode, times));
    const found = lightOf(curve);
    const scale = found(encode(0.4)) / 0.4;
    for (let light = 0.02; light <= 0.9; light += 0.02) expect(Math.abs(found(encode(light)) / light / scale - 1), `light of ${light.toFixed(2)}`).toBeLessThan(0.01);
    expect(found(1)).toBeCloseTo(1, 9);
    expect(Math.abs(scale - 1), 'full scale is reached by a straight line').toBeLessThan(0.1);
    expect(misfit).toBeLessThan(0.02);
    expect(pixels).toBeGreaterThan(200);
  });

  test('beyond the brightest value in the series the curve goes on straight, as far as it has been seen', () => {
    const found = lightOf(curveFromExposures(series((light) => Math.sqrt(light), [0.05, 0.1, 0.2, 0.4])).curve); // reaches 0.7 of full scale
    expect(found(0.6) / found(0.3), 'where it was seen').toBeCloseTo(4, 1);
    const slope = (from: number, to: number) => (found(to) - found(from)) / (to - from);
    expect(slope(0.9, 0.98) / slope(0.64, 0.68), 'where it was not').toBeLessThan(1.3);
  });

  test('only the ratios of the times count', () => {
    const a = curveFromExposures(series(lightToSrgb, times));
    const b = curveFromExposures(series(lightToSrgb, times).map(({ photograph, seconds }) => ({ photograph, seconds: 1000 * seconds })));
    a.curve.light.forEach((light, i) => expect(b.curve.light[i]).toBeCloseTo(light, 6));
  });

  test.each([
    ['two photographs', series(lightToSrgb, [0.1, 1]), 'at least three photographs, and 2 are there'],
    ['times that hardly differ', series(lightToSrgb, [1, 1.5, 2]), 'less than four times the shortest'],
    ['a time of 0', series(lightToSrgb, times).map((each, i) => (i === 1 ? { ...each, seconds: 0 } : each)), 'above 0'],
    ['two sizes', series(lightToSrgb, times).map((each, i) => (i === 1 ? { ...each, photograph: photographOf(2, [0, 0]) } : each)), '2 × 1 pixels and 80 × 60'],
    ['pictures that are all black', series(() => 0, times), 'Too few pixels'],
  ])('refuses %s', async (_, given, words) => {
    expect(await refusal(() => curveFromExposures(given))).toContain(words);
  });
});
