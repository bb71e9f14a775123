import type { ConeBeam, FanBeam } from '../types.ts';
import { detectorPosition } from './detector-position.ts';

/**
 * Angles and widths of a fan, radians and mm. γ is counted from the ray through the axis.
 * Source: elementary geometry; Kak & Slaney 1988, section 3.4 (citation from memory).
 */

/** Half the fan angle δ that takes in a disc of this radius about the axis: asin(radius / sourceToAxis). NaN if the source is inside it. */
export function halfFanAngle(radius: number, sourceToAxis: number): number {
  return Math.asin(radius / sourceToAxis);
}

/** The widest angle δ at which a cell of this detector looks, at either end: max |γ|. Its axis may be off the middle. */
export function widestRay(geometry: FanBeam | ConeBeam): number {
  const ends = Math.max(Math.abs(detectorPosition(geometry, 0)), Math.abs(detectorPosition(geometry, geometry.detectors - 1)));
  return Math.atan2(ends, geometry.sourceToDetector);
}

/** The least turn in which a fan of half angle δ sees every ray: π + 2δ. */
export function shortScanTurn(halfFan: number): number {
  return Math.PI + 2 * halfFan;
}

/**
 * Half the detector width that takes in a disc of this radius about the axis: sourceToDetector · tan δ, sin δ = radius / sourceToAxis.
 * More than magnification × radius: the rays that touch the disc touch it before its middle.
 */
export function detectorReach(radius: number, distances: { readonly sourceToAxis: number; readonly sourceToDetector: number }): number {
  return distances.sourceToDetector * Math.tan(halfFanAngle(radius, distances.sourceToAxis));
}

/** The same line, run through from its other end: (β, γ) ↔ (β + π + 2γ, −γ). */
export function conjugateRay(beta: number, gamma: number): { beta: number; gamma: number } {
  return { beta: beta + Math.PI + 2 * gamma, gamma: -gamma };
}
