import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  correlation, discMask, fullWidthHalfMaximum, histogram, interpolated, linearFit, mae, matthews, otsuThreshold, pointSpread, profile, psnr, rmse,
  ssim, statistics, type Image,
} from '../../src/lib/index.ts';
import { gaussian } from '../../src/lib/phantom/shapes.ts';
import { valueAt } from '../../src/lib/phantom/value-at.ts';
import { pixelPosition } from '../../src/lib/geometry/pixel-position.ts';
import { refusal } from './support/bad-input.ts';
import { fixture, tableOf } from './support/fixtures.ts';

const picture = (width: number, height: number, of: (column: number, row: number) => number, pixelSize = 1, centre?: readonly [number, number]): Image =>
  ({ width, height, pixelSize, centre, data: Float32Array.from({ length: width * height }, (_, i) => of(i % width, Math.floor(i / width))) });
const fixturePicture = (name: string): Image => {
  const { rows, columns, data } = tableOf(fixture(name));
  return { width: columns, height: rows, pixelSize: 1, data };
};
const seed = { seed: 31 };
const values = (count: number) => fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: count, maxLength: count });

describe('rmse, mae and psnr', () => {
  const a = picture(2, 2, (c, r) => c + 2 * r), b = picture(2, 2, () => 1);
  test('by hand: differences −1, 0, 1, 2', () => {
    expect(rmse(a, b)).toBeCloseTo(Math.sqrt(6 / 4), 12);
    expect(mae(a, b)).toBe(1);
    expect(psnr(a, b, 3)).toBeCloseTo(10 * Math.log10(9 / 1.5), 12);
  });
  test('only where the mask is', () => {
    expect(rmse(a, b, [0, 0, 0, 1])).toBe(2);
    expect(rmse(a, b, [0, 0, 0, 0])).toBeNaN();
  });
  test('pictures of different size are refused, also when they have as many pixels', async () => {
    expect(await refusal(() => rmse(picture(4, 2, () => 0), picture(2, 4, () => 0)))).toContain('4 × 2 pixels and the other 2 × 4');
  });
});

describe('ssim(a, b, range, { kind })', () => {
  const head = fixturePicture('image_toft_64');
  /** The definition, written out window by window. */
  function slow(a: Image, b: Image, range: number, size: number, weight: (i: number, j: number) => number, over: number): number {
    const c1 = (0.01 * range) ** 2, c2 = (0.03 * range) ** 2;
    let total = 0, windows = 0, norm = 0;
    for (let j = 0; j < size; j++) for (let i = 0; i < size; i++) norm += weight(i, j);
    for (let row = 0; row + size <= a.height; row++) for (let column = 0; column + size <= a.width; column++) {
      let [ma, mb, va, vb, cab] = [0, 0, 0, 0, 0];
      const each = (of: (x: number, y: number, w: number) => void) => {
        for (let j = 0; j < size; j++) for (let i = 0; i < size; i++) of(a.data[(row + j) * a.width + column + i], b.data[(row + j) * a.width + column + i], weight(i, j) / norm);
      };
      each((x, y, w) => { ma += w * x; mb += w * y; });
      each((x, y, w) => { va += over * w * (x - ma) ** 2; vb += over * w * (y - mb) ** 2; cab += over * w * (x - ma) * (y - mb); });
      total += ((2 * ma * mb + c1) * (2 * cab + c2)) / ((ma * ma + mb * mb + c1) * (va + vb + c2));
      windows++;
    }
    return total / windows;
  }
  const crop = picture(20, 15, (c, r) => head.data[(r + 20) * 64 + c + 10]), other = picture(20, 15, (c, r) => head.data[(r + 21) * 64 + c + 11]);
  test('wang2004 is the definition with a Gaussian window of 11', () => {
    const weight = (i: number, j: number) => Math.exp(-((i - 5) ** 2 + (j - 5) ** 2) / (2 * 1.5 ** 2));
    expect(ssim(crop, other, 1, { kind: 'wang2004' })).toBeCloseTo(slow(crop, other, 1, 11, weight, 1), 10);
    expect(ssim(crop, other, 1)).toBe(ssim(crop, other, 1, { kind: 'wang2004' }));
  });
  test('uniform7 is the definition with an even window of 7 and covariances over 48', () => {
    expect(ssim(crop, other, 1, { kind: 'uniform7' })).toBeCloseTo(slow(crop, other, 1, 7, () => 1, 49 / 48), 10);
  });
  test.each(['wang2004', 'uniform7', 'uniform7-population', 'one-window'] as const)('%s: the same both ways round, 1 for a picture with itself', (kind) => {
    expect(ssim(crop, other, 1, { kind })).toBeCloseTo(ssim(other, crop, 1, { kind }), 12);
    expect(ssim(crop, crop, 1, { kind })).toBeCloseTo(1, 12);
    expect(ssim(crop, other, 1, { kind })).toBeLessThan(0.99);
  });
  test('a picture smaller than the window is refused, and the window named', async () => {
    expect(await refusal(() => ssim(picture(10, 30, () => 0), picture(10, 30, () => 0), 1, { kind: 'wang2004' }))).toContain('11 × 11');
    expect(ssim(picture(10, 30, (c) => c), picture(10, 30, (c) => c), 1, { kind: 'uniform7' })).toBeCloseTo(1, 12);
  });
});

