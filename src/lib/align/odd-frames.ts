import { ringOf } from '../geometry/ring.ts';
import type { Projections } from '../types.ts';
import type { Strips } from './strips.ts';

/** A frame that shows the same as another one. */
export interface Duplicate {
  readonly frame: number;
  readonly of: number;
}

/**
 * Frames that repeat the one before them (or, at the end of a whole turn, the first): they differ from it by less than a tenth of what
 * neighbouring frames usually differ by, in squares. A stage that stood still, a shutter pressed twice, a turn that came round.
 */
export function duplicateFrames({ views, bands, cells, data }: Strips): Duplicate[] {
  const size = bands * cells;
  const distance = (a: number, b: number) => {
    let sum = 0;
    for (let i = 0; i < size; i++) sum += (data[a * size + i]! - data[b * size + i]!) ** 2;
    return sum;
  };
  const steps = Array.from({ length: views - 1 }, (_, i) => distance(i, i + 1));
  const usual = [...steps].sort((a, b) => a - b)[Math.floor(steps.length / 2)]!;
  const duplicates: Duplicate[] = [];
  const originalOf = Array.from({ length: views }, (_, i) => i);
  for (let i = 1; i < views; i++) {
    if (steps[i - 1]! >= usual / 10) continue;
    originalOf[i] = originalOf[i - 1]!;
    duplicates.push({ frame: i, of: originalOf[i]! });
  }
  if (originalOf.at(-1) === views - 1 && distance(views - 1, 0) < usual / 10) duplicates.push({ frame: views - 1, of: 0 });
  return duplicates;
}

/**
 * Frames that were taken while the stage moved, or where it stood between two steps. Either the frame lies off its step by more than 0.15
 * of a step (0.35 beside a lost frame, where it is less well known; the mean of a movement lies behind its end), and by five times what
 * frames usually do; or it is blurred across: along the rows
 * it changes less, in squares, than any of the two frames on either side does (less than 0.85 of the least), and surprises more.
 * angles: one a frame.   fits: as Consistency gives them.   free: the rows to look at.
 */
export function movedFrames({ views, rows, columns, data }: Projections, angles: readonly number[], { surprises, ahead }: { readonly surprises: ArrayLike<number>; readonly ahead: ArrayLike<number> }, free: ArrayLike<number>): number[] {
  const size = rows * columns;
  const wide = Math.max(1, Math.round(columns / 256)); // over so many columns and three rows, so that noise counts little
  const sums = new Float64Array(columns + 1);
  const energy = Float64Array.from({ length: views }, (_, view) => {
    let total = 0;
    for (let row = rows > 2 ? 1 : 0; row < Math.max(1, rows - 1); row++) {
      if (!free[row]) continue;
      const at = view * size + row * columns;
      for (let j = 0; j < columns; j++) sums[j + 1] = sums[j]! + data[at + j]! + (rows > 2 ? data[at + j - columns]! + data[at + j + columns]! : 0);
      for (let j = wide; j + wide <= columns; j++) total += (sums[j + wide]! - 2 * sums[j]! + sums[j - wide]!) ** 2;
    }
    return total;
  });
  const usualSurprise = median(Array.from(surprises));
  const usualAhead = 1.4826 * median(Array.from(ahead, Math.abs));
  const { directionOf, directions, gaps } = ringOf(angles, 2 * Math.PI);
  const least = Math.min(...gaps);
  const at = directions.map((_, direction) => directionOf.indexOf(direction));
  return Array.from({ length: views }, (_, view) => view).filter((view) => {
    const place = directionOf[view]!;
    const besideGap = Math.max(gaps.at(place - 1)!, gaps[place]!) > 1.5 * least;
    if (Math.abs(ahead[view]!) > Math.max(besideGap ? 0.35 : 0.15, 5 * usualAhead)) return true;
    const near = [-2, -1, 1, 2].map((away) => energy[at[(place + away + 2 * at.length) % at.length]!]!);
    return energy[view]! < 0.85 * Math.min(...near) && surprises[view]! > 1.15 * usualSurprise;
  });
}

function median(values: number[]): number {
  return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
}
