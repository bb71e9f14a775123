import type { FlatBeam, Grid } from '../types.ts';
import { smearFan } from './smear-fan.ts';
import { smearParallel } from './smear-parallel.ts';

/**
 * Adds one view to `sum`, a number for each pixel of the grid, a block of rows of at most about a million pixels at a time; yields
 * the share of the rows done. Summed in double precision: hundreds of views in single precision would lose the sixth digit.
 */
export function* smearView(values: Float64Array, view: number, geometry: FlatBeam, grid: Grid, sum: Float64Array, power: 0 | 1 | 2): Generator<number, void, void> {
  const rows = Math.max(1, Math.floor(2 ** 20 / grid.width));
  for (let row = 0; row < grid.height; row += rows) {
    const end = Math.min(grid.height, row + rows);
    if (geometry.beam === 'parallel') smearParallel(values, geometry.angles[view], geometry, grid, sum, row, end);
    else smearFan(values, geometry.angles[view], geometry, grid, sum, row, end, power);
    yield end / grid.height;
  }
}
