/** From the numbers as they were brought to line integrals with a view in each row. */
import { turned, type Table2D } from '../../lib/index.ts';
import type { Taken } from './model.ts';

/**
 * Line integrals p = number / unit, or p = −ln(number / bright); a new table with the views in rows.
 * Brightness of 0 or less would make p infinite: such cells get half the least brightness above 0.
 */
export function lineIntegrals(table: Table2D, taken: Pick<Taken, 'viewsIn' | 'numbers' | 'bright' | 'unit'>): Table2D {
  const upright = taken.viewsIn === 'rows' ? table : turned(table);
  if (taken.numbers === 'line-integrals') {
    return taken.unit === 1 ? upright : { ...upright, data: upright.data.map((value) => value / taken.unit) };
  }
  const floor = leastAboveZero(upright.data) / 2;
  return { ...upright, data: upright.data.map((value) => -Math.log(Math.max(value, floor) / taken.bright)) };
}

/** How many cells saw no light at all. */
export function darkCells(table: Table2D): number {
  let count = 0;
  for (const value of table.data) if (value <= 0) count++;
  return count;
}

function leastAboveZero(data: Float32Array): number {
  let least = Infinity;
  for (const value of data) if (value > 0 && value < least) least = value;
  return least === Infinity ? 1 : least;
}
