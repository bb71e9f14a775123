import { detectorIndex } from '../geometry/detector-position.ts';
import { pixelPosition } from '../geometry/pixel-position.ts';
import type { Image, ParallelBeam } from '../types.ts';
import { columnsWhere } from './columns-where.ts';

/**
 * Adds one view to the rows firstRow … endRow − 1 of the image, which it changes: to every pixel the value that its ray left on the
 * detector, interpolated linearly between the middles of two cells, and nothing beyond the middles of the outermost cells.
 * values: one a cell, and a 0 after the last.
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3.
 */
// region backproject-parallel
export function smearParallel(values: Float32Array, angle: number, geometry: ParallelBeam, image: Image, firstRow: number, endRow: number): void {
  const { width, pixelSize, data } = image;
  const lastCell = geometry.detectors - 1;
  const step = (pixelSize * Math.cos(angle)) / geometry.pitch; // cells from one pixel to the next in a row
  for (let row = firstRow; row < endRow; row++) {
    const [x, y] = pixelPosition(image, 0, row);
    const start = detectorIndex(geometry, x * Math.cos(angle) + y * Math.sin(angle)); // the cell, with its fraction, below column 0
    const { first, end } = columnsWhere(width, [{ start, step }, { start: lastCell - start, step: -step }]);
    let at = start + first * step;
    for (let pixel = row * width + first; pixel < row * width + end; pixel++) {
      const cell = at | 0;
      const value = values[cell];
      data[pixel] += value + (at - cell) * (values[cell + 1] - value);
      at += step;
    }
  }
}
// endregion
