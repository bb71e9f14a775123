/** The directions of a scan laid round a circle. */
export interface Ring {
  /** Once round, radians. */
  readonly period: number;
  /** The different directions, rising, 0 ≤ direction < period. */
  readonly directions: readonly number[];
  /** gaps[k]: from direction k on to the next; they add up to the period. */
  readonly gaps: readonly number[];
  /** Which direction each view has. */
  readonly directionOf: readonly number[];
  /** The usual step: the median gap. */
  readonly usual: number;
  /** The gaps that are too wide to be a lost frame or two, the widest first. */
  readonly wide: readonly number[];
}

/**
 * Lays angles round a circle of the given period, views that look the same way (to 10⁻⁷) on one place.
 * A gap is wide when it is more than three usual steps and more than 15°: our own rule. Three, because golden-angle scans have steps
 * up to 2.6 times their least; 15°, because a dense scan can lose a run of frames and still be told by its neighbours.
 */
export function ringOf(angles: readonly number[], period: number): Ring {
  const folded = angles.map((angle) => {
    const inside = angle - period * Math.floor(angle / period);
    return inside > period - SAME ? 0 : inside; // just short of once round is the beginning again
  });
  const order = folded.map((_, view) => view).sort((a, b) => folded[a]! - folded[b]!);
  const directions: number[] = [];
  const directionOf = new Array<number>(angles.length);
  for (const view of order) {
    if (directions.length === 0 || folded[view]! - directions.at(-1)! > SAME) directions.push(folded[view]!);
    directionOf[view] = directions.length - 1;
  }
  const gaps = directions.map((direction, k) => (directions[k + 1] ?? directions[0]! + period) - direction);
  const usual = [...gaps].sort((a, b) => a - b)[Math.floor((gaps.length - 1) / 2)]!;
  const wide = gaps.map((_, k) => k).filter((k) => gaps[k]! > WIDE_STEPS * usual && gaps[k]! > WIDE_ANGLE);
  wide.sort((a, b) => gaps[b]! - gaps[a]!);
  return { period, directions, gaps, directionOf, usual, wide };
}

const SAME = 1e-7;
const WIDE_STEPS = 3.001; // exactly three are two frames lost
const WIDE_ANGLE = Math.PI / 12;