describe('linearFit and correlation', () => {
  test('b = 3a + 2 comes back as slope 3, intercept 2, correlation 1', () => {
    const a = picture(3, 3, (c, r) => c * r + c), b = picture(3, 3, (c, r) => 3 * (c * r + c) + 2);
    expect(linearFit(a, b)).toEqual({ slope: 3, intercept: 2, correlation: 1 });
  });
  // numpy.polyfit and numpy.corrcoef (1.24.2) of the head's pixels and the same moved one column to the right, round the edge.
  test('as NumPy has it for the head and the head moved by a pixel', () => {
    const head = fixturePicture('image_toft_64');
    const moved = picture(64, 64, (c, r) => head.data[r * 64 + ((c + 63) % 64)]);
    const { slope, intercept, correlation: r } = linearFit(head, moved);
    expect(slope).toBeCloseTo(0.675473859908271, 9);
    expect(intercept).toBeCloseTo(0.040182616539510496, 9);
    expect(r).toBeCloseTo(0.6754738599082714, 6);
  });
  test('a flat picture correlates with nothing', () => {
    expect(correlation(picture(2, 2, () => 1), picture(2, 2, (c) => c))).toBeNaN();
  });
  test('the correlation does not care for scale, and turns its sign with it', () => {
    fc.assert(fc.property(values(9), values(9), fc.double({ min: 0.5, max: 4, noNaN: true }), (a, b, factor) => {
      const of = (data: number[]) => ({ width: 3, height: 3, data });
      const r = correlation(of(a), of(b));
      fc.pre(Number.isFinite(r) && statistics(of(a)).deviation > 1e-3 && statistics(of(b)).deviation > 1e-3);
      expect(correlation(of(a), of(b.map((value) => 1 - factor * value)))).toBeCloseTo(-r, 6);
      expect(Math.abs(r)).toBeLessThanOrEqual(1 + 1e-12);
    }), seed);
  });
});

