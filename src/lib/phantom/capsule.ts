import { ball, cylinder, difference, ellipsoid, halfSpace, hexNut, intersection, spring, union, type Form, type Solid, type Vector } from './solids.ts';

/** g/cm³ of the mineral oil in the vial, which is CH₂ as polyethylene is: a common value, no source. */
export const oilDensity = 0.87;

/**
 * The sealed capsule: an egg of polyethylene, 72 mm high and 56 mm wide, and what somebody put into it. All of it is invented. Solids in the
 * order in which a later one takes the place of an earlier one; 'air' and 'head space' are empty. Nothing else overlaps. mm; the egg stands
 * upright, a little beside the rotation axis, from z = −36 to 36.
 */
export function capsule(): readonly Solid[] {
  const middle: Vector = [1.5, -1, -3]; // where the egg is widest
  const at = (x: number, y: number, z: number): Vector => [middle[0] + x, middle[1] + y, middle[2] + z];
  const bead = at(4, 12, 6);
  const [bottom, top] = [at(-11.1, -7.4, -2.8), at(-6.9, -4.6, 24.8)];
  const along = (mm: number): Vector => {
    const long = Math.hypot(top[0] - bottom[0], top[1] - bottom[1], top[2] - bottom[2]);
    return [0, 1, 2].map((k) => bottom[k] + (mm / long) * (top[k] - bottom[k])) as unknown as Vector;
  };
  const inside = cylinder(along(1.2), along(26.8), 5.3);
  return [
    { ...egg(middle, 28, 39, 33), name: 'shell', material: 'polyethylene' },
    { ...egg(middle, 25, 36, 30), name: 'air' },
    { ...hexNut(at(-2, 3, -14.5), 18, 10, 10.5, { axis: [0.35, 0.25, 1], turn: 0.3 }), name: 'nut', material: 'aluminium' },
    { ...ball(at(9, -9, -2), 8), name: 'marble', material: 'sodaLime' },
    { ...spring({ centre: at(8, -3, 15), coilRadius: 4, wireRadius: 0.35, rise: 2.2, turns: 7, axis: [0.4, 0.85, 0.35] }), name: 'spring', material: 'iron' },
    { ...difference(ball(bead, 7), cylinder([bead[0] - 7.2, bead[1] + 3, bead[2] - 3], [bead[0] + 7.2, bead[1] - 3, bead[2] + 3], 2)), name: 'bead', material: 'wood' },
    { ...cylinder(bottom, top, 6.5), name: 'vial', material: 'borosilicate' },
    { ...inside, name: 'head space' },
    { ...intersection(inside, halfSpace(along(14), [0, 0, 1])), name: 'oil', material: 'polyethylene', density: oilDensity },
  ];
}

/** Two halves of ellipsoids that meet where it is widest: `above` and `below` high, mm. */
function egg(middle: Vector, radius: number, above: number, below: number): Form {
  return union(
    intersection(ellipsoid(middle, [radius, radius, above]), halfSpace(middle, [0, 0, -1])),
    intersection(ellipsoid(middle, [radius, radius, below]), halfSpace(middle, [0, 0, 1])),
  );
}
