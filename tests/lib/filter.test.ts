import { describe, expect, test } from 'vitest';
import { filterKernel } from '../../src/lib/filter/filter-kernel.ts';
import { filterResponse } from '../../src/lib/filter/filter-response.ts';
import { filterViews } from '../../src/lib/filter/filter-views.ts';
import { rampKernel } from '../../src/lib/filter/ramp-kernel.ts';
import { spectrum } from '../../src/lib/filter/spectrum.ts';
import type { Sinogram } from '../../src/lib/types.ts';
import { refusal } from './support/bad-input.ts';

/** Numbers from −1 to 1 from a seed (Park and Miller). */
function noise(seed: number): () => number {
  let state = seed;
  return () => ((state = (state * 48271) % 2147483647) / 2147483647) * 2 - 1;
}
const noisySinogram = (views: number, detectors: number, seed = 1): Sinogram =>
  ({ views, detectors, data: Float32Array.from({ length: views * detectors }, noise(seed)) });
const largestDifference = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a).reduce((most, value, i) => Math.max(most, Math.abs(value - b[i])), 0);
const named = ['ramp', 'shepp-logan', 'cosine', 'hann'] as const;

describe('rampKernel(length, pitch)', () => {
  test('holds n = 0, 1, … and then the negative n, so that it reads the same from either end', () => {
    const kernel = rampKernel(16, 1);
    for (let n = 1; n < 8; n++) expect(kernel[16 - n], `n = −${n}`).toBe(kernel[n]);
    expect(kernel[8]).toBe(0);
    expect(Array.from(rampKernel(3, 1))).toEqual([1 / 4, -1 / Math.PI ** 2, -1 / Math.PI ** 2]);
  });

  test('grows as the pitch shrinks, squared', () => {
    expect(largestDifference(rampKernel(64, 0.25), rampKernel(64, 1).map((value) => 16 * value))).toBeLessThan(1e-12);
  });
});

describe('filterResponse(filter, length, pitch)', () => {
  test.each([1, 0.2])('the ramp is |f| in cycles/mm to the size of its value at 0, pitch %d mm', (pitch) => {
    const response = filterResponse({ window: 'ramp' }, 1024, pitch);
    const off = response.map((value, k) => Math.abs(value - Math.min(k, 1024 - k) / (1024 * pitch)));
    // the kernel's missing ends: 2/(π²·length·pitch) at f = 0, and at the Nyquist frequency as much below
    expect(Math.max(...off)).toBeCloseTo(2 / (Math.PI ** 2 * 1024 * pitch), 7);
    expect(response[0]).toBeGreaterThan(0);
  });

  test('no filter is a response of 1', () => {
    expect(new Set(filterResponse({ window: 'none', cutoff: 0.3 }, 64, 0.5))).toEqual(new Set([1]));
  });

  test.each(named)('%s takes out everything above its cut-off and leaves the ramp at 0', (window) => {
    const response = filterResponse({ window, cutoff: 0.5 }, 256, 1);
    expect(response[0]).toBe(filterResponse({ window: 'ramp' }, 256, 1)[0]);
    expect(Array.from(response.slice(65, 192)).every((value) => value === 0)).toBe(true);
    expect(response[32]).toBeGreaterThan(0);
    for (let k = 1; k < 128; k++) expect(response[256 - k], 'the same for −f').toBe(response[k]);
  });

  test('a cut-off that moves a little changes the response a little: no frequency drops out at once', () => {
    const total = (cutoff: number) => filterResponse({ window: 'ramp', cutoff }, 64, 1).reduce((sum, value) => sum + value, 0);
    for (let step = 200; step < 1000; step++) expect(Math.abs(total((step + 1) / 1000) - total(step / 1000)), `from ${step / 1000}`).toBeLessThan(0.04);
  });

  test("a window of one's own gets f and fc in cycles/mm, and 1 is the ramp", () => {
    const asked: [number, number][] = [];
    filterResponse({ window: (f, fc) => { asked.push([f, fc]); return 1; }, cutoff: 0.5 }, 64, 0.1);
    expect(asked[0]).toEqual([0, 2.5]);
    expect(Math.max(...asked.map(([f]) => f))).toBe(2.5);
    expect(Array.from(filterResponse({ window: () => 1 }, 64, 0.1))).toEqual(Array.from(filterResponse({ window: 'ramp' }, 64, 0.1)));
  });

  test.each([0, -1, 1.2, NaN])('a cut-off of %d is refused', async (cutoff) => {
    expect(await refusal(() => filterResponse({ window: 'hann', cutoff }, 64, 1))).toContain(`cut-off is ${cutoff}`);
  });

  test('a window that gives no number is refused, and the frequency named', async () => {
    expect(await refusal(() => filterResponse({ window: (f) => (f === 0.25 ? NaN : 1) }, 64, 1))).toContain('NaN at f = 0.25 cycles/mm');
  });

  test('a length that is not a power of two is our own mistake', () => {
    expect(() => filterResponse({ window: 'ramp' }, 60, 1)).toThrow(RangeError);
  });
});

