import type { Geometry } from '../types.ts';
import { fieldRadius } from './field-radius.ts';
import { magnification } from './magnification.ts';

export interface FieldOfView {
  /** Radius of the disc about the axis that every view sees whole, mm, as fieldRadius. */
  readonly radius: number;
  /** The highest and lowest points of the axis that the detector sees, mm from the plane of the source; top ≥ 0 ≥ bottom. */
  readonly top: number;
  readonly bottom: number;
  /** The same for the cylinder of this radius that every view sees whole: its near side is magnified most, so it is less high. */
  readonly topOfCylinder: number;
  readonly bottomOfCylinder: number;
  /** The largest angle of a ray to the plane of the source, radians, seen along the axis. Beyond a few degrees, layers square to the axis suffer. */
  readonly coneAngle: number;
}

/**
 * What a detector sees of an object on the axis, as far as the middles of its outermost cells.
 *   on the axis:   z = v · sourceToAxis / sourceToDetector
 *   the cylinder:  z = v · (sourceToAxis − radius) / sourceToDetector
 * v is the middle of the outermost row. Lengths 0 where the plane of the source falls off the detector, and for a parallel beam or a fan,
 * which sees one layer. The tilt of a detector is left out: by a degree it takes off a sixtieth of the width from the height.
 * Source: similar triangles.
 */
export function fieldOfView(geometry: Geometry): FieldOfView {
  const radius = fieldRadius(geometry);
  if (geometry.beam !== 'cone') return { radius, top: 0, bottom: 0, topOfCylinder: 0, bottomOfCylinder: 0, coneAngle: 0 };
  const reach = ((geometry.rows - 1) / 2) * geometry.pitch;
  const [above, below] = [Math.max(0, reach - geometry.rowOffset), Math.max(0, reach + geometry.rowOffset)];
  const nearest = Math.max(0, geometry.sourceToAxis - radius) / geometry.sourceToDetector;
  return {
    radius,
    top: above / magnification(geometry), bottom: 0 - below / magnification(geometry),
    topOfCylinder: above * nearest, bottomOfCylinder: 0 - below * nearest,
    coneAngle: Math.atan2(Math.max(above, below), geometry.sourceToDetector),
  };
}
