import { cross, dot, plus, unit, type Point3 } from './point.ts';

/**
 * A plane and how it is looked at: a picture of it has its own coordinates, u to the right along `across` and v upwards along `up`,
 * mm from `origin`. Both directions have length 1 and are square to one another; the viewer looks against across × up.
 */
export interface Plane {
  readonly origin: Point3;
  readonly across: Point3;
  readonly up: Point3;
}

/**
 * The plane on which x, y or z has one value (mm), as it is usually drawn; u and v are the two other coordinates, in mm.
 *   'z': x to the right, y up, seen from above.   'y': x to the right, z up, seen from −y.   'x': y to the right, z up, seen from +x.
 */
export function planeAcross(axis: 'x' | 'y' | 'z', position: number): Plane {
  if (axis === 'z') return { origin: [0, 0, position], across: [1, 0, 0], up: [0, 1, 0] };
  if (axis === 'y') return { origin: [0, position, 0], across: [1, 0, 0], up: [0, 0, 1] };
  return { origin: [position, 0, 0], across: [0, 1, 0], up: [0, 0, 1] };
}

/**
 * The plane through a point (mm), square to a direction that points to the viewer.
 * up: what the picture shows upwards, as far as the plane allows; +z when left out, or +y where the viewer looks along z.
 * Throws RangeError for a normal or an up of no length, or one along the other.
 */
export function planeThrough(origin: Point3, normal: Point3, up?: Point3): Plane {
  const n = unit(normal, 'The normal of the plane');
  const wished = up ?? (Math.abs(n[2]) > 1 - 1e-9 ? [0, 1, 0] as const : [0, 0, 1] as const);
  const v = unit(snapped(plus(wished, n, -dot(wished, n))), 'The part of up that lies in the plane');
  return { origin, across: cross(v, n), up: v };
}

/** The point (mm) that a picture of the plane shows at (u, v). */
export function pointOnPlane({ origin, across, up }: Plane, u: number, v: number): Point3 {
  return plus(plus(origin, across, u), up, v);
}

/** The direction to the viewer, of length 1. */
export function normalOf({ across, up }: Plane): Point3 {
  return cross(across, up);
}

/** Rounding of an up that lies along the normal must not be taken for a direction. */
const snapped = (a: Point3): Point3 => (Math.hypot(...a) < 1e-12 ? [0, 0, 0] : a);
