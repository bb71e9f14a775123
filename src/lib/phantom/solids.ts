import type { Material } from '../physics/attenuation.ts';

/** A point or a direction: x, y, z in mm. */
export type Vector = readonly [x: number, y: number, z: number];

/**
 * How a form that is not round about a point stands: its own z is carried to `axis` by the shortest turn, after a turn by `turn`
 * (radians, counter-clockwise seen from the tip of the axis) about it. Upright when left out.
 */
export interface Stance {
  readonly axis?: Vector;
  readonly turn?: number;
}

/** semiAxes along its own x, y, z. */
export interface Ellipsoid extends Stance { readonly kind: 'ellipsoid'; readonly centre: Vector; readonly semiAxes: Vector }
/** Flat at both ends, which lie at `from` and `to` on its axis. */
export interface Cylinder { readonly kind: 'cylinder'; readonly from: Vector; readonly to: Vector; readonly radius: number }
/** Flat at both ends; one of the two radii may be 0. */
export interface Cone { readonly kind: 'cone'; readonly from: Vector; readonly to: Vector; readonly radiusFrom: number; readonly radiusTo: number }
/** Every point within `radius` of the stretch between `from` and `to`: a rod with round ends. */
export interface Rod { readonly kind: 'rod'; readonly from: Vector; readonly to: Vector; readonly radius: number }
/** size: its edges along its own x, y, z. */
export interface Box extends Stance { readonly kind: 'box'; readonly centre: Vector; readonly size: Vector }
/** A regular prism along its own z: `sides` flats, opposite ones (an even number of sides) acrossFlats apart; one faces its own +x. */
export interface Prism extends Stance { readonly kind: 'prism'; readonly centre: Vector; readonly sides: number; readonly acrossFlats: number; readonly height: number }
/** Everything on one side of a plane: the points p with normal · p ≤ offset, normal of length 1. Endless: a cut for other forms. */
export interface HalfSpace { readonly kind: 'half-space'; readonly normal: Vector; readonly offset: number }
export interface Union { readonly kind: 'union'; readonly parts: readonly Form[] }
export interface Intersection { readonly kind: 'intersection'; readonly parts: readonly Form[] }
/** What is in `from` and in none of `without`. */
export interface Difference { readonly kind: 'difference'; readonly from: Form; readonly without: readonly Form[] }

export type Form = Ellipsoid | Cylinder | Cone | Rod | Box | Prism | HalfSpace | Union | Intersection | Difference;

/** What a solid is made of: a material of the attenuation table (at its usual density in g/cm³ unless given), or an attenuation in 1/mm. */
export interface Substance {
  readonly name?: string;
  readonly material?: Material;
  readonly density?: number;
  readonly attenuation?: number;
}

/**
 * A form and its substance. In a list of solids a later one takes the place of an earlier one where they overlap: air inside a
 * shell comes after the shell, the marble after the air.
 */
export type Solid = Form & Substance;

/** Each of these throws RangeError, one sentence, for a size that cannot be. */
export function ball(centre: Vector, radius: number): Ellipsoid {
  return ellipsoid(centre, [radius, radius, radius]);
}

export function ellipsoid(centre: Vector, semiAxes: Vector, stance: Stance = {}): Ellipsoid {
  semiAxes.forEach((semiAxis) => requirePositive(semiAxis, 'A semi-axis of an ellipsoid'));
  return { kind: 'ellipsoid', centre, semiAxes, ...checkedStance(stance) };
}

export function cylinder(from: Vector, to: Vector, radius: number): Cylinder {
  requirePositive(distance(from, to), 'The length of a cylinder');
  requirePositive(radius, 'The radius of a cylinder');
  return { kind: 'cylinder', from, to, radius };
}

export function cone(from: Vector, to: Vector, radiusFrom: number, radiusTo = 0): Cone {
  requirePositive(distance(from, to), 'The length of a cone');
  requirePositive(Math.max(radiusFrom, radiusTo), 'The larger radius of a cone');
  if (!(Math.min(radiusFrom, radiusTo) >= 0)) throw new RangeError(`The radii of a cone are ${radiusFrom} and ${radiusTo} mm and should be 0 or more.`);
  return { kind: 'cone', from, to, radiusFrom, radiusTo };
}

export function rod(from: Vector, to: Vector, radius: number): Rod {
  requirePositive(distance(from, to), 'The length of a rod');
  requirePositive(radius, 'The radius of a rod');
  return { kind: 'rod', from, to, radius };
}

export function box(centre: Vector, size: Vector, stance: Stance = {}): Box {
  size.forEach((edge) => requirePositive(edge, 'An edge of a box'));
  return { kind: 'box', centre, size, ...checkedStance(stance) };
}

export function prism(centre: Vector, sides: number, acrossFlats: number, height: number, stance: Stance = {}): Prism {
  if (!Number.isInteger(sides) || sides < 3) throw new RangeError(`The number of sides of a prism is ${sides} and should be a whole number from 3.`);
  requirePositive(acrossFlats, 'The width of a prism across its flats');
  requirePositive(height, 'The height of a prism');
  return { kind: 'prism', centre, sides, acrossFlats, height, ...checkedStance(stance) };
}

