import { detectorIndex } from '../geometry/detector-position.ts';
import { pixelPosition } from '../geometry/pixel-position.ts';
import type { Grid, ParallelBeam } from '../types.ts';
import { columnsWhere } from './columns-where.ts';

/**
 * Adds one view to the rows firstRow … endRow − 1 of `sum`, a number for each pixel of the grid: the value that the pixel's ray left
 * on the detector, interpolated linearly between the middles of two cells, and nothing beyond the middles of the outermost cells.
 * values: one a cell, and a 0 after the last.
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3.
 */
// region backproject-parallel
export function smearParallel(values: Float64Array, angle: number, geometry: ParallelBeam, grid: Grid, sum: Float64Array, firstRow: number, endRow: number): void {
  const { width, pixelSize } = grid;
  const lastCell = geometry.detectors - 1;
  const cos = Math.cos(angle), sin = Math.sin(angle);
  const step = (pixelSize * cos) / geometry.pitch; // cells from one pixel to the next in a row
  for (let row = firstRow; row < endRow; row++) {
    const [x, y] = pixelPosition(grid, 0, row);
    const start = detectorIndex(geometry, x * cos + y * sin); // the cell, with its fraction, below column 0
    const { first, end } = columnsWhere(width, [{ start, step }, { start: lastCell - start, step: -step }]);
    let at = start + first * step;
    for (let pixel = row * width + first; pixel < row * width + end; pixel++) {
      const cell = at | 0;
      const value = values[cell];
      sum[pixel] += value + (at - cell) * (values[cell + 1] - value);
      at += step;
    }
  }
}
// endregion
