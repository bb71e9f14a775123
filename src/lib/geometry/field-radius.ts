import type { Geometry } from '../types.ts';
import { detectorPosition } from './detector-position.ts';

/**
 * Radius of the disc about the axis that every view sees whole, mm, as far as the middle of the outermost cell on the nearer side.
 *   parallel:  the distance w from the axis to that cell      fan, cone:  sourceToAxis · sin(atan(w / sourceToDetector))
 * 0 when the axis falls off the detector.
 */
export function fieldRadius(geometry: Geometry): number {
  const near = Math.max(0, Math.min(-detectorPosition(geometry, 0), detectorPosition(geometry, geometry.detectors - 1)));
  if (geometry.beam === 'parallel') return near;
  return geometry.sourceToAxis * Math.sin(Math.atan2(near, geometry.sourceToDetector));
}
