import { sameSize, type Pixels } from './pixels.ts';

export interface LinearFit {
  readonly slope: number;
  readonly intercept: number;
  readonly correlation: number;
}

/**
 * The straight line b ≈ slope · a + intercept through all pairs of pixels, least squares in b, and Pearson's correlation.
 * mask: only pixels where it is not 0.   Slope and correlation are NaN where a does not vary, the correlation where b does not.
 */
export function linearFit(a: Pixels, b: Pixels, mask?: ArrayLike<number>): LinearFit {
  sameSize(a, b);
  let count = 0, sumA = 0, sumB = 0;
  for (let i = 0; i < a.data.length; i++) {
    if (mask && !mask[i]) continue;
    count++;
    sumA += a.data[i];
    sumB += b.data[i];
  }
  const meanA = sumA / count, meanB = sumB / count;
  let aa = 0, ab = 0, bb = 0;
  for (let i = 0; i < a.data.length; i++) {
    if (mask && !mask[i]) continue;
    const da = a.data[i] - meanA, db = b.data[i] - meanB;
    aa += da * da;
    ab += da * db;
    bb += db * db;
  }
  const slope = ab / aa;
  return { slope, intercept: meanB - slope * meanA, correlation: ab / Math.sqrt(aa * bb) };
}

/** Pearson's correlation of the pixels of two pictures, −1…1; NaN where one of them does not vary. */
export function correlation(a: Pixels, b: Pixels, mask?: ArrayLike<number>): number {
  return linearFit(a, b, mask).correlation;
}
