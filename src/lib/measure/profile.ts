import type { Image } from '../types.ts';

export interface Profile {
  /** From the first point, mm. */
  readonly distance: Float64Array;
  /** In the unit of the image; NaN outside it. */
  readonly value: Float64Array;
}

/**
 * The values along the straight line between two points (mm), at evenly spaced places, both ends among them.
 * samples: how many, ≥ 2; left out, one a pixel edge or a little closer.
 * Between pixel centres the value is interpolated linearly in both directions; the outermost half pixel holds the value of its centre.
 */
export function profile(image: Image, from: readonly [x: number, y: number], to: readonly [x: number, y: number], samples?: number): Profile {
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const count = samples ?? Math.max(2, Math.ceil(length / image.pixelSize) + 1);
  const distance = new Float64Array(count), value = new Float64Array(count);
  for (let i = 0; i < count; i++) {
    const share = i / (count - 1);
    distance[i] = share * length;
    value[i] = interpolated(image, from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1]));
  }
  return { distance, value };
}

/** The image at a point (mm), interpolated linearly in both directions; NaN outside the outermost pixels' edges. */
export function interpolated(image: Image, x: number, y: number): number {
  const { width, height, pixelSize, centre = [0, 0], data } = image;
  const column = (x - centre[0]) / pixelSize + (width - 1) / 2;
  const row = (centre[1] - y) / pixelSize + (height - 1) / 2;
  const slack = 1e-9; // a point on the very edge belongs to the image, whatever rounding made of it
  if (!(Math.abs(column - (width - 1) / 2) <= width / 2 + slack && Math.abs(row - (height - 1) / 2) <= height / 2 + slack)) return NaN;
  const c = Math.min(Math.max(column, 0), width - 1), r = Math.min(Math.max(row, 0), height - 1);
  const left = Math.floor(c), upper = Math.floor(r);
  const right = Math.min(left + 1, width - 1), lower = Math.min(upper + 1, height - 1);
  const across = c - left, down = r - upper;
  return (1 - down) * ((1 - across) * data[upper * width + left] + across * data[upper * width + right])
    + down * ((1 - across) * data[lower * width + left] + across * data[lower * width + right]);
}
