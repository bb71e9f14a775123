import { BadInput } from '../files/bad-input.ts';

/** An image, or anything else of rows of numbers: data[row · width + column]. */
export interface Pixels {
  readonly width: number;
  readonly height: number;
  readonly data: ArrayLike<number>;
}

/** Throws BadInput unless both have the same width and height. */
export function sameSize(a: Pixels, b: Pixels): void {
  if (a.width === b.width && a.height === b.height) return;
  throw new BadInput(`One picture has ${a.width} × ${a.height} pixels and the other ${b.width} × ${b.height}; to be compared they need the same number.`);
}
