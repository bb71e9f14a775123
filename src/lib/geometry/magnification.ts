import type { Geometry } from '../types.ts';

/** How much larger than life the axis is on the detector: sourceToDetector / sourceToAxis; 1 for a parallel beam. */
export function magnification(geometry: Geometry): number {
  return geometry.beam === 'parallel' ? 1 : geometry.sourceToDetector / geometry.sourceToAxis;
}
