import type { FlatBeam } from '../types.ts';
import { detectorPosition } from './detector-position.ts';

/** The line x cos θ + y sin θ = s; s in mm, θ in radians. */
export interface Ray {
  readonly s: number;
  readonly theta: number;
}

/**
 * The line that a detector cell looks along, written as a ray of a parallel beam.
 *   parallel:  θ = the view's angle, s = the cell's position
 *   fan:       γ = atan(position / sourceToDetector),  θ = β + γ,  s = sourceToAxis · sin γ
 * γ is the angle at the source between this ray and the one through the axis, counter-clockwise positive, so it grows with the column.
 * detector may be a fraction. Source: both ends, the source and the point on the detector, satisfy the equation of the line (tested);
 * Kak & Slaney 1988, section 3.4 (citation from memory).
 */
export function rayOf(geometry: FlatBeam, view: number, detector: number): Ray {
  const position = detectorPosition(geometry, detector);
  const angle = geometry.angles[view]!;
  if (geometry.beam === 'parallel') return { s: position, theta: angle };
  const gamma = Math.atan2(position, geometry.sourceToDetector);
  return { s: geometry.sourceToAxis * Math.sin(gamma), theta: angle + gamma };
}
