import type { Image } from '../types.ts';
import { profile } from './profile.ts';

export interface PointSpread {
  /** The greatest pixel, in the unit of the image, and where its centre lies, mm. */
  readonly peak: number;
  readonly x: number;
  readonly y: number;
  /** Full width at half of that height along x and along y, mm; NaN where the image ends before the values fall to half. */
  readonly fwhmX: number;
  readonly fwhmY: number;
}

/**
 * How the picture shows a small bright point near (x, y), mm: the greatest pixel within `search` mm of there (5 pixels when left
 * out) and the widths of the profiles through it. Heights are reckoned from 0.
 */
export function pointSpread(image: Image, x: number, y: number, search = 5 * image.pixelSize): PointSpread {
  const { width, height, pixelSize, centre = [0, 0], data } = image;
  const best = { peak: -Infinity, x: NaN, y: NaN };
  for (let row = 0; row < height; row++) {
    const py = centre[1] + ((height - 1) / 2 - row) * pixelSize;
    for (let column = 0; column < width; column++) {
      const px = centre[0] + (column - (width - 1) / 2) * pixelSize;
      if (Math.hypot(px - x, py - y) > search || !(data[row * width + column] > best.peak)) continue;
      Object.assign(best, { peak: data[row * width + column], x: px, y: py });
    }
  }
  const left = centre[0] - ((width - 1) / 2) * pixelSize, right = centre[0] + ((width - 1) / 2) * pixelSize;
  const bottom = centre[1] - ((height - 1) / 2) * pixelSize, top = centre[1] + ((height - 1) / 2) * pixelSize;
  const along = profile(image, [left, best.y], [right, best.y], width);
  const up = profile(image, [best.x, bottom], [best.x, top], height);
  return {
    ...best,
    fwhmX: fullWidthHalfMaximum(along.distance, along.value, best.x - left),
    fwhmY: fullWidthHalfMaximum(up.distance, up.value, best.y - bottom),
  };
}

/**
 * Full width at half maximum of a peak above 0: from where the values first fall to half the maximum on its left to where they do
 * on its right, interpolated linearly between the samples.
 * distance: rising, mm.   near: the peak is the sample nearest to this distance; left out, the greatest of all.
 * NaN if a side ends before the values fall to half.
 */
export function fullWidthHalfMaximum(distance: ArrayLike<number>, value: ArrayLike<number>, near?: number): number {
  let top = 0;
  for (let i = 1; i < value.length; i++) {
    const better = near === undefined ? !(value[i] <= value[top]) : Math.abs(distance[i] - near) < Math.abs(distance[top] - near);
    if (better) top = i;
  }
  const half = value[top] / 2;
  const crossing = (step: 1 | -1): number => {
    let i = top;
    while (value[i] > half) i += step;
    if (!(value[i] <= half)) return NaN; // past the end, or a value that is not a number
    const share = (half - value[i]) / (value[i - step] - value[i]);
    return distance[i] + share * (distance[i - step] - distance[i]);
  };
  return value[top] > 0 ? crossing(1) - crossing(-1) : NaN;
}
