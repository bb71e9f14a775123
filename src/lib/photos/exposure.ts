import type { Projections } from '../types.ts';
import { quantile } from './median.ts';
import type { OpenRegion } from './open-region.ts';

/**
 * The level of each view: the mean of its transmissions over the open region, 1 where nothing but the object stands in the beam. Mean of the
 * middle nine tenths, which is as sure as a mean, and which a spot does not move.
 * Throws RangeError where the region has no pixel.
 */
export function exposureLevels({ views, data }: Projections, { mask }: OpenRegion): Float64Array {
  const open = Uint32Array.from(mask.keys()).filter((i) => mask[i] === 1);
  if (open.length === 0) throw new RangeError('there is no open region to take the exposure from');
  const values = new Float64Array(open.length);
  return Float64Array.from({ length: views }, (_, view) => {
    for (let k = 0; k < open.length; k++) values[k] = data[view * mask.length + open[k]];
    return meanOfMiddle(values);
  });
}

/**
 * Brings every view to the same exposure, in place: each is divided by its level. A camera that adjusts itself, a tube that warms up, a
 * flat taken another day go out with it.   Result: what each view was divided by.   Throws RangeError where the region has no pixel.
 */
export function evenExposure(transmission: Projections, region: OpenRegion): Float64Array {
  const levels = exposureLevels(transmission, region);
  const size = region.mask.length;
  levels.forEach((level, view) => {
    for (let i = view * size; i < (view + 1) * size; i++) transmission.data[i] /= level;
  });
  return levels;
}

/** The values are sorted in place. */
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
