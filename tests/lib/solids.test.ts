import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { coneBeam, fanBeam } from '../../src/lib/geometry/beams.ts';
import { coneRay } from '../../src/lib/geometry/cone-ray.ts';
import { linearAttenuation } from '../../src/lib/physics/attenuation.ts';
import { chord, pathLengths, pathTracer } from '../../src/lib/phantom/chord.ts';
import { insideSolid, solidAt } from '../../src/lib/phantom/inside-solid.ts';
import { cutterOf } from '../../src/lib/phantom/cut-solid.ts';
import { intersect, subtract, unite } from '../../src/lib/phantom/intervals.ts';
import { projectPaths, projectSolids } from '../../src/lib/phantom/project-solids.ts';
import { projectPhantom } from '../../src/lib/phantom/project-phantom.ts';
import { disc, ellipse } from '../../src/lib/phantom/shapes.ts';
import { ball, box, cone, cylinder, difference, ellipsoid, frameOf, halfSpace, hexNut, intersection, prism, rod, spring, union, type Form, type Solid, type Vector } from '../../src/lib/phantom/solids.ts';
import { volumeOf } from '../../src/lib/phantom/volume-of.ts';
import { voxelizeSolids } from '../../src/lib/phantom/voxelize-solids.ts';

const seed = { seed: 20240611 };

// A ray that lies in a face is half in and half out: figures off the round keep rays and faces from falling together.
const coordinate = fc.integer({ min: -8000, max: 8000 }).map((k) => k / 1000 + Math.E * 1e-4);
const size = fc.integer({ min: 1000, max: 8000 }).map((k) => k / 1000 + Math.SQRT2 * 1e-4);
const aPoint = fc.tuple(coordinate, coordinate, coordinate);
const aDirection = aPoint.filter((d) => Math.hypot(...d) > 0.1);
const aStance = fc.record({ axis: aDirection, turn: coordinate });
const aStretch = fc.tuple(aPoint, aPoint).filter(([a, b]) => Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]) > 0.5);

const simple: fc.Arbitrary<Form> = fc.oneof(
  fc.tuple(aPoint, fc.tuple(size, size, size), aStance).map(([centre, axes, stance]) => ellipsoid(centre, axes, stance)),
  fc.tuple(aStretch, size).map(([[from, to], radius]) => cylinder(from, to, radius)),
  fc.tuple(aStretch, size, size).map(([[from, to], one, other]) => cone(from, to, one, other)),
  fc.tuple(aStretch, size).map(([[from, to], radius]) => cone(from, to, 0, radius)),
  fc.tuple(aStretch, size).map(([[from, to], radius]) => rod(from, to, radius)),
  fc.tuple(aPoint, fc.tuple(size, size, size), aStance).map(([centre, edges, stance]) => box(centre, edges, stance)),
  fc.tuple(aPoint, fc.integer({ min: 3, max: 8 }), size, size, aStance).map(([centre, sides, across, height, stance]) => prism(centre, sides, across, height, stance)),
);
const aPlane = fc.tuple(aPoint, aDirection).map(([point, normal]) => halfSpace(point, normal));
const aForm: fc.Arbitrary<Form> = fc.oneof(
  { weight: 3, arbitrary: simple },
  fc.tuple(simple, aPlane).map((parts) => intersection(...parts)),
  fc.array(simple, { minLength: 1, maxLength: 4 }).map((parts) => union(...parts)),
  fc.tuple(simple, fc.array(fc.oneof(simple, aPlane), { maxLength: 3 })).map(([from, without]) => difference(from, ...without)),
  fc.tuple(fc.tuple(simple, simple).map((parts) => union(...parts)), simple).map(([both, hole]) => difference(both, hole)),
);

/**
 * The volume of a form by its chords along a direction: the mean of many, evenly spread over the shadow of the ball that holds it, times
 * the area. The places are multiples of two irrational numbers (Roberts's R2, from memory), so that no face runs along a grid of them.
 */
