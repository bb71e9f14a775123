import { detectorPosition } from '../geometry/detector-position.ts';
import type { FlatBeam, Grid } from '../types.ts';

/**
 * Joseph's walk along one ray: one step for each row of pixels that the ray crosses, or for each column if it runs more across than
 * down; at each step it passes between two neighbouring pixel middles and takes their straight-line interpolant. The steps are
 * pixelSize/|cos θ| long, or pixelSize/|sin θ|. Source: Joseph, IEEE Trans. Med. Imaging MI-1:192 (1982), citation from memory.
 *
 * Pixels are addressed in an image with a border of zeros one pixel wide, so that no step need ask whether it has left the image:
 *   step k, first ≤ k < end:  place = at + k·slope;  i = ⌊place⌋;  fraction = place − i;
 *   pixels base + k·along + i·across and the one `across` further
 */
export interface Walk {
  first: number;
  end: number;
  /** Index in the bordered image of the pixel at k = 0, place 0. */
  base: number;
  along: number;
  across: number;
  at: number;
  slope: number;
  /** Length of a step, mm. */
  step: number;
}

/** Width of the bordered image; its height is grid.height + 2, its first pixel's middle is (−1, −1) in columns and rows. */
export function borderedWidth(grid: Grid): number {
  return grid.width + 2;
}

export function bordered(grid: Grid): number {
  return borderedWidth(grid) * (grid.height + 2);
}

/** Writes a picture's pixels into a bordered image, and zeros round them. */
export function setBordered(pixels: Float64Array, data: ArrayLike<number>, grid: Grid): void {
  const { width, height } = grid;
  pixels.fill(0);
  for (let row = 0; row < height; row++) {
    const from = row * width, to = (row + 1) * borderedWidth(grid) + 1;
    for (let column = 0; column < width; column++) pixels[to + column] = data[from + column]!;
  }
}

/** Takes them out of it again, without the border. */
export function takeBordered(pixels: Float64Array, data: Float32Array | Float64Array, grid: Grid): void {
  const { width, height } = grid;
  for (let row = 0; row < height; row++) {
    const from = (row + 1) * borderedWidth(grid) + 1;
    data.set(pixels.subarray(from, from + width), row * width);
  }
}

/** A walk to be written to, so that the loop over the rays makes no objects. */
export function emptyWalk(): Walk {
  return { first: 0, end: 0, base: 0, along: 0, across: 0, at: 0, slope: 0, step: 0 };
}

/**
 * Writes into `walk` the way of the ray to a detector cell through the grid. A ray that misses the grid has end ≤ first.
 * A fan's ray begins at its source; it is not ended at the detector.
 */
export function walkRay(walk: Walk, geometry: FlatBeam, view: number, detector: number, grid: Grid): void {
  let s = detectorPosition(geometry, detector);
  let theta = geometry.angles[view]!;
  if (geometry.beam === 'fan') {
    const gamma = Math.atan2(s, geometry.sourceToDetector); // as rayOf, without making an object
    theta += gamma;
    s = geometry.sourceToAxis * Math.sin(gamma);
  }
  const cos = Math.cos(theta);
  const sin = Math.sin(theta);
  const { width, height, pixelSize, centre } = grid;
  // In pixels from the middle of the first one, columns to the right and rows down: column·cos − row·sin = distance.
  const distance =
    (s - (centre?.[0] ?? 0) * cos - (centre?.[1] ?? 0) * sin) / pixelSize + ((width - 1) / 2) * cos - ((height - 1) / 2) * sin;
  const down = Math.abs(cos) >= Math.abs(sin);
  const steps = down ? height : width;
  const breadth = down ? width : height;
  const at = down ? distance / cos : -distance / sin;
  const slope = down ? sin / cos : cos / sin;
  const row = borderedWidth(grid);
  walk.along = down ? row : 1;
  walk.across = down ? 1 : row;
  walk.base = row + 1;
  walk.at = at;
  walk.slope = slope;
  walk.step = pixelSize / Math.abs(down ? cos : sin);

  // The steps whose place is between −1 and breadth, both ends left out: there one of the two pixels at least lies in the image.
  let first = 0;
  let end = steps;
  if (slope !== 0) {
    const enter = (-1 - at) / slope;
    const leave = (breadth - at) / slope;
    first = Math.max(0, Math.ceil(Math.min(enter, leave)));
    end = Math.min(steps, Math.floor(Math.max(enter, leave)) + 1);
  } else if (!(at > -1 && at < breadth)) end = 0;
  if (geometry.beam === 'fan') {
    // Along the ray, (sin θ, −cos θ): rows grow with cos θ, columns with sin θ. Nothing behind the source counts.
    const beta = geometry.angles[view]!;
    const source = down
      ? (height - 1) / 2 - (geometry.sourceToAxis * Math.cos(beta) - (centre?.[1] ?? 0)) / pixelSize
      : (width - 1) / 2 + (-geometry.sourceToAxis * Math.sin(beta) - (centre?.[0] ?? 0)) / pixelSize;
    if ((down ? cos : sin) > 0) first = Math.max(first, Math.ceil(source));
    else end = Math.min(end, Math.floor(source) + 1);
  }
  while (first < end && !(at + first * slope > -1 && at + first * slope < breadth)) first++;
  while (end > first && !(at + (end - 1) * slope > -1 && at + (end - 1) * slope < breadth)) end--;
  walk.first = first;
  walk.end = end;
}
