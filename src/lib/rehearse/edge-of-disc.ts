import type { Image } from '../types.ts';
import { fullWidthHalfMaximum } from '../measure/point-spread.ts';

export interface EdgeOfDisc {
  /** Full width at half maximum of the edge's slope, mm: what a thin wall would be spread to. */
  readonly width: number;
  /** Cycles/mm at which a tenth of the contrast is left. */
  readonly tenth: number;
}

export interface EdgeOptions {
  readonly centre: readonly [x: number, y: number];
  readonly radius: number;
  /** How far from the edge is looked, mm. */
  readonly reach: number;
  /** Width of the steps in which the distance from the edge is counted, mm. */
  readonly step: number;
  /** Only the parts of the edge that face this direction or its opposite, within 20°; all round when left out. Radians from +x. */
  readonly facing?: number;
}

/**
 * How sharp the rim of a disc is in a picture: the values by their distance from the true rim, their slope, and its transform. Means over the whole rim, so that noise and
 * streaks count little.
 * Throws RangeError where the picture has too few pixels near the rim.   Source: the edge method, as in ASTM E1695 (from memory).
 */
export function edgeOfDisc({ width, height, pixelSize, centre: middle = [0, 0], data }: Image, { centre, radius, reach, step, facing }: EdgeOptions): EdgeOfDisc {
  const bins = 2 * Math.round(reach / step);
  const sums = new Float64Array(bins), counts = new Float64Array(bins), places = new Float64Array(bins);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const x = middle[0] + (column - (width - 1) / 2) * pixelSize - centre[0];
      const y = middle[1] + ((height - 1) / 2 - row) * pixelSize - centre[1];
      if (facing !== undefined && Math.abs(Math.cos(Math.atan2(y, x) - facing)) < Math.cos(Math.PI / 9)) continue;
      const from = Math.hypot(x, y) - radius;
      const bin = Math.floor(from / step) + bins / 2;
      if (bin < 0 || bin >= bins) continue;
      sums[bin] += data[row * width + column];
      places[bin] += from;
      counts[bin]++;
    }
  }
  if (counts.some((count) => count === 0)) throw new RangeError('the picture has too few pixels near the rim of the disc');
  const distance = new Float64Array(bins - 1), slope = new Float64Array(bins - 1);
  for (let k = 0; k + 1 < bins; k++) {
    const [near, far] = [places[k] / counts[k], places[k + 1] / counts[k + 1]];
    distance[k] = (near + far) / 2;
    slope[k] = (sums[k] / counts[k] - sums[k + 1] / counts[k + 1]) / (far - near);
  }
  const transform = (f: number) => {
    let [real, imaginary] = [0, 0];
    for (let k = 0; k < slope.length; k++) {
      const gap = (k + 1 < slope.length ? distance[k + 1] - distance[k] : distance[k] - distance[k - 1]);
      real += slope[k] * gap * Math.cos(2 * Math.PI * f * distance[k]);
      imaginary += slope[k] * gap * Math.sin(2 * Math.PI * f * distance[k]);
    }
    return Math.hypot(real, imaginary);
  };
  const whole = transform(0);
  const fine = 1 / (40 * reach);
  let f = fine;
  while (transform(f) > 0.1 * whole && f < 1 / step) f += fine;
  return { width: fullWidthHalfMaximum(distance, slope), tenth: f };
}
