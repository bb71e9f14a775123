import type { Projections } from '../types.ts';
import { medianOfFew, quantile } from './median.ts';

/** A column is dead that is this far from the median of its neighbours, on the average over all rows and views, and so many times what is usual. */
const leastDistance = 0.05, tooFar = 8;

/**
 * The columns of the camera that tell nothing: off from the median of the five around by more than 0.05 on the average, and by eight
 * times what is usual. An object stands still in no column.   Common practice, no source: the limits are those above.
 */
export function findDeadColumns({ views, rows, columns, data }: Projections): number[] {
  const distance = new Float64Array(columns);
  const few = new Float64Array(5);
  for (let line = 0; line < views * rows; line++) {
    const at = line * columns;
    for (let column = 0; column < columns; column++) {
      let count = 0;
      for (let k = Math.max(0, column - 2); k <= Math.min(columns - 1, column + 2); k++) few[count++] = data[at + k];
      distance[column] += Math.abs(data[at + column] - medianOfFew(few, count)) / (views * rows);
    }
  }
  const usual = quantile(distance.slice(), 0.5);
  return [...distance.keys()].filter((column) => distance[column] > leastDistance && distance[column] > tooFar * usual);
}

/** Fills columns from the nearest good ones on either side, along straight lines, in place. */
export function fillColumns({ views, rows, columns, data }: Projections, dead: readonly number[]): void {
  const isDead = new Set(dead);
  const next = (from: number, step: number) => {
    let column = from;
    while (isDead.has(column)) column += step;
    return column;
  };
  for (const column of dead) {
    let [left, right] = [next(column, -1), next(column, 1)];
    if (left < 0 && right >= columns) return;
    if (left < 0) left = right;
    if (right >= columns) right = left;
    const share = left === right ? 0 : (column - left) / (right - left);
    for (let line = 0; line < views * rows; line++) {
      const at = line * columns;
      data[at + column] = (1 - share) * data[at + left] + share * data[at + right];
    }
  }
}
