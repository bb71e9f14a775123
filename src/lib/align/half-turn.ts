import { BadInput } from '../files/bad-input.ts';
import type { Projections } from '../types.ts';

/**
 * Throws BadInput where the frames show half a turn though their angles, equal steps round a whole one, say otherwise: the frame after
 * the last would be the mirror image of the first, instead of the first itself.
 * Judged in the usable rows only where it is plain: the last frame is nearer to the mirrored first frame (at the best place for it) than
 * half its distance to the first, and far from the first beside what one step changes.
 */
export function refuseHalfTurn(frames: Projections, angles: readonly number[], free: Uint8Array): void {
  const { views } = frames;
  const turn = (angle: number) => ((angle % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
  const order = Array.from({ length: views }, (_, view) => view).sort((a, b) => turn(angles[a]! - angles[0]!) - turn(angles[b]! - angles[0]!));
  const profile = order.map((view) => profileOf(frames, view, free));
  const steps = order.slice(1).map((_, i) => distance(profile[i]!, profile[i + 1]!)).sort((a, b) => a - b);
  const usual = steps[Math.floor(steps.length / 2)]!;
  const [first, last] = [profile[0]!, profile.at(-1)!];
  const joins = distance(last, first);
  if (joins < 6 * usual) return;
  if (mirroredDistance(last, first, frames.columns) > Math.min(joins / 4, 3 * usual)) return;
  throw new BadInput(
    `The frames show half a turn and the angles say a whole one: the last frame joins the mirror image of the first, so the step should be half of what is given.`,
  );
}

/** Rows in up to 24 bands, columns as they are. */
function profileOf({ rows, columns, data }: Projections, view: number, free: Uint8Array): Float64Array {
  const bands = Math.min(24, rows);
  const profile = new Float64Array(bands * columns);
  for (let row = 0; row < rows; row++) {
    if (!free[row]) continue;
    const to = Math.floor((row * bands) / rows) * columns;
    for (let j = 0; j < columns; j++) profile[to + j]! += data[(view * rows + row) * columns + j]!;
  }
  return profile;
}

const distance = (a: Float64Array, b: Float64Array) => a.reduce((sum, value, i) => sum + (value - b[i]!) ** 2, 0);

/** Least distance over all places of the mirror, half a column apart, in the middle half; beside the frame counts as 0. */
function mirroredDistance(a: Float64Array, b: Float64Array, columns: number): number {
  let least = Infinity;
  for (let twice = Math.floor(columns / 2); twice <= 1.5 * columns; twice++) {
    let sum = 0;
    for (let i = 0; i < a.length; i++) {
      const other = twice - (i % columns);
      sum += (a[i]! - (other >= 0 && other < columns ? b[i - (i % columns) + other]! : 0)) ** 2;
    }
    least = Math.min(least, sum);
  }
  return least;
}
