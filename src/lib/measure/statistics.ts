import type { Pixels } from './pixels.ts';

export interface Statistics {
  /** Pixels counted: those under the mask that hold a number. */
  readonly count: number;
  readonly mean: number;
  /** Standard deviation, over `count`. */
  readonly deviation: number;
  readonly least: number;
  readonly greatest: number;
}

/** Mean, spread and ends of the pixels where mask is not 0 (all when left out). NaN pixels are left out; of none, all is NaN. */
export function statistics({ data }: Pick<Pixels, 'data'>, mask?: ArrayLike<number>): Statistics {
  const counted = (i: number) => (!mask || mask[i] !== 0) && !Number.isNaN(data[i]);
  let count = 0, sum = 0, least = Infinity, greatest = -Infinity;
  for (let i = 0; i < data.length; i++) {
    if (!counted(i)) continue;
    count++;
    sum += data[i];
    if (data[i] < least) least = data[i];
    if (data[i] > greatest) greatest = data[i];
  }
  if (count === 0) return { count, mean: NaN, deviation: NaN, least: NaN, greatest: NaN };
  const mean = sum / count;
  let squares = 0;
  for (let i = 0; i < data.length; i++) if (counted(i)) squares += (data[i] - mean) ** 2;
  return { count, mean, deviation: Math.sqrt(squares / count), least, greatest };
}