describe('filterKernel(filter, length, pitch)', () => {
  // The pure kernels ∫|f|·window(f)·e^(2πi·f·n) df over |f| ≤ F, in closed form: derived by hand, independent of the transform.
  const sinc = (x: number) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
  const ramp = (F: number, t: number) => 2 * F * F * sinc(2 * F * t) - F * F * sinc(F * t) ** 2;
  const pure: Record<(typeof named)[number], (F: number, t: number) => number> = {
    ramp,
    hann: (F, t) => ramp(F, t) / 2 + (ramp(F, t - 1 / (2 * F)) + ramp(F, t + 1 / (2 * F))) / 4,
    cosine: (F, t) => (ramp(F, t - 1 / (4 * F)) + ramp(F, t + 1 / (4 * F))) / 2,
    'shepp-logan': (F, t) => {
      const half = (w: number) => (Math.abs(w) < 1e-12 ? 0 : (1 - Math.cos(w * F)) / w);
      return ((2 * F) / Math.PI) * (half(Math.PI / (2 * F) + 2 * Math.PI * t) + half(Math.PI / (2 * F) - 2 * Math.PI * t));
    },
  };
  const furthest = (filter: { window: (typeof named)[number]; cutoff?: number }, length: number) => {
    const kernel = filterKernel(filter, length, 1);
    let most = 0;
    for (let n = 0; n < length / 4; n++) most = Math.max(most, Math.abs(kernel[n] - pure[filter.window]((filter.cutoff ?? 1) / 2, n)));
    return most;
  };

  test.each([['ramp', 0], ['hann', 0], ['shepp-logan', 0.13], ['cosine', 0.3]] as const)('%s lies within %d/length² of the pure kernel', (window, bound) => {
    for (const length of [64, 256, 1024]) expect(furthest({ window }, length)).toBeLessThan(bound / length ** 2 + 1e-15);
  });

  test.each([['ramp', 0.15, 1], ['shepp-logan', 0.15, 1], ['cosine', 0.3, 2], ['hann', 0.1, 2]] as const)('%s with a cut-off lies within %d/length^%d of its pure kernel', (window, bound, order) => {
    for (const cutoff of [0.33, 0.5, 0.77, 0.995]) {
      for (const length of [64, 256, 1024]) expect(furthest({ window, cutoff }, length), `${cutoff} of Nyquist, length ${length}`).toBeLessThan(bound / length ** order);
    }
  });

  test('no filter is a single 1/pitch', () => {
    const kernel = filterKernel({ window: 'none' }, 32, 0.5);
    expect(kernel[0]).toBeCloseTo(2, 12);
    expect(Math.max(...kernel.slice(1).map(Math.abs))).toBeLessThan(1e-12);
  });
});

