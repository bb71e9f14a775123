/** Photographs held against the outside: files that other software wrote, published figures of the sRGB curve, SciPy's filters. */
import { describe, expect, test } from 'vitest';
import { blur, lightToSrgb, linearise, readPhotograph, srgbToLight, takeLogarithm } from '../../src/lib/index.ts';
import { medianAround } from '../../src/lib/photos/around.ts';
import { fixture, tableOf, type FloatArray } from '../lib/support/fixtures.ts';
import { random } from '../lib/support/simulated-photographs.ts';

interface WrittenPhotographs {
  readonly files: Readonly<Record<string, { width: number; height: number; green: string; base64: string }>>;
}

describe('photographs written, and read back, by sharp 0.35.5 (libvips, mozjpeg, libpng)', () => {
  const { files } = fixture<WrittenPhotographs>('photographs');
  const bytesOf = (text: string) => Uint8Array.from(Buffer.from(text, 'base64'));

  test.each(Object.entries(files))('%s', async (name, { width, height, green, base64 }) => {
    const photograph = await readPhotograph(bytesOf(base64), name);
    expect([photograph.width, photograph.height], 'width and height, upright').toEqual([width, height]);
    const theirs = bytesOf(green);
    const differences = Array.from(photograph.data, (value, i) => value * 255 - theirs[i]);
    const mean = differences.reduce((sum, d) => sum + d, 0) / differences.length;
    // A lossless file to the bit. Of a JPEG, two decoders may each round by one step (T.83 allows it), and theirs rounds green once
    // more; at half resolution they fill colours in differently. A half step of brightness overall would be a mistake.
    const most = /^(png|tiff)/.test(name) ? 1e-4 : /half resolution/.test(name) ? 4 : 1.6;
    expect(Math.max(...differences.map(Math.abs)), 'largest difference, steps of 255').toBeLessThan(most);
    expect(Math.abs(mean), 'mean difference, steps of 255').toBeLessThan(0.1);
  });
});

describe('the curve of sRGB', () => {
  // IEC 61966-2-1: 12.92, 1.055, 2.4, 0.0031308 are published; the values follow from them, here by NumPy (check values O14, O15).
  test.each([[0, 0], [0.04045, 0.003130805], [0.5, 0.21404114], [0.75, 0.522521554], [128 / 255, 0.2158605], [1, 1]])('%f stands for a light of %f', (stored, light) => {
    expect(Math.abs(srgbToLight(stored) - light)).toBeLessThan(1e-8 + 5e-10);
  });
  test.each([[0.0031308, 0.040449936], [0.18, 0.46135613], [0.5, 0.735356983], [0.75, 0.880825021], [0, 0], [1, 1]])('a light of %f is stored as %f', (light, stored) => {
    expect(Math.abs(lightToSrgb(light) - stored)).toBeLessThan(1e-8);
  });

  test('and the table by which photographs are read follows it', () => {
    const { decode } = fixture<{ srgb: { decode: Record<string, number> } }>('formats').srgb;
    const stored = Object.keys(decode).map(Number);
    const { data } = linearise({ width: stored.length, height: 1, data: Float32Array.from(stored), bits: 8, saturated: 0, encoding: 'srgb' }, 'srgb');
    stored.forEach((value, i) => expect(Math.abs(data[i] - decode[String(value)]), `light of ${value}`).toBeLessThan(2e-7));
  });
});

describe('filters, by SciPy 1.17.1', () => {
  const given = fixture<{ picture: FloatArray; gaussian: Record<string, FloatArray>; ring_median: FloatArray }>('photo_filters');
  const { rows: height, columns: width, data } = tableOf(given.picture);
  const picture = { width, height, data };
  const range = 400;

  // Narrow ones are convolutions with the same samples of the same Gaussian. Wide ones go by means of b × b pixels, b = ⌊σ/4⌋: what
  // that leaves of the single bright pixel in the picture is within 0.1 % of the range.
  test.each([['1.5', 1e-5], ['3', 1e-5], ['9', 1e-3], ['14', 1e-3]])('blur by σ = %s pixels', (sigma, tolerance) => {
    const theirs = tableOf(given.gaussian[sigma]).data;
    const ours = blur(picture, Number(sigma)).data;
    expect(Math.max(...ours.map((value, i) => Math.abs(value - theirs[i]))) / range).toBeLessThan(tolerance);
  });

  test('the median of the sixteen pixels two away', () => {
    const theirs = tableOf(given.ring_median).data;
    const around = medianAround(picture);
    for (let row = 2; row < height - 2; row++) for (let column = 2; column < width - 2; column++) expect(around(column, row), `row ${row}, column ${column}`).toBeCloseTo(theirs[row * width + column], 4);
  });
});

test('K2, K3: the noise of a line integral is 1/√(photons behind the object), and its mean is too high by half a photon’s share', () => {
  // Check values K2: N₀ = 10⁵ photons and p = 2 leave 13,533.53, σ = 0.00859596. K3: the logarithm’s bias is 1/(2N), here for N = 100.
  const next = random(11);
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
  const gaussian = (mean: number) => Math.round(mean + Math.sqrt(mean) * normal()); // for many photons
  const poisson = (mean: number) => {
    const end = Math.exp(-mean);
    let count = -1;
    for (let product = 1; product > end; product *= next()) count++;
    return count;
  };
  const seen = (draw: () => number, count: number, open: number) => {
    const p = Float32Array.from({ length: count }, () => draw() / open);
    takeLogarithm(p);
    const average = p.reduce((sum, value) => sum + value, 0) / count;
    return { average, deviation: Math.sqrt(p.reduce((sum, value) => sum + (value - average) ** 2, 0) / count) };
  };
  const { average, deviation } = seen(() => gaussian(1e5 * Math.exp(-2)), 200_000, 1e5);
  expect(deviation / 0.00859596, 'against the published σ; 200,000 draws know it to 0.2 %').toBeCloseTo(1, 2);
  expect(average).toBeCloseTo(2, 3);
  const few = seen(() => poisson(100), 500_000, 100);
  expect(few.deviation, 'K3: 0.10082').toBeCloseTo(0.10082, 3);
  expect(few.average, 'K3: 0.00509, known to 0.00014').toBeCloseTo(0.00509, 3);
});