function volumeByChords(form: Form, direction: Vector, chords = 40_000): number {
  const { centre, radius } = cutterOf(form);
  const [u, v, w] = frameOf({ axis: direction });
  const trace = pathTracer([form]);
  const lengths = new Float64Array(1);
  const ray = Float64Array.of(0, 0, 0, ...w);
  const plastic = 1.324717957244746;
  let total = 0;
  for (let n = 1; n <= chords; n++) {
    const a = radius * (2 * ((n / plastic) % 1) - 1);
    const b = radius * (2 * ((n / plastic ** 2) % 1) - 1);
    for (let k = 0; k < 3; k++) ray[k] = centre[k] + a * u[k] + b * v[k] - 2 * radius * w[k];
    trace(ray, lengths);
    total += lengths[0];
  }
  return (total / chords) * 4 * radius * radius;
}

describe('chord: exact lengths', () => {
  const r3 = Math.sqrt(3);
  const nut = hexNut([0, 0, 0], 18, 10, 10);
  test.each<[string, Form, Vector, Vector, number]>([
    ['a ball through its middle', ball([1, 2, 3], 5), [-20, 2, 3], [1, 0, 0], 10],
    ['a ball 3 mm from its middle: 2√(5² − 3²)', ball([0, 0, 0], 5), [-20, 3, 0], [1, 0, 0], 8],
    ['a ray that starts inside', ball([0, 0, 0], 5), [0, 0, 0], [0, 0, 7], 5],
    ['a ray that has left', ball([0, 0, 0], 5), [0, 0, 6], [0, 0, 1], 0],
    ['a tangent', ball([0, 0, 0], 5), [-20, 5, 0], [1, 0, 0], 0],
    ['a direction of any length', ball([0, 0, 0], 5), [-20, 3, 0], [0.01, 0, 0], 8],
    ['an ellipsoid along its second axis', ellipsoid([0, 0, 0], [3, 4, 5]), [0, -99, 0], [0, 1, 0], 8],
    ['an ellipsoid laid on its side', ellipsoid([0, 0, 0], [3, 3, 5], { axis: [1, 0, 0] }), [-99, 0, 0], [1, 0, 0], 10],
    ['a cylinder along its axis', cylinder([0, 0, -3], [0, 0, 4], 2), [1, 1, -50], [0, 0, 1], 7],
    ['a cylinder along its axis, beside it', cylinder([0, 0, -3], [0, 0, 4], 2), [2.01, 0, -50], [0, 0, 1], 0],
    ['a cylinder across', cylinder([0, 0, -3], [0, 0, 4], 2), [-50, 1, 0], [1, 0, 0], 2 * r3],
    ['a cylinder corner to corner', cylinder([0, 0, -3], [0, 0, 3], 4), [-40, 0, -30], [4, 0, 3], 10],
    ['a cone down its axis', cone([0, 0, 0], [0, 0, 6], 3), [0, 0, 50], [0, 0, -1], 6],
    ['a cone at half its height', cone([0, 0, 0], [0, 0, 6], 3), [-50, 0, 3], [1, 0, 0], 3],
    ['a cone beside its axis, straight down', cone([0, 0, 0], [0, 0, 6], 3), [1.5, 0, 50], [0, 0, -1], 3],
    ['a blunt cone, thick end up', cone([0, 0, 0], [0, 0, 6], 1, 3), [2, 0, 50], [0, 0, -1], 3],
    ['a cone along a line of its own surface', cone([0, 0, 0], [0, 0, 4], 3), [0, 1, 4], [3, 0, -4], 0],
    ['a rod end to end', rod([0, 0, -3], [0, 0, 4], 2), [0, 0, -50], [0, 0, 1], 11],
    ['a rod across its end ball', rod([0, 0, -3], [0, 0, 4], 2), [-50, 0, 5], [1, 0, 0], 2 * r3],
    ['a box along its diagonal', box([0, 0, 0], [2, 4, 4]), [-10, -20, -20], [1, 2, 2], 6],
    ['a box turned by 45°', box([0, 0, 0], [2, 2, 2], { turn: Math.PI / 4 }), [-10, 0, 0], [1, 0, 0], 2 * Math.SQRT2],
    ['a hexagon across its flats', prism([0, 0, 0], 6, 18, 10), [-50, 0, 0], [1, 0, 0], 18],
    ['a hexagon corner to corner', prism([0, 0, 0], 6, 18, 10), [0, -50, 0], [0, 1, 0], 36 / r3],
    ['a nut through its hole', nut, [1, 1, -50], [0, 0, 1], 0],
    ['a nut through its metal', nut, [7, 0, -50], [0, 0, 1], 10],
    ['a nut across, both walls', nut, [-50, 0, 0], [1, 0, 0], 8],
    ['a nut lying on its side, along its axis', hexNut([0, 0, 0], 18, 10, 10, { axis: [0, 1, 0] }), [0, -50, 7], [0, 1, 0], 10],
    ['a glass half full, from above', intersection(cylinder([0, 0, 0], [0, 0, 10], 3), halfSpace([0, 0, 5], [0, 0, 1])), [1, 0, 50], [0, 0, -1], 5],
    ['two balls that overlap count once', union(ball([0, 0, 0], 2), ball([3, 0, 0], 2)), [-50, 0, 0], [1, 0, 0], 7],
    ['a gap between two balls counts not', union(ball([0, 0, 0], 2), ball([9, 0, 0], 2)), [-50, 0, 0], [1, 0, 0], 8],
    ['a hollow ball', difference(ball([0, 0, 0], 5), ball([0, 0, 0], 4)), [-50, 3, 0], [1, 0, 0], 8 - 2 * Math.sqrt(7)],
    ['a half-space ahead has no end', halfSpace([0, 0, 0], [0, 0, 1]), [0, 0, 5], [0, 0, -1], Infinity],
    ['a half-space left behind', halfSpace([0, 0, 0], [0, 0, 1]), [0, 0, -5], [0, 0, 1], 5],
    ['nothing at all', union(), [0, 0, -5], [0, 0, 1], 0],
  ])('%s', (_, form, origin, direction, expected) => {
    expect(chord(form, origin, direction)).toBeCloseTo(expected, 10);
  });

  test('a centred ball of 50 mm, D = 500, u = 30, v = 20 (check value G2: chord 69.475896)', () => {
    const beam = coneBeam({ angles: [0.3], detectors: 61, rows: 41, pitch: 1, sourceToAxis: 500, sourceToDetector: 500 });
    const { origin, direction } = coneRay(beam, 0, 60, 40);
    expect(Math.abs(chord(ball([0, 0, 0], 50), origin, direction) - 69.475896)).toBeLessThan(1e-5);
  });

  test('is where insideSolid says the ray is inside, for any form and any ray', () => {
    fc.assert(
      fc.property(aForm, aPoint, aDirection, (form, through, direction) => {
        const norm = Math.hypot(...direction);
        const d = direction.map((x) => x / norm);
        const at = (t: number) => through.map((x, i) => x + t * d[i]) as unknown as Vector;
        // the midpoint rule; each end of a stretch costs at most half a step, and there are at most ten ends
        const step = 0.05;
        let inside = 0;
        for (let t = -40 + step / 2; t < 40; t += step) if (insideSolid(form, at(t))) inside += step;
        expect(Math.abs(chord(form, at(-40), d as unknown as Vector) - inside)).toBeLessThan(5 * step);
      }),
      { ...seed, numRuns: 150 },
    );
  });

  test('is the same from either side, and grows with the form', () => {
    fc.assert(
      fc.property(aForm, simple, aPoint, aDirection, (form, other, through, direction) => {
        const norm = Math.hypot(...direction);
        const at = (t: number) => through.map((x, i) => x + (t * direction[i]) / norm) as unknown as Vector;
        const there = chord(form, at(-60), direction);
        const back = chord(form, at(60), direction.map((x) => -x) as unknown as Vector);
        expect(Math.abs(there - back)).toBeLessThan(1e-6);
        const both = chord(union(form, other), at(-60), direction);
        const shared = chord(intersection(form, other), at(-60), direction);
        expect(Math.abs(both + shared - there - chord(other, at(-60), direction))).toBeLessThan(1e-9);
        expect(Math.abs(chord(difference(form, other), at(-60), direction) + shared - there)).toBeLessThan(1e-9);
      }),
      { ...seed, numRuns: 300 },
    );
  });

  test('a ray without direction is refused in one sentence', () => {
    expect(() => chord(ball([0, 0, 0], 1), [0, 0, 0], [0, 0, 0])).toThrow('should have a length above 0');
  });
});