describe('filterViews(sinogram, pitch, filter)', () => {
  test.each(named)('%s is the convolution with its kernel, written out', (window) => {
    const pitch = 0.3, sinogram = noisySinogram(3, 37);
    const kernel = filterKernel({ window }, 128, pitch);
    const slow = new Float32Array(3 * 37);
    for (let view = 0; view < 3; view++) {
      for (let j = 0; j < 37; j++) {
        let sum = 0;
        for (let k = 0; k < 37; k++) sum += kernel[(j - k + 128) % 128] * sinogram.data[view * 37 + k];
        slow[view * 37 + j] = pitch * sum;
      }
    }
    expect(largestDifference(filterViews(sinogram, pitch, { window }).data, slow)).toBeLessThan(1e-6);
  });

  test('the ends of a view do not reach each other: a 1 at one end filters as it does alone on a longer detector', () => {
    const spike = (detectors: number) => filterViews({ views: 1, detectors, data: Float32Array.from({ length: detectors }, (_, j) => Number(j === 0)) }, 1, { window: 'ramp' }).data;
    expect(largestDifference(spike(64), spike(128))).toBeLessThan(1e-7);
  });

  test('is linear, and leaves its input alone', () => {
    const a = noisySinogram(2, 50, 3), b = noisySinogram(2, 50, 4), before = a.data.slice();
    const mix: Sinogram = { ...a, data: a.data.map((value, i) => 2 * value - b.data[i]) };
    const [fa, fb, fm] = [a, b, mix].map((sinogram) => filterViews(sinogram, 1, { window: 'hann', cutoff: 0.7 }).data);
    expect(largestDifference(fm, fa.map((value, i) => 2 * value - fb[i]))).toBeLessThan(1e-6);
    expect(a.data).toEqual(before);
  });

  test('unfiltered is a copy', () => {
    const sinogram = noisySinogram(2, 5);
    const copy = filterViews(sinogram, 0.1, { window: 'none' });
    expect(copy.data).toEqual(sinogram.data);
    expect(copy.data).not.toBe(sinogram.data);
  });

  test('works on a detector of one cell', () => {
    expect(filterViews({ views: 1, detectors: 1, data: Float32Array.of(4) }, 0.5, { window: 'ramp' }).data[0]).toBeCloseTo(4 * 0.5 / (4 * 0.25), 6);
  });
});

describe('spectrum(samples, spacing)', () => {
  // exp(−x²/2σ²) has the transform σ√(2π)·exp(−2π²σ²f²): standard table.
  const sigma = 1.5, spacing = 0.25, n = 101;
  const bell = (shift: number) => Float64Array.from({ length: n }, (_, j) => Math.exp(-(((j - (n - 1) / 2) * spacing - shift) ** 2) / (2 * sigma ** 2)));

  test('a Gaussian gives the Gaussian of the tables, real, its middle being the middle of the samples', () => {
    const { frequency, real, imaginary } = spectrum(bell(0), spacing);
    expect(frequency.length).toBe(256);
    frequency.forEach((f, i) => expect(real[i]).toBeCloseTo(sigma * Math.sqrt(2 * Math.PI) * Math.exp(-2 * (Math.PI * sigma * f) ** 2), 6));
    expect(Math.max(...imaginary.map(Math.abs))).toBeLessThan(1e-12);
  });

  test('frequencies rise from −1/(2·spacing), with 0 in the middle, where the integral is', () => {
    const { frequency, real } = spectrum([1, 2, 3], 0.5);
    expect(frequency[0]).toBe(-1);
    expect(frequency[frequency.length / 2]).toBe(0);
    expect(real[frequency.length / 2]).toBeCloseTo(3, 12);
  });

  test('moving the samples by x turns the phase by −2πfx', () => {
    const still = spectrum(bell(0), spacing), moved = spectrum(bell(2), spacing);
    still.frequency.forEach((f, i) => {
      if (Math.abs(f) > 0.3) return;
      expect(moved.real[i]).toBeCloseTo(still.real[i] * Math.cos(2 * Math.PI * f * 2), 6);
      expect(moved.imaginary[i]).toBeCloseTo(-still.real[i] * Math.sin(2 * Math.PI * f * 2), 6);
    });
  });

  test('a longer spectrum is the same curve in finer steps', () => {
    const coarse = spectrum(bell(1), spacing, 128), fine = spectrum(bell(1), spacing, 512);
    coarse.frequency.forEach((f, i) => {
      expect(fine.frequency[4 * i]).toBeCloseTo(f, 12);
      expect(fine.real[4 * i]).toBeCloseTo(coarse.real[i], 9);
    });
  });
});
