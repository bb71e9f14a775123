import { histogram, type Histogram } from '../measure/histogram.ts';
import { statistics } from '../measure/statistics.ts';
import type { Volume } from '../types.ts';

/**
 * How often each value occurs in a volume (or a picture), in `bins` equal bins.
 * range: where the bins begin and end, in the unit of the values; from the least to the greatest when left out. Values beyond it, and
 * NaN, are not counted. Throws RangeError unless bins is a whole number from 1.
 */
export function histogramOf(volume: Pick<Volume, 'data'>, bins = 256, range?: readonly [from: number, to: number]): Histogram {
  if (!(Number.isInteger(bins) && bins >= 1)) throw new RangeError(`The number of bins is ${bins} and should be a whole number from 1.`);
  if (range) return histogram(volume, bins, range);
  const { least, greatest } = statistics(volume);
  return histogram(volume, bins, [least, greatest]);
}
