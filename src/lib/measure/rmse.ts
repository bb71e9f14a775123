import { sameSize, type Pixels } from './pixels.ts';

/** Root mean square of a − b, over the pixels where mask is not 0 (all when left out). In the unit of the pixels; NaN over none. */
export function rmse(a: Pixels, b: Pixels, mask?: ArrayLike<number>): number {
  return Math.sqrt(meanOf(a, b, mask, (difference) => difference * difference));
}

/** Mean of |a − b|, as rmse. */
export function mae(a: Pixels, b: Pixels, mask?: ArrayLike<number>): number {
  return meanOf(a, b, mask, Math.abs);
}

/**
 * Peak signal to noise ratio, 20·log₁₀(range/rmse), dB; infinite where the pictures are the same.
 * range: from the least to the greatest value that the pictures could hold, in the unit of the pixels.
 */
export function psnr(a: Pixels, b: Pixels, range: number): number {
  return 20 * Math.log10(range / rmse(a, b));
}

function meanOf(a: Pixels, b: Pixels, mask: ArrayLike<number> | undefined, of: (difference: number) => number): number {
  sameSize(a, b);
  let sum = 0, count = 0;
  for (let i = 0; i < a.data.length; i++) {
    if (mask && !mask[i]) continue;
    sum += of(a.data[i] - b.data[i]);
    count++;
  }
  return sum / count;
}