describe('volumeOf', () => {
  const lying = { axis: [1, 2, 2] as Vector, turn: 0.4 };
  const glass = cylinder([0, 0, -8], [2, 1, 8], 3);
  test.each<[string, Form, number]>([
    ['ball', ball([0, 0, 0], 6), (4 / 3) * Math.PI * 216],
    ['ellipsoid', ellipsoid([1, 0, 0], [3, 5, 7], lying), (4 / 3) * Math.PI * 105],
    ['cylinder', cylinder([0, 0, -4], [0, 0, 4], 5), Math.PI * 25 * 8],
    ['cone', cone([0, 0, -4], [0, 0, 5], 6), Math.PI * 12 * 9],
    ['blunt cone', cone([0, 0, -4], [0, 0, 4], 6, 3), (Math.PI * 8 * 63) / 3],
    ['rod', rod([0, 0, -4], [0, 3, 0], 2), Math.PI * 4 * (5 + 8 / 3)],
    ['box', box([0, 0, 0], [2, 3, 4], lying), 24],
    ['hexagonal prism: √3/2·18²·10', prism([0, 0, 0], 6, 18, 10), (Math.sqrt(3) / 2) * 324 * 10],
    ['nut', hexNut([0, 0, 0], 18, 10, 10), (Math.sqrt(3) / 2) * 324 * 10 - Math.PI * 250],
    ['nut, lying', hexNut([1, 0, -1], 12, 6, 6, lying), (Math.sqrt(3) / 2) * 144 * 6 - Math.PI * 54],
    ['bead with a hole: 4π/3·(R² − r²)^{3/2}', difference(ball([0, 0, 1], 5), cylinder([0, 0, -9], [0, 0, 9], 3)), (4 / 3) * Math.PI * 64],
    ['half a ball', intersection(ball([0, 0, 0], 6), halfSpace([0, 0, 0], [1, 1, 1])), (2 / 3) * Math.PI * 216],
    ['the cap of a ball, π·h²·(3R − h)/3', intersection(halfSpace([0, 0, -4], [0, 0, 1]), ball([0, 0, 0], 6)), (Math.PI * 4 * 16) / 3],
    ['a tilted glass half full', intersection(glass, halfSpace([1, 0.5, 0], [0, 0, 1])), (Math.PI * 9 * Math.sqrt(5 + 256)) / 2],
  ])('%s, by formula and by chords', (_, form, expected) => {
    expect(volumeOf(form)).toBeCloseTo(expected, 9);
    expect(Math.abs(volumeByChords(form, [0.3, -0.5, 0.8]) / expected - 1)).toBeLessThan(2e-3);
  });

  test('is the sum of all chords, for any form that has a formula', () => {
    fc.assert(
      fc.property(aForm, aDirection, (form, direction) => {
        const volume = volumeOf(form);
        if (volume === undefined) return;
        // 40 000 places: a shape's share of the square comes out to about 1/2000, and its chords are no longer than the ball
        expect(Math.abs(volumeByChords(form, direction) - volume)).toBeLessThan(1e-3 * 8 * cutterOf(form).radius ** 3);
      }),
      { ...seed, numRuns: 40 },
    );
  });

  test('says undefined where it has no formula, and adds up what lies apart', () => {
    expect(volumeOf(union(ball([0, 0, 0], 2), ball([1, 0, 0], 2)))).toBeUndefined();
    expect(volumeOf(union(ball([0, 0, 0], 2), ball([9, 0, 0], 2)))).toBeCloseTo((64 / 3) * Math.PI, 9);
    expect(volumeOf(intersection(cylinder([0, 0, 0], [0, 0, 9], 2), halfSpace([0, 0, 1], [1, 0, 1])))).toBeUndefined();
    expect(volumeOf(difference(ball([0, 0, 0], 5), cylinder([1, 0, -9], [1, 0, 9], 3)))).toBeUndefined();
    expect(volumeOf(difference(ball([0, 0, 0], 5), cylinder([0, 0, 0], [0, 0, 9], 3)))).toBeUndefined();
    const egg = union(intersection(ellipsoid([0, 0, 0], [3, 3, 5]), halfSpace([0, 0, 0], [0, 0, -1])), intersection(ball([0, 0, 0], 3), halfSpace([0, 0, 0], [0, 0, 1])));
    expect(volumeOf(egg)).toBeCloseTo((2 / 3) * Math.PI * (45 + 27), 9);
  });
});

