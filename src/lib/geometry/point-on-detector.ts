import type { FanBeam, FlatBeam } from '../types.ts';

/** A point as the fan sees it. */
export interface PointInFan {
  /** Where its shadow falls on the detector, mm from the axis. */
  readonly s: number;
  /** Angle at the source from the ray through the axis, radians, counter-clockwise positive. */
  readonly gamma: number;
  /** Straight distance from the source, mm. */
  readonly distance: number;
  /** Distance from the source along the ray through the axis, mm; depth / sourceToAxis is the U of fan backprojection. */
  readonly depth: number;
}

/**
 * Where the point (x, y) falls on the detector, mm from the axis: the sinusoid of a bead, or its fan counterpart.
 *   parallel:  s = x cos θ + y sin θ
 *   fan:       s = sourceToDetector · a / (sourceToAxis − b),  a = x cos β + y sin β,  b = −x sin β + y cos β (towards the source)
 * A point level with the source gives ±Infinity, one behind it a place where no ray goes.
 */
export function pointOnDetector(geometry: FlatBeam, view: number, x: number, y: number): number {
  const angle = geometry.angles[view]!;
  if (geometry.beam === 'fan') return pointInFan(geometry, view, x, y).s;
  return x * Math.cos(angle) + y * Math.sin(angle);
}

/** The same for a fan, with the point's angle and its distances from the source. */
export function pointInFan(geometry: FanBeam, view: number, x: number, y: number): PointInFan {
  const beta = geometry.angles[view]!;
  const a = x * Math.cos(beta) + y * Math.sin(beta);
  const depth = geometry.sourceToAxis + x * Math.sin(beta) - y * Math.cos(beta);
  return { s: (geometry.sourceToDetector * a) / depth, gamma: Math.atan2(a, depth), distance: Math.hypot(a, depth), depth };
}

/** Where the source stands in a view: (−R sin β, R cos β), mm. */
export function sourcePosition(geometry: FanBeam, view: number): [x: number, y: number] {
  const beta = geometry.angles[view]!;
  return [-geometry.sourceToAxis * Math.sin(beta), geometry.sourceToAxis * Math.cos(beta)];
}

/** The point on a fan's detector at s, mm: opposite the source, s along (cos β, sin β). */
export function pointOfDetector(geometry: FanBeam, view: number, s: number): [x: number, y: number] {
  const beta = geometry.angles[view]!;
  const beyond = geometry.sourceToDetector - geometry.sourceToAxis;
  return [beyond * Math.sin(beta) + s * Math.cos(beta), -beyond * Math.cos(beta) + s * Math.sin(beta)];
}
