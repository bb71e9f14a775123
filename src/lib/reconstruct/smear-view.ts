import type { FlatBeam, Image } from '../types.ts';
import { smearFan } from './smear-fan.ts';
import { smearParallel } from './smear-parallel.ts';

/** Adds one view to the image, which it changes, a block of rows of about a million pixels at a time; yields the share of the rows done. */
export function* smearView(values: Float32Array, view: number, geometry: FlatBeam, image: Image, power: 0 | 1 | 2): Generator<number, void, void> {
  const rows = Math.max(1, Math.floor(2 ** 20 / image.width));
  for (let row = 0; row < image.height; row += rows) {
    const end = Math.min(image.height, row + rows);
    if (geometry.beam === 'parallel') smearParallel(values, geometry.angles[view], geometry, image, row, end);
    else smearFan(values, geometry.angles[view], geometry, image, row, end, power);
    yield end / image.height;
  }
}