describe('spring', () => {
  const coil = spring({ centre: [0, 0, 0], coilRadius: 6, wireRadius: 0.8, rise: 3, turns: 5 });

  test('has the volume of its wire, within what the joints of the rods share', () => {
    const wire = Math.PI * 0.64 * (5 * Math.hypot(2 * 24 * 6 * Math.sin(Math.PI / 24), 3)) + (4 / 3) * Math.PI * 0.512;
    expect(Math.abs(volumeByChords(coil, [0.3, -0.5, 0.8], 100_000) / wire - 1)).toBeLessThan(0.005);
  });

  test('stays by its helix: within the wire of every point of it, and nowhere else', () => {
    for (let k = 0; k <= 1000; k++) {
      const turned = (k / 1000) * 5;
      const on = (radius: number): Vector => [radius * Math.cos(2 * Math.PI * turned), radius * Math.sin(2 * Math.PI * turned), 3 * (turned - 2.5)];
      expect(insideSolid(coil, on(6))).toBe(true);
      expect(insideSolid(coil, on(4.9))).toBe(false);
      expect(insideSolid(coil, on(6.9))).toBe(false);
    }
  });
});

describe('pathLengths', () => {
  const shell = ball([0, 0, 0], 10);
  const air = ball([0, 0, 0], 8);
  const marble = ball([0, 0, 0], 3);

  test('gives every stretch to the last solid that has it', () => {
    expect([...pathLengths([shell, air, marble], [-50, 0, 0], [1, 0, 0])]).toEqual([4, 10, 6]);
    expect([...pathLengths([marble, air, shell], [-50, 0, 0], [1, 0, 0])]).toEqual([0, 0, 20]);
  });

  test('agrees with solidAt, and adds up to the chord of all together', () => {
    fc.assert(
      fc.property(fc.array(simple, { minLength: 1, maxLength: 4 }), aPoint, aDirection, (solids, through, direction) => {
        const norm = Math.hypot(...direction);
        const at = (t: number) => through.map((x, i) => x + (t * direction[i]) / norm) as unknown as Vector;
        const lengths = pathLengths(solids, at(-45), direction);
        const counted = new Float64Array(solids.length);
        const step = 0.05;
        for (let t = -45 + step / 2; t < 45; t += step) {
          const solid = solidAt(solids, at(t));
          if (solid >= 0) counted[solid] += step;
        }
        lengths.forEach((length, k) => expect(Math.abs(length - counted[k])).toBeLessThan(5 * step));
        expect(lengths.reduce((total, length) => total + length, 0)).toBeCloseTo(chord(union(...solids), at(-45), direction), 8);
      }),
      { ...seed, numRuns: 60 },
    );
  });
});

