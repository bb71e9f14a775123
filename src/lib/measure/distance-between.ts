import { cross, dot, minus, unit, type Point3 } from '../volume/point.ts';

/** A point of a picture (x, y) or of a volume (x, y, z), mm. */
export type Point = readonly [x: number, y: number] | Point3;

/** The same in space: a picture's point lies at z = 0. */
export const inSpace = ([x, y, z = 0]: readonly number[]): Point3 => [x, y, z];

/** The straight distance between two points, mm. */
export function distanceBetween(a: Point, b: Point): number {
  return Math.hypot(...minus(inSpace(b), inSpace(a)));
}

/**
 * The angle at b between the lines to a and to c, radians, 0…π.
 * By both sine and cosine, so that angles near 0 and π lose nothing. Throws RangeError where a or c lies at b.
 */
export function angleAt(a: Point, b: Point, c: Point): number {
  const one = unit(minus(inSpace(a), inSpace(b)), 'The first side of the angle'), other = unit(minus(inSpace(c), inSpace(b)), 'The second side of the angle');
  return Math.atan2(Math.hypot(...cross(one, other)), dot(one, other));
}
