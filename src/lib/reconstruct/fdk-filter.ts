import { viewFilter } from '../filter/filter-views.ts';
import type { Filter } from '../filter/filter.ts';
import { magnification } from '../geometry/magnification.ts';
import type { ConeBeam } from '../types.ts';
import { coneWeights, midPlaneFan } from './cone-weights.ts';
import { straightener } from './fdk-straighten.ts';
import type { Slab } from './slab.ts';
import { viewShares } from './view-shares.ts';

/** How many numbers a filtered frame takes as `frameFilter` writes it: (detectors + 1) · (rows + 1). */
export function curtainLength({ detectors, rows }: ConeBeam): number {
  return (detectors + 1) * (rows + 1);
}

/**
 * What is done to a frame before it is smeared back: made upright, weighed (coneWeights, and the view's share of the turn) and
 * filtered row by row, at the pitch that the rays have where they pass the axis. The returned function reads frame `view` of `frames` and
 * writes it into `curtain` column by column, curtain[column · (rows + 1) + row], so that what a column of voxels reads lies together.
 * A 0 stands after the last cell of each column and a column of zeros after the last: interpolating there needs no question.
 * It yields after about every 2¹⁴ cells.   held: the rows that there are, of a slab; the curtain has only those.   window 'none': as fbp has it, weighed and left unfiltered.
 */
export function frameFilter(geometry: ConeBeam, filter: Filter, held: Pick<Slab, 'firstRow' | 'endRow'> = { firstRow: 0, endRow: geometry.rows }): (frames: Float32Array, view: number, curtain: Float32Array | Float64Array) => Generator<void, void, void> {
  const { detectors } = geometry;
  const { firstRow, endRow } = held;
  const straighten = straightener(geometry, held);
  const shares = viewShares(midPlaneFan(geometry));
  const weigh = coneWeights(geometry, filter.window === 'none' ? 2 : 1);
  const filterRow = viewFilter(filter, detectors, geometry.pitch / magnification(geometry));
  const cells = new Float64Array(detectors), weights = new Float64Array(detectors);
  const rows = endRow - firstRow, height = rows + 1;
  const pause = Math.max(1, Math.floor(2 ** 14 / detectors));

  return function* (frames, view, curtain) {
    for (let row = firstRow; row < endRow; row++) {
      straighten(frames, view, row, cells);
      weigh(view, row, weights);
      for (let j = 0; j < detectors; j++) cells[j] *= shares[view] * weights[j];
      filterRow(cells, cells);
      for (let j = 0; j < detectors; j++) curtain[j * height + row - firstRow] = cells[j];
      if (row % pause === pause - 1) yield;
    }
    for (let j = 0; j < detectors; j++) curtain[j * height + rows] = 0;
    curtain.fill(0, detectors * height, (detectors + 1) * height);
    yield;
  };
}
