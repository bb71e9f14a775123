import { finish, type Steps } from '../engine/steps.ts';
import type { Projections, Sinogram } from '../types.ts';
import { deviationOfMedian, medianOfFew } from './median.ts';

export interface RingOptions {
  /** Offsets beyond this are left alone: they are an object on the axis or a dead column, not a fault of gain. 0.15 when left out. */
  readonly limit?: number;
  /** Offsets below so many times their own uncertainty are left alone; 3 when left out. */
  readonly certainty?: number;
}

export interface RingReport {
  /** Cells that were moved. */
  readonly changed: number;
  /** Root mean square of what they were moved by. */
  readonly moved: number;
}

/**
 * Takes from every cell of the detector what it shows too much or too little in all views alike, which would become a ring; in place.
 *   offset(cell) = median over the views of p(cell) − median of p over the two cells on either side
 * Of a turning object the difference comes and goes; of a faulty cell it stays. It is taken where the cell also stands out from the
 * median of all five, which a steady slope does not, such as the edge of something round; and where that is surer than
 * `certainty` times its uncertainty. A wire that stands on the axis looks like a fault: the limit protects what is dense, not what is faint.
 * Common practice, no source.
 */
export function suppressRings(projections: Projections, options: RingOptions = {}): RingReport {
  return finish(suppressRingsSteps(projections, options));
}

/** The same for one slice. */
export function suppressRingsOf({ views, detectors, data }: Sinogram, options: RingOptions = {}): RingReport {
  return suppressRings({ views, rows: 1, columns: detectors, data }, options);
}

/** The same as steps that can be followed and stopped. */
export function* suppressRingsSteps({ views, rows, columns, data }: Projections, { limit = 0.15, certainty = 3 }: RingOptions = {}): Steps<RingReport> {
  const few = new Float64Array(5), beside = new Float64Array(4);
  const fromFive = new Float32Array(columns * views), fromFour = new Float32Array(columns * views);
  const ofCell = new Float32Array(views);
  let changed = 0, squares = 0;
  for (let row = 0; row < rows; row++) {
    for (let view = 0; view < views; view++) {
      const at = (view * rows + row) * columns;
      for (let column = 0; column < columns; column++) {
        let count = 0, others = 0;
        for (let k = Math.max(0, column - 2); k <= Math.min(columns - 1, column + 2); k++) {
          few[count++] = data[at + k];
          if (k !== column) beside[others++] = data[at + k];
        }
        fromFive[column * views + view] = data[at + column] - medianOfFew(few, count);
        fromFour[column * views + view] = data[at + column] - medianOfFew(beside, others);
      }
    }
    for (let column = 0; column < columns; column++) {
      const five = fromFive.subarray(column * views, (column + 1) * views);
      const sign = middleOf(five, ofCell);
      for (let view = 0; view < views; view++) ofCell[view] = Math.abs(five[view] - sign);
      // The median of n numbers is √(π/2) times less sure than their mean.
      const uncertainty = (1.2533 * deviationOfMedian * middleOf(ofCell, ofCell)) / Math.sqrt(views);
      const offset = middleOf(fromFour.subarray(column * views, (column + 1) * views), ofCell);
      if (sign * offset <= 0 || Math.abs(sign) <= certainty * uncertainty || Math.abs(offset) > limit) continue;
      for (let view = 0; view < views; view++) data[(view * rows + row) * columns + column] -= offset;
      changed++;
      squares += offset ** 2;
    }
    yield (row + 1) / rows;
  }
  return { changed, moved: changed === 0 ? 0 : Math.sqrt(squares / changed) };
}

/** The median; `space`, as long, is overwritten. */
function middleOf(values: Float32Array, space: Float32Array): number {
  space.set(values);
  space.sort();
  const half = space.length >> 1;
  return space.length % 2 === 1 ? space[half] : (space[half - 1] + space[half]) / 2;
}
