import type { Geometry } from '../types.ts';
import { shortScanTurn, widestRay } from './fan.ts';
import { ringOf, type Ring } from './ring.ts';

export interface Coverage {
  /** full: all the way round. half: parallel, half-way round. short: fan, part of the way, but every ray seen. incomplete: rays missing. */
  readonly kind: 'full' | 'half' | 'short' | 'incomplete';
  /** Where the arc that the views cover begins, half a usual step before its first view, 0 ≤ start < 2π. */
  readonly start: number;
  /** Length of that arc, to half a usual step after its last view, radians: π or 2π where the views go right round. */
  readonly span: number;
  /** What is missing within the arc, in gaps too wide for a lost frame or two, radians. */
  readonly missing: number;
  /** The arc that sees every ray, radians: π for a parallel beam, π + 2δ for a fan with widest ray δ. */
  readonly needed: number;
  /** How many of the views look in different directions; in a parallel beam opposite views look along the same lines. */
  readonly directions: number;
}

/**
 * How much of the turn a scan's views cover, from their angles alone: any order, uneven steps, lost frames.
 * Directions are laid round a circle (π for a parallel beam, 2π for a fan or cone) and each is taken to stand for half a gap to
 * either side. Only a wide gap (see ring.ts) is a hole. The widest hole is taken for the part that was never scanned. A fan misses
 * rays when a hole meets another hole, or itself, seen from the other side: at β + π ± 2δ. Half a usual step is allowed for.
 * How many views are enough is another question: see viewsNeeded.
 */
export function coverage(geometry: Geometry): Coverage {
  return geometry.beam === 'parallel' ? parallelCoverage(geometry.angles) : fanCoverage(geometry.angles, widestRay(geometry));
}

function parallelCoverage(angles: readonly number[]): Coverage {
  const half = ringOf(angles, Math.PI);
  const whole = ringOf(angles, 2 * Math.PI);
  const rightRound = whole.wide.length === 0 && Math.max(...whole.gaps) < Math.PI - 1e-6;
  const kind = half.wide.length > 0 ? 'incomplete' : rightRound ? 'full' : 'half';
  return { kind, ...arcOf(half), needed: Math.PI, directions: half.directions.length };
}

function fanCoverage(angles: readonly number[], delta: number): Coverage {
  const ring = ringOf(angles, 2 * Math.PI);
  const kind = ring.wide.length === 0 ? 'full' : missesRays(ring, delta) ? 'incomplete' : 'short';
  return { kind, ...arcOf(ring), needed: shortScanTurn(delta), directions: ring.directions.length };
}

/** The arc outside the widest hole, and the holes within it. */
function arcOf({ directions, gaps, usual, wide, period }: Ring): Pick<Coverage, 'start' | 'span' | 'missing'> {
  if (wide.length === 0) return { start: (directions[0]! - usual / 2 + 2 * Math.PI) % (2 * Math.PI), span: period, missing: 0 };
  const [outside, ...within] = wide;
  const first = directions[(outside! + 1) % directions.length]!;
  return {
    start: (first - usual / 2 + 2 * Math.PI) % (2 * Math.PI),
    span: period - gaps[outside!]! + usual,
    missing: within.reduce((sum, k) => sum + gaps[k]! - usual, 0),
  };
}

function missesRays({ directions, gaps, usual, wide }: Ring, delta: number): boolean {
  const middle = (k: number) => directions[k]! + gaps[k]! / 2;
  return wide.some((i, place) =>
    wide.slice(place).some((j) => {
      const apart = Math.abs(Math.PI - Math.abs(middle(i) - middle(j))); // between hole j and hole i seen from the other side
      const halves = (gaps[i]! + gaps[j]!) / 2 - usual;
      return apart < halves + 2 * delta - usual / 2;
    }),
  );
}
