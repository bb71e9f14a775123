import { ball, hexNut, planeThrough, prism, type Form, type Plane, type Point3 } from '../../lib/index.ts';

/** An object that is known exactly: what it is, where its surface lies, and how a cut through it looks. */
export interface Known {
  readonly form: Form;
  /** How far a point (mm) lies outside the surface, below 0 inside. */
  readonly outside: (point: Point3) => number;
  /** The plane of the cut, through the object's middle. */
  readonly section: Plane;
  /** Where the surface crosses that plane, mm in its own coordinates: closed lines. */
  readonly outlines: readonly (readonly (readonly [u: number, v: number])[])[];
}

export type ObjectName = 'nut' | 'ball' | 'sheet';

/** Sizes in mm: the capsule's nut, a ball as large as its marble, and a sheet as wide as the nut. */
export const sizes = { acrossFlats: 18, height: 10, bore: 10.5, radius: 8, sheet: 1 };

// None of them stands square to the voxels, or in the middle of one.
const centre: Point3 = [0.21, -0.13, 0.17];
const lean = 0.2; // radians from +z towards +x
const own: { readonly x: Point3; readonly y: Point3; readonly z: Point3 } = { x: [Math.cos(lean), 0, -Math.sin(lean)], y: [0, 1, 0], z: [Math.sin(lean), 0, Math.cos(lean)] };
const stance = { axis: own.z };

const { acrossFlats, height, bore, radius, sheet } = sizes;
const level = planeThrough(centre, own.z, own.y);
const upright = planeThrough(centre, [0, -1, 0], own.z);
const side = acrossFlats / (2 * Math.sqrt(3)); // half of a hexagon's side

export const known: Readonly<Record<ObjectName, Known>> = {
  nut: { form: hexNut(centre, acrossFlats, height, bore, stance), outside: hexDistance(height, bore / 2), section: level, outlines: [hexagon(), circle(bore / 2)] },
  ball: { form: ball(centre, radius), outside: (point) => Math.hypot(...from(point)) - radius, section: level, outlines: [circle(radius)] },
  sheet: { form: prism(centre, 6, acrossFlats, sheet, stance), outside: hexDistance(sheet), section: upright, outlines: [[[-1, -1], [1, -1], [1, 1], [-1, 1]].map(([u, v]) => [(u * acrossFlats) / 2, (v * sheet) / 2] as const)] },
};

function from(point: Point3): Point3 {
  return [point[0] - centre[0], point[1] - centre[1], point[2] - centre[2]];
}

/** A six-sided prism, bored through along its axis where `hole` (its radius) is above 0: the nearest of its flats, its ends and the hole's wall. */
function hexDistance(high: number, hole = 0): (point: Point3) => number {
  const along = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
  return (point) => {
    const d = from(point);
    const [x, y, z] = [along(d, own.x), along(d, own.y), Math.abs(along(d, own.z))];
    // Turned by sixths until the nearest flat faces +x.
    const sixth = Math.round(Math.atan2(y, x) / (Math.PI / 3)) * (Math.PI / 3);
    const a = x * Math.cos(sixth) + y * Math.sin(sixth), b = Math.abs(y * Math.cos(sixth) - x * Math.sin(sixth));
    const r = Math.hypot(x, y);
    const above = Math.max(0, z - high / 2);
    const inside = a <= acrossFlats / 2 && z <= high / 2 && r >= hole;
    const toFlat = Math.hypot(a - acrossFlats / 2, Math.max(0, b - side), above);
    const toHole = hole > 0 ? Math.hypot(r - hole, above) : Infinity;
    const toEnd = a <= acrossFlats / 2 && r >= hole ? Math.abs(z - high / 2) : Infinity;
    const nearest = Math.min(toFlat, toHole, toEnd);
    return inside ? -nearest : nearest;
  };
}

function hexagon(): [number, number][] {
  return Array.from({ length: 6 }, (_, k) => [2 * side * Math.cos((Math.PI / 3) * (k + 0.5)), 2 * side * Math.sin((Math.PI / 3) * (k + 0.5))]);
}

function circle(mm: number): [number, number][] {
  return Array.from({ length: 72 }, (_, k) => [mm * Math.cos((Math.PI / 36) * k), mm * Math.sin((Math.PI / 36) * k)]);
}
