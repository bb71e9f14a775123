/** A point or a direction in space: x, y, z; mm where it is a place. */
export type Point3 = readonly [x: number, y: number, z: number];

export const plus = (a: Point3, b: Point3, times = 1): Point3 => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];
export const minus = (a: Point3, b: Point3): Point3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
export const dot = (a: Point3, b: Point3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const cross = (a: Point3, b: Point3): Point3 => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];

/** The direction of a, of length 1. Throws RangeError, naming it, where a has no length. */
export function unit(a: Point3, what: string): Point3 {
  const length = Math.hypot(...a);
  if (!(length > 0 && Number.isFinite(length))) throw new RangeError(`${what} is (${a.join(', ')}) and should be a direction, with a length above 0.`);
  return [a[0] / length, a[1] / length, a[2] / length];
}