describe('profile(image, from, to)', () => {
  const slope = picture(8, 6, (c, r) => 10 * c + r, 0.5, [1, -2]); // value = 20·(x + 0.75) + 2·(−0.75 − y)
  const at = (x: number, y: number) => 20 * (x + 0.75) + 2 * (-0.75 - y);
  test('reads a sloping picture exactly between its pixels, along any line', () => {
    const { distance, value } = profile(slope, [-0.5, -3], [2.5, -1.1], 7);
    expect(distance[6]).toBeCloseTo(Math.hypot(3, 1.9), 12);
    for (let i = 0; i < 7; i++) expect(value[i]).toBeCloseTo(at(-0.5 + (3 * i) / 6, -3 + (1.9 * i) / 6), 5);
  });
  test('takes a sample a pixel edge or closer when not told how many', () => {
    const { distance } = profile(slope, [0, -2], [1.2, -2]);
    expect(distance.length).toBe(4);
    expect(distance[1]).toBeLessThanOrEqual(0.5);
  });
  test('the outermost half pixel has the value of its centre; beyond it there is nothing', () => {
    expect(interpolated(slope, -1, -2)).toBeCloseTo(at(-0.75, -2), 5);
    expect(interpolated(slope, -1.01, -2)).toBeNaN();
    expect(interpolated(slope, 3, -3.5)).toBeCloseTo(at(2.75, -3.25), 5);
    expect(interpolated(slope, 3, -3.52)).toBeNaN();
  });
});

describe('fullWidthHalfMaximum and pointSpread', () => {
  const sigma = 1.3, width = 2 * Math.sqrt(2 * Math.log(2)) * sigma; // of a Gaussian: standard
  test('a Gaussian is 2.3548 σ wide', () => {
    const distance = Float64Array.from({ length: 401 }, (_, i) => i / 20);
    expect(fullWidthHalfMaximum(distance, distance.map((x) => 7 * Math.exp(-((x - 9.13) ** 2) / (2 * sigma ** 2))))).toBeCloseTo(width, 2);
  });
  test('a triangle from 0 to 4 is 2 wide, to the last digit', () => {
    expect(fullWidthHalfMaximum([0, 1, 2, 3, 4], [0, 0.5, 1, 0.5, 0])).toBe(2);
    expect(fullWidthHalfMaximum([10, 12, 14, 16, 18], [0, 0.25, 1, 0.25, 0])).toBeCloseTo((4 * 2) / 3, 12);
  });
  test('NaN where a side does not fall to half, or there is no peak above 0', () => {
    expect(fullWidthHalfMaximum([0, 1, 2], [1, 0.8, 0])).toBeNaN();
    expect(fullWidthHalfMaximum([0, 1, 2], [0, 0, 0])).toBeNaN();
    expect(fullWidthHalfMaximum([0, 1, 2], [-2, -1, -2])).toBeNaN();
  });
  const spot = gaussian(3, -2, sigma, 0.5);
  const grid = { width: 81, height: 61, pixelSize: 0.2, centre: [2, -1] as const };
  const image = picture(81, 61, (c, r) => valueAt([spot, gaussian(-3, 2, 0.4, 0.9)], ...pixelPosition(grid, c, r)), 0.2, [2, -1]);
  test('finds the spot it is pointed at and measures it along x and y', () => {
    const found = pointSpread(image, 2.5, -2.4);
    expect(found.peak).toBeCloseTo(0.5, 4);
    expect([found.x, found.y]).toEqual([expect.closeTo(3, 9), expect.closeTo(-2, 9)]);
    expect(found.fwhmX).toBeCloseTo(width, 2);
    expect(found.fwhmY).toBeCloseTo(width, 2);
  });
  test('looks no farther than it is told', () => {
    expect(pointSpread(image, -3, 2).peak).toBeCloseTo(0.9, 4);
    expect(pointSpread(image, 3, -2, 20).peak).toBeCloseTo(0.9, 4);
  });
});

