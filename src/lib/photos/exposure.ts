import type { Projections } from '../types.ts';
import { quantile } from './median.ts';
import type { OpenRegion } from './open-region.ts';

/**
 * Brings every view to the same exposure, in place: its transmissions are divided by their median over the open region, which is 1
 * where nothing stands in the beam. A camera that adjusts itself, a tube that warms up, a flat taken another day go out with it.
 * Result: what each view was divided by.   Throws RangeError where the region has no pixel.
 */
export function evenExposure({ views, rows, columns, data }: Projections, { mask }: OpenRegion): Float64Array {
  const open = [...mask.keys()].filter((i) => mask[i] === 1);
  if (open.length === 0) throw new RangeError('there is no open region to take the exposure from');
  const size = rows * columns;
  const values = new Float64Array(open.length);
  return Float64Array.from({ length: views }, (_, view) => {
    const frame = data.subarray(view * size, (view + 1) * size);
    for (let k = 0; k < open.length; k++) values[k] = frame[open[k]];
    const level = meanOfMiddle(values);
    for (let i = 0; i < size; i++) frame[i] /= level;
    return level;
  });
}

/** The mean without the outermost twentieth at either end: as sure as a mean, and a spot does not move it. */
function meanOfMiddle(values: Float64Array): number {
  const [low, high] = [quantile(values, 0.05), quantile(values, 0.95)];
  let sum = 0, count = 0;
  for (const value of values) {
    if (value < low || value > high) continue;
    sum += value;
    count++;
  }
  return sum / count;
}

/** Brings all views together to a mean of 1 over the open region, in place, and leaves their differences. Gives what they were divided by. */
export function levelTogether({ data }: Projections, { mask }: OpenRegion): number {
  let sum = 0, count = 0;
  for (let at = 0; at < data.length; at += mask.length) {
    for (let i = 0; i < mask.length; i++) {
      if (!mask[i]) continue;
      sum += data[at + i];
      count++;
    }
  }
  const level = sum / count;
  for (let i = 0; i < data.length; i++) data[i] /= level;
  return level;
}