describe('lists of stretches', () => {
  const list = fc.uniqueArray(fc.integer({ min: 0, max: 60 }), { maxLength: 12 }).map((cuts) => Float64Array.from(cuts.sort((a, b) => a - b).slice(0, cuts.length - (cuts.length % 2))));
  const has = (a: Float64Array, n: number, x: number) => Array.from({ length: n / 2 }, (_, i) => a[2 * i] < x && x < a[2 * i + 1]).some(Boolean);

  test.each([['unite', unite, (a: boolean, b: boolean) => a || b], ['intersect', intersect, (a: boolean, b: boolean) => a && b], ['subtract', subtract, (a: boolean, b: boolean) => a && !b]] as const)(
    '%s holds just the points it should, in rising order',
    (_, combine, rule) => {
      fc.assert(
        fc.property(list, list, (a, b) => {
          const out = new Float64Array(64);
          const n = combine(a, a.length, b, b.length, out);
          for (let x = 0.5; x < 60; x++) expect(has(out, n, x)).toBe(rule(has(a, a.length, x), has(b, b.length, x)));
          for (let i = 1; i < n; i++) expect(out[i]).toBeGreaterThan(out[i - 1]);
        }),
        seed,
      );
    },
  );
});

describe('coneRay', () => {
  const beam = coneBeam({ views: 8, detectors: 40, rows: 30, pitch: 0.5, axisOffset: 1.3, rowOffset: -0.7, tilt: 0.02, sourceToAxis: 300, sourceToDetector: 450 });
  /** The way back, from the axes as they are agreed: where the shadow of a point falls, column and row. */
  const shadow = (view: number, [x, y, z]: Vector): [number, number] => {
    const [cos, sin] = [Math.cos(beam.angles[view]), Math.sin(beam.angles[view])];
    const scale = beam.sourceToDetector / (beam.sourceToAxis + x * sin - y * cos);
    const [u, v] = [scale * (x * cos + y * sin), scale * z];
    const [a, b] = [u * Math.cos(beam.tilt) + v * Math.sin(beam.tilt), v * Math.cos(beam.tilt) - u * Math.sin(beam.tilt)];
    return [(a + beam.axisOffset) / beam.pitch + 19.5, (b + beam.rowOffset) / beam.pitch + 14.5];
  };

  test('goes from the source through the point whose shadow the cell is', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 7 }), fc.tuple(coordinate, coordinate, coordinate), (view, point) => {
        const { origin, direction } = coneRay(beam, view, ...shadow(view, point));
        const [dx, dy, dz] = point.map((x, i) => x - origin[i]);
        const along = dx * direction[0] + dy * direction[1] + dz * direction[2];
        expect(Math.hypot(dx - along * direction[0], dy - along * direction[1], dz - along * direction[2])).toBeLessThan(1e-9);
        expect(Math.hypot(...direction)).toBeCloseTo(1, 12);
      }),
      seed,
    );
  });

  test('at angle 0 the source stands at +y; columns run along +x and rows along +z', () => {
    const straight = coneBeam({ views: 4, detectors: 3, rows: 3, pitch: 10, sourceToAxis: 300, sourceToDetector: 450 });
    const { origin, direction } = coneRay(straight, 0, 2, 2);
    expect(origin.map((x) => x + 0)).toEqual([0, 300, 0]);
    const norm = Math.hypot(10, 450, 10);
    expect(direction[0]).toBeCloseTo(10 / norm, 12);
    expect(direction[1]).toBeCloseTo(-450 / norm, 12);
    expect(direction[2]).toBeCloseTo(10 / norm, 12);
    expect(coneRay(straight, 1, 1, 1).origin[0]).toBeCloseTo(-300, 9);
  });

  test('tilt: the image of the axis leans towards higher columns going up, and leaves the foot of the middle ray in place', () => {
    const [low, high] = [shadow(0, [0, 0, -10]), shadow(0, [0, 0, 10])];
    expect((high[0] - low[0]) / (high[1] - low[1])).toBeCloseTo(Math.tan(0.02), 9);
    expect(shadow(0, [0, 0, 0])).toEqual([19.5 + 1.3 / 0.5, 14.5 - 0.7 / 0.5]);
  });

  test.each([
    [{ rows: 0 }, 'number of detector rows is 0'],
    [{ rowOffset: NaN }, 'row offset'],
    [{ tilt: 2 }, 'tilt is 2'],
    [{ sourceToDetector: 100 }, 'before the axis'],
    [{ pitch: 0 }, 'pitch'],
  ])('coneBeam refuses %o', (wrong, says) => {
    expect(() => coneBeam({ ...beam, ...wrong })).toThrow(says);
  });
});

