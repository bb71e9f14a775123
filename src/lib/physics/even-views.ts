import { BadInput } from '../files/bad-input.ts';
import { asNumber, checkViews, microstepsInScan, type Stage } from './stage.ts';

export interface EvenViews {
  /** Whether this number of views falls on whole microsteps. */
  readonly even: boolean;
  /** The next smaller and the next larger number of views that does; the number itself is not among them. */
  readonly below?: number;
  readonly above?: number;
  /** Of all three, the nearest to what was asked; the larger of two as near. */
  readonly nearest?: number;
  /** Microsteps in the turn; where this is not whole, no number of views falls on whole microsteps. */
  readonly microsteps: number;
}

/**
 * The numbers of views near `views` that go into the microsteps of a turn without a rest. turn: radians, a whole one when left out.
 * Throws as stageTable.
 */
export function evenViews(stage: Stage, views: number, turn: number = 2 * Math.PI): EvenViews {
  const inScan = microstepsInScan(stage, turn);
  checkViews(views, inScan);
  const microsteps = asNumber(inScan);
  if (inScan.below !== 1n) return { even: false, microsteps };
  const total = inScan.above;
  const divides = (count: number) => total % BigInt(count) === 0n;
  // At most 65,536 views are ever asked for; 1 always divides.
  const search = (step: 1 | -1) => {
    for (let count = views + step; count >= 1 && count <= Math.min(65_536, microsteps); count += step) if (divides(count)) return count;
    return undefined;
  };
  const [even, below, above] = [divides(views), search(-1), search(1)];
  const nearest = even ? views : above !== undefined && (below === undefined || above - views <= views - below) ? above : below;
  return { even, microsteps, nearest, ...(below !== undefined && { below }), ...(above !== undefined && { above }) };
}

/** Refuses, as BadInput in one sentence with the nearest numbers of views, where a view falls between two microsteps. */
export function requireEvenViews(stage: Stage, views: number, turn: number = 2 * Math.PI): void {
  const { even, below, above, microsteps } = evenViews(stage, views, turn);
  if (even) return;
  const total = String(Number(microsteps.toPrecision(9)));
  if (!Number.isInteger(microsteps)) throw new BadInput(`No number of views falls on whole microsteps: this turn has ${total} of them, so each position is rounded, or the gear is changed.`);
  const near = [below, above].filter((count) => count !== undefined).join(' or ');
  throw new BadInput(`${views} views do not divide the ${total} microsteps of this turn (${String(Number((microsteps / views).toPrecision(6)))} each): take ${near} views, or have each position rounded by itself.`);
}