/** The side of the plane through `point` that its outward `normal` (any length) points away from. */
export function halfSpace(point: Vector, normal: Vector): HalfSpace {
  requirePositive(length(normal), 'The length of the normal of a half-space');
  const unit = scaled(normal, 1 / length(normal));
  return { kind: 'half-space', normal: unit, offset: dot(unit, point) };
}

export function union(...parts: Form[]): Union {
  return { kind: 'union', parts };
}

export function intersection(...parts: Form[]): Intersection {
  if (parts.length === 0) throw new RangeError('An intersection has no parts and should have at least one.');
  return { kind: 'intersection', parts };
}

export function difference(from: Form, ...without: Form[]): Difference {
  return { kind: 'difference', from, without };
}

/** A hexagonal nut, its thread left out: a prism of six sides with a round hole of the diameter `bore` along its own z. */
export function hexNut(centre: Vector, acrossFlats: number, height: number, bore: number, stance: Stance = {}): Difference {
  requirePositive(bore, 'The hole of a nut');
  if (!(bore < acrossFlats)) throw new RangeError(`The hole of a nut is ${bore} mm wide and should be narrower than the nut, ${acrossFlats} mm across its flats.`);
  const body = prism(centre, 6, acrossFlats, height, stance);
  const half = scaled(frameOf(stance)[2], height); // twice as long as the nut, so that no film of metal is left at its faces
  return difference(body, cylinder(sum(centre, scaled(half, -1)), sum(centre, half), bore / 2));
}

export interface SpringOptions extends Stance {
  readonly centre: Vector;
  /** From the axis of the spring to the middle of its wire, mm. */
  readonly coilRadius: number;
  readonly wireRadius: number;
  /** From one turn to the next, mm. */
  readonly rise: number;
  readonly turns: number;
  /** Straight rods a turn; 24 when left out, which leaves the wire within 0.9 % of the coil radius of a true helix. */
  readonly rodsPerTurn?: number;
}

/**
 * A coil spring along its own z: rods with round ends, end to end along a right-handed helix, the first point on its own +x side.
 * Grouped by quarters of a turn, so that a ray that misses a group is done with it at once.
 */
export function spring({ centre, coilRadius, wireRadius, rise, turns, rodsPerTurn = 24, ...stance }: SpringOptions): Union {
  requirePositive(coilRadius, 'The radius of a coil');
  requirePositive(turns, 'The number of turns of a spring');
  requirePositive(rise, 'The rise of a spring in a turn');
  if (!(rodsPerTurn >= 3)) throw new RangeError(`A spring has ${rodsPerTurn} rods a turn and should have 3 or more.`);
  const [u, v, w] = frameOf(checkedStance(stance));
  const rods = Math.ceil(turns * rodsPerTurn);
  const point = (k: number): Vector => {
    const turned = (k / rods) * turns;
    const angle = 2 * Math.PI * turned;
    return sum(centre, sum(scaled(u, coilRadius * Math.cos(angle)), sum(scaled(v, coilRadius * Math.sin(angle)), scaled(w, rise * (turned - turns / 2)))));
  };
  const group = Math.max(1, Math.round(rodsPerTurn / 4));
  const groups = Array.from({ length: Math.ceil(rods / group) }, (_, g) =>
    union(...Array.from({ length: Math.min(group, rods - g * group) }, (_, k) => rod(point(g * group + k), point(g * group + k + 1), wireRadius))),
  );
  return union(...groups);
}

/** The own x, y, z of a form that stands so, three unit vectors. */
export function frameOf({ axis = [0, 0, 1], turn = 0 }: Stance): readonly [Vector, Vector, Vector] {
  const w = scaled(axis, 1 / length(axis));
  const [a, b, c] = w;
  const flipped = 1 + c < 1e-12; // straight down: any half turn will do
  const u: Vector = flipped ? [1, 0, 0] : [1 - (a * a) / (1 + c), (-a * b) / (1 + c), -a];
  const v: Vector = flipped ? [0, -1, 0] : [(-a * b) / (1 + c), 1 - (b * b) / (1 + c), -b];
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  return [sum(scaled(u, cos), scaled(v, sin)), sum(scaled(v, cos), scaled(u, -sin)), w];
}

export const dot = (a: Vector, b: Vector): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
export const sum = (a: Vector, b: Vector): Vector => [a[0] + b[0], a[1] + b[1], a[2] + b[2]];
export const scaled = (a: Vector, by: number): Vector => [a[0] * by, a[1] * by, a[2] * by];
export const length = (a: Vector): number => Math.hypot(...a);
export const distance = (a: Vector, b: Vector): number => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]);

function checkedStance({ axis, turn }: Stance): Stance {
  if (axis) requirePositive(length(axis), 'The length of the axis of a form');
  if (turn !== undefined && !Number.isFinite(turn)) throw new RangeError(`The turn of a form is ${turn} and should be a number in radians.`);
  return { ...(axis && { axis }), ...(turn !== undefined && { turn }) };
}

function requirePositive(value: number, what: string): void {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`${what} is ${value} and should be a number above 0.`);
}
