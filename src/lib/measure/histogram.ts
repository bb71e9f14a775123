import type { Pixels } from './pixels.ts';

export interface Histogram {
  /** bins + 1 edges, rising. */
  readonly edges: Float64Array;
  readonly counts: Float64Array;
}

/**
 * How many pixels fall into each of `bins` equal bins over range [from, to]. A bin holds its lower edge; the last also its upper
 * one. Values outside the range, and NaN, are not counted.
 */
export function histogram({ data }: Pick<Pixels, 'data'>, bins: number, [from, to]: readonly [number, number]): Histogram {
  const counts = new Float64Array(bins);
  for (let i = 0; i < data.length; i++) {
    if (!(data[i] >= from && data[i] <= to)) continue;
    const bin = Math.floor(((data[i] - from) / (to - from)) * bins) || 0; // 0/0, where the range is a single value, is the first bin
    counts[Math.min(bin, bins - 1)]++;
  }
  return { edges: Float64Array.from({ length: bins + 1 }, (_, i) => from + ((to - from) * i) / bins), counts };
}