describe('projectSolids', () => {
  const beam = coneBeam({ views: 5, detectors: 21, rows: 15, pitch: 2.5, axisOffset: 0.6, rowOffset: 1.25, tilt: 0.01, sourceToAxis: 120, sourceToDetector: 180 });
  const solids: Solid[] = [
    { ...ellipsoid([0, 0, 0], [9, 7, 10]), name: 'shell', material: 'polyethylene' },
    { ...ellipsoid([0, 0, 0], [8, 6, 9]), name: 'air' },
    { ...hexNut([-3, 0, 0], 6, 3, 3, { axis: [1, 0, 1] }), material: 'aluminium' },
    { ...ball([4, 0, 2], 1.5), attenuation: 0.3 },
  ];

  test('is Σ μ·length along coneRay, cell by cell', () => {
    const { data, views, rows, columns } = projectSolids(solids, beam, { keV: 60 });
    expect([views, rows, columns, data.length]).toEqual([5, 15, 21, 5 * 15 * 21]);
    const mu = [linearAttenuation('polyethylene', 60), 0, linearAttenuation('aluminium', 60), 0.3];
    for (let view = 0; view < views; view++) {
      for (let row = 0; row < rows; row++) {
        for (let column = 0; column < columns; column++) {
          const { origin, direction } = coneRay(beam, view, column, row);
          const expected = pathLengths(solids, origin, direction).reduce((total, length, k) => total + mu[k] * length, 0);
          expect(data[(view * rows + row) * columns + column]).toBeCloseTo(expected, 6);
        }
      }
    }
  });

  test('in the plane of the source is the fan projection of the cut there', () => {
    const cone = coneBeam({ views: 7, detectors: 40, rows: 1, pitch: 1, axisOffset: 0.4, sourceToAxis: 100, sourceToDetector: 150 });
    const fan = fanBeam({ views: 7, detectors: 40, pitch: 1, axisOffset: 0.4, sourceToAxis: 100, sourceToDetector: 150 });
    const flat = projectPhantom([ellipse(1, 2, 9, 5, 0.3, 0.02), disc(-3, 1, 2, 0.05)], fan);
    const solid = projectSolids(
      [{ ...ellipsoid([1, 2, 0], [9, 5, 30], { turn: 0.3 }), attenuation: 0.02 }, { ...cylinder([-3, 1, -5], [-3, 1, 5], 2), attenuation: 0.07 }],
      cone,
    );
    flat.data.forEach((value, k) => expect(solid.data[k]).toBeCloseTo(value, 6));
  });

  test('averages samples² rays over a cell', () => {
    const coarse = projectSolids(solids, beam, { keV: 60, samples: 3 });
    const fine = projectSolids(solids, { ...beam, detectors: 63, rows: 45, pitch: 2.5 / 3 }, { keV: 60 });
    for (const [view, row, column] of [[0, 7, 10], [2, 4, 8], [4, 9, 13]]) {
      let sum = 0;
      for (let i = 0; i < 3; i++) for (let j = 0; j < 3; j++) sum += fine.data[(view * 45 + 3 * row + i) * 63 + 3 * column + j];
      expect(coarse.data[(view * 15 + row) * 21 + column]).toBeCloseTo(sum / 9, 6);
    }
    expect(() => projectSolids(solids, beam, { keV: 60, samples: 0 })).toThrow('samples is 0');
    expect(() => projectSolids(solids, beam)).toThrow('keV is missing');
  });

  test('projectPaths: the lengths of each substance, like with like', () => {
    const twice: Solid[] = [...solids, { ...ball([0, 3, -3], 1), material: 'aluminium' }, { ...ball([0, -3, -3], 1), material: 'aluminium', density: 2.6 }];
    const found = projectPaths(twice, beam);
    expect(found.map(({ substance }) => substance.material ?? substance.attenuation)).toEqual(['polyethylene', 'aluminium', 0.3, 'aluminium']);
    const whole = projectSolids(twice, beam, { keV: 40 });
    const mu = [linearAttenuation('polyethylene', 40), linearAttenuation('aluminium', 40), 0.3, linearAttenuation('aluminium', 40, 2.6)];
    whole.data.forEach((value, k) => expect(found.reduce((total, { paths }, m) => total + mu[m] * paths.data[k], 0)).toBeCloseTo(value, 5));
  });
});