describe('statistics and histogram', () => {
  test('by hand: 1, 2, 3, 6', () => {
    expect(statistics({ data: [1, 2, 3, 6] })).toEqual({ count: 4, mean: 3, deviation: Math.sqrt(14 / 4), least: 1, greatest: 6 });
    expect(statistics({ data: [1, 2, 3, 6] }, [0, 1, 1, 0])).toMatchObject({ count: 2, mean: 2.5, least: 2, greatest: 3 });
  });
  test('leaves NaN out; of nothing all is NaN', () => {
    expect(statistics({ data: [NaN, 4] })).toMatchObject({ count: 1, mean: 4 });
    expect(statistics({ data: [NaN] })).toMatchObject({ count: 0, mean: NaN, least: NaN });
  });
  // numpy.histogram (1.24.2), 8 bins over 0…1.
  test('counts the head as NumPy does', () => {
    const { edges, counts } = histogram(fixturePicture('image_toft_64'), 8, [0, 1]);
    expect(Array.from(edges)).toEqual([0, 0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875, 1]);
    expect(Array.from(histogram(fixturePicture('image_blobs_65'), 8, [0, 1]).counts)).toEqual([3590, 228, 135, 98, 71, 50, 31, 22]);
    expect(counts.slice(1).reduce((sum, count) => sum + count, 0)).toBe(1324 + 234 + 28 + 36 + 38 + 56 + 70);
  });
  test('leaves out what lies outside the range, counts its upper end into the last bin', () => {
    expect(Array.from(histogram({ data: [-1, 0, 0.5, 1, 2, NaN] }, 2, [0, 1]).counts)).toEqual([1, 2]);
    expect(Array.from(histogram({ data: [3, 3] }, 4, [3, 3]).counts)).toEqual([2, 0, 0, 0]);
  });
});

describe('otsuThreshold(image)', () => {
  // skimage.filters.threshold_otsu, scikit-image 0.19.3, on the same float32 arrays; one bin is 1/256 of the range.
  test.each([
    ['image_toft_64', 0.42382812],
    ['image_blobs_65', 0.26719186],
    ['skimage_iradon_toft_64_90_ramp', 0.13742226],
    ['octave_radon_toft_64_90', 4.879069],
  ])('%s is parted at %d, as scikit-image parts it', (name, expected) => {
    expect(otsuThreshold(fixturePicture(name))).toBeCloseTo(expected, 5);
  });
  test('a picture of one value gives that value', () => {
    expect(otsuThreshold({ data: [4, 4, 4] })).toBe(4);
  });
  test('two values are parted between them', () => {
    const threshold = otsuThreshold({ data: [0, 0, 0, 10] });
    expect(threshold).toBeGreaterThanOrEqual(0);
    expect(threshold).toBeLessThan(10);
  });
});

describe('matthews(a, b)', () => {
  test('by hand: 3 right inside, 2 right outside, 1 too many, 1 too few', () => {
    expect(matthews([1, 1, 1, 1, 0, 0, 0], [1, 1, 1, 0, 1, 0, 0])).toBeCloseTo((3 * 2 - 1) / Math.sqrt(4 * 4 * 3 * 3), 12);
  });
  test('1 for the same, −1 for the opposite, 0 where one is all of a kind', () => {
    expect(matthews([1, 0, 1], [2, 0, 7])).toBeCloseTo(1, 12);
    expect(matthews([1, 0, 1], [0, 1, 0])).toBeCloseTo(-1, 12);
    expect(matthews([1, 1, 1], [1, 0, 1])).toBe(0);
  });
  // numpy.corrcoef of the head above 0.42382812 and the same moved by a pixel.
  test('as NumPy has it for the head and the head moved by a pixel', () => {
    const { data } = fixturePicture('image_toft_64');
    const inside = data.map((value) => Number(value > 0.42382812));
    expect(matthews(inside, inside.map((_, i) => inside[i - (i % 64) + ((i + 63) % 64)]))).toBeCloseTo(0.42766698322253877, 9);
  });
});

describe('discMask(grid, x, y, radius)', () => {
  test('holds the pixels whose centres lie in the disc, and about πr² of them', () => {
    const grid = { width: 100, height: 80, pixelSize: 0.5, centre: [3, -1] as const };
    const mask = discMask(grid, 5, 2, 10);
    expect(mask.reduce((sum, inside) => sum + inside, 0) * 0.25).toBeCloseTo(Math.PI * 100, -1);
    mask.forEach((inside, i) => {
      const [x, y] = pixelPosition(grid, i % 100, Math.floor(i / 100));
      expect(inside).toBe(Math.hypot(x - 5, y - 2) <= 10 ? 1 : 0);
    });
  });
});