describe('voxelizeSolids', () => {
  const grid = { width: 20, height: 16, depth: 12, voxelSize: 1.1, centre: [1, -2, 0.5] as Vector };

  test('has the value of the last solid there, wherever a voxel lies whole in one', () => {
    const solids: Solid[] = [{ ...ball([0, 0, 0], 7), attenuation: 0.02 }, { ...ball([0, 0, 0], 6) }, { ...cylinder([1, -3, -4], [2, 0, 5], 3), attenuation: 0.05 }];
    const { data } = voxelizeSolids(solids, grid);
    let whole = 0;
    for (let z = 0; z < 12; z++) {
      for (let row = 0; row < 16; row++) {
        for (let column = 0; column < 20; column++) {
          const middle: Vector = [1 + (column - 9.5) * 1.1, -2 + (7.5 - row) * 1.1, 0.5 + (z - 5.5) * 1.1];
          // every corner and the middle in one solid, all of which are convex or hollow on a scale far above a voxel's
          const at = solidAt(solids, middle);
          const corners = [-1, 1].flatMap((i) => [-1, 1].flatMap((j) => [-1, 1].map((k) => solidAt(solids, [middle[0] + i * 0.8, middle[1] + j * 0.8, middle[2] + k * 0.8]))));
          if (corners.some((corner) => corner !== at)) continue;
          whole++;
          expect(data[(z * 16 + row) * 20 + column]).toBeCloseTo(at < 0 ? 0 : solids[at].attenuation ?? 0, 6);
        }
      }
    }
    expect(whole, 'voxels that lie whole in one solid').toBeGreaterThan(1000);
  });

  test('keeps volume times value', () => {
    const { data } = voxelizeSolids([{ ...ball([1, -2, 0.5], 5), attenuation: 0.04 }], grid);
    const sum = data.reduce((total, value) => total + value, 0) * 1.1 ** 3;
    expect(Math.abs(sum / (0.04 * (4 / 3) * Math.PI * 125) - 1)).toBeLessThan(2e-3);
  });

  test('is exact along x: a face a third into a voxel fills a third of it', () => {
    const { data } = voxelizeSolids([{ ...box([1, -2, 0.5], [2 * 1.1 * (2 + 1 / 3), 50, 50]), attenuation: 1 }], grid, { samples: 1 });
    expect([...data.slice(7, 13)].map((value) => Number(value.toFixed(6)))).toEqual([0.333333, 1, 1, 1, 1, 0.333333]);
  });
});

test('forms without extent are refused in one sentence', () => {
  expect(() => ball([0, 0, 0], 0)).toThrow('should be a number above 0');
  expect(() => cylinder([1, 1, 1], [1, 1, 1], 2)).toThrow('length of a cylinder');
  expect(() => cone([0, 0, 0], [0, 0, 1], 2, -1)).toThrow('0 or more');
  expect(() => prism([0, 0, 0], 2, 1, 1)).toThrow('number of sides');
  expect(() => box([0, 0, 0], [1, NaN, 1])).toThrow('edge of a box');
  expect(() => hexNut([0, 0, 0], 10, 5, 10)).toThrow('narrower than the nut');
  expect(() => halfSpace([0, 0, 0], [0, 0, 0])).toThrow('normal of a half-space');
  expect(() => intersection()).toThrow('no parts');
  expect(() => ellipsoid([0, 0, 0], [1, 1, 1], { axis: [0, 0, 0] })).toThrow('axis of a form');
});
