import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { fanBeam, parallelBeam } from '../../src/lib/geometry/beams.ts';
import { coverage } from '../../src/lib/geometry/coverage.ts';
import { detectorIndex, detectorPosition } from '../../src/lib/geometry/detector-position.ts';
import { equalAngles } from '../../src/lib/geometry/equal-angles.ts';
import { conjugateRay, detectorReach, halfFanAngle, shortScanTurn, widestRay } from '../../src/lib/geometry/fan.ts';
import { fieldRadius } from '../../src/lib/geometry/field-radius.ts';
import { magnification } from '../../src/lib/geometry/magnification.ts';
import { parkerWeight } from '../../src/lib/geometry/parker-weight.ts';
import { pixelAt, pixelPosition } from '../../src/lib/geometry/pixel-position.ts';
import { pointInFan, pointOfDetector, pointOnDetector, sourcePosition } from '../../src/lib/geometry/point-on-detector.ts';
import { rayOf } from '../../src/lib/geometry/ray-of.ts';
import { detailKept, viewsNeeded } from '../../src/lib/geometry/views-needed.ts';
import { viewWeights } from '../../src/lib/geometry/view-weights.ts';
import type { ConeBeam, FanBeam } from '../../src/lib/types.ts';

const seed = { seed: 20240607 };
const degrees = (angle: number) => (angle * Math.PI) / 180;
const sum = (values: ArrayLike<number>) => Array.from(values).reduce((total, value) => total + value, 0);
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const aFan: fc.Arbitrary<FanBeam> = fc
  .tuple(real(-7, 7), fc.integer({ min: 1, max: 60 }), real(0.1, 3), real(-5, 5), real(60, 600), real(1, 4))
  .map(([angle, detectors, pitch, axisOffset, sourceToAxis, times]) =>
    fanBeam({ angles: [angle], detectors, pitch, axisOffset, sourceToAxis, sourceToDetector: sourceToAxis * times }),
  );

describe('positions', () => {
  test.each([
    // cells, pitch, offset, cell, position
    [5, 2, 0, 2, 0],
    [5, 2, 0, 0, -4],
    [4, 2, 0, 0, -3],
    [4, 2, 1, 0, -4],
    [4, 2, -0.5, 3, 3.5],
  ])('a detector of %d cells, pitch %d, offset %d: cell %d lies at %d', (detectors, pitch, axisOffset, cell, position) => {
    const geometry = parallelBeam({ views: 1, detectors, pitch, axisOffset });
    expect(detectorPosition(geometry, cell)).toBe(position);
    expect(detectorIndex(geometry, position)).toBe(cell);
  });

  test.each([
    ['the middle of an odd grid', { width: 3, height: 5, pixelSize: 2 }, 1, 2, 0, 0],
    ['the first pixel is top left', { width: 3, height: 5, pixelSize: 2 }, 0, 0, -2, 4],
    ['an even grid has its middle between pixels', { width: 4, height: 2, pixelSize: 1 }, 2, 1, 0.5, -0.5],
    ['a grid off the axis', { width: 3, height: 3, pixelSize: 1, centre: [10, -20] as const }, 2, 0, 11, -19],
  ])('pixelPosition: %s', (_, grid, column, row, x, y) => {
    expect(pixelPosition(grid, column, row)).toEqual([x, y]);
    expect(pixelAt(grid, x, y)).toEqual([column, row]);
  });

  test('equalAngles leaves out the end of the turn', () => {
    expect(equalAngles(4, 2 * Math.PI)).toEqual([0, Math.PI / 2, Math.PI, (3 * Math.PI) / 2]);
    expect(equalAngles(2, -1, 5)).toEqual([5, 4.5]);
  });
});

describe('rays', () => {
  test('the source and the point on the detector both lie on the line that rayOf gives', () => {
    fc.assert(
      fc.property(aFan, real(-20, 80), (geometry, cell) => {
        const { s, theta } = rayOf(geometry, 0, cell);
        for (const [x, y] of [sourcePosition(geometry, 0), pointOfDetector(geometry, 0, detectorPosition(geometry, cell))]) {
          expect(x * Math.cos(theta) + y * Math.sin(theta)).toBeCloseTo(s, 9);
        }
      }),
      seed,
    );
  });

  test('the detector is square to the ray through the axis, sourceToDetector away from the source', () => {
    fc.assert(
      fc.property(aFan, (geometry) => {
        const source = sourcePosition(geometry, 0);
        const foot = pointOfDetector(geometry, 0, 0);
        const along = pointOfDetector(geometry, 0, 1);
        expect(Math.hypot(foot[0] - source[0], foot[1] - source[1])).toBeCloseTo(geometry.sourceToDetector, 8);
        expect((along[0] - foot[0]) * (foot[0] - source[0]) + (along[1] - foot[1]) * (foot[1] - source[1])).toBeCloseTo(0, 8);
        // And the columns run counter-clockwise seen from the source: u = (cos β, sin β).
        expect(along[0] - foot[0]).toBeCloseTo(Math.cos(geometry.angles[0]!), 9);
        expect(along[1] - foot[1]).toBeCloseTo(Math.sin(geometry.angles[0]!), 9);
      }),
      seed,
    );
  });

  test('a point falls on the cell whose ray goes through it', () => {
    fc.assert(
      fc.property(aFan, real(-30, 30), real(-30, 30), (geometry, x, y) => {
        const cell = detectorIndex(geometry, pointOnDetector(geometry, 0, x, y));
        const { s, theta } = rayOf(geometry, 0, cell);
        expect(x * Math.cos(theta) + y * Math.sin(theta)).toBeCloseTo(s, 9);
        const { gamma, distance, depth } = pointInFan(geometry, 0, x, y);
        expect(theta).toBeCloseTo(geometry.angles[0]! + gamma, 9);
        expect(distance).toBeCloseTo(Math.hypot(x - sourcePosition(geometry, 0)[0], y - sourcePosition(geometry, 0)[1]), 9);
        expect(depth).toBeCloseTo(distance * Math.cos(gamma), 9);
      }),
      seed,
    );
  });

  test('from very far away, a fan ray with the detector on the axis is the parallel ray', () => {
    const options = { angles: [0.7], detectors: 11, pitch: 1.5, axisOffset: 0.3 };
    const far = fanBeam({ ...options, sourceToAxis: 1e9, sourceToDetector: 1e9 });
    for (let j = 0; j < 11; j++) {
      expect(rayOf(far, 0, j).s).toBeCloseTo(rayOf(parallelBeam(options), 0, j).s, 6);
      expect(rayOf(far, 0, j).theta).toBeCloseTo(0.7, 6);
    }
  });

  test('a ray and its conjugate are one line, run through from its two ends', () => {
    fc.assert(
      fc.property(real(-7, 7), real(-0.6, 0.6), (beta, gamma) => {
        const other = conjugateRay(beta, gamma);
        expect(other.beta + other.gamma).toBeCloseTo(beta + gamma + Math.PI, 12);
        expect(Math.sin(other.gamma)).toBeCloseTo(-Math.sin(gamma), 12);
      }),
      seed,
    );
  });
});

describe('fan figures', () => {
  const geometry = fanBeam({ views: 1, detectors: 101, pitch: 2, sourceToAxis: 400, sourceToDetector: 600 });

  test('magnification is the ratio of the distances, 1 for a parallel beam', () => {
    expect(magnification(geometry)).toBe(1.5);
    expect(magnification(parallelBeam({ views: 1, detectors: 1, pitch: 1 }))).toBe(1);
  });

  test('fieldRadius and detectorReach are each other turned round', () => {
    expect(detectorReach(fieldRadius(geometry), geometry)).toBeCloseTo(100, 9);
    expect(Math.sin(widestRay(geometry)) * 400).toBeCloseTo(fieldRadius(geometry), 9);
    expect(halfFanAngle(fieldRadius(geometry), 400)).toBeCloseTo(widestRay(geometry), 12);
  });

  test.each([
    [0, 10],
    [3, 7],
    [-3, 7],
    [25, 0],
  ])('fieldRadius of 21 cells of 1 mm with the axis %d mm off the middle is %d', (axisOffset, radius) => {
    expect(fieldRadius(parallelBeam({ views: 1, detectors: 21, pitch: 1, axisOffset }))).toBe(radius);
  });
});

describe('viewWeights', () => {
  const parallel = (angles: readonly number[]) => viewWeights(parallelBeam({ angles, detectors: 3, pitch: 1 }));
  const fan = (angles: readonly number[]) => viewWeights(fanBeam({ angles, detectors: 101, pitch: 1, sourceToAxis: 200, sourceToDetector: 200 }));

  test.each([
    ['equal steps over 180°', equalAngles(5, Math.PI), [36, 36, 36, 36, 36]],
    ['the same turned the other way, begun elsewhere', equalAngles(5, -Math.PI, 3), [36, 36, 36, 36, 36]],
    ['four views over 360° look two ways: each half of a share', equalAngles(4, 2 * Math.PI), [45, 45, 45, 45]],
    ['five views over 360° interleave', equalAngles(5, 2 * Math.PI), [36, 36, 36, 36, 36]],
    ['uneven steps, in any order', [0, 90, 30].map(degrees), [60, 75, 45]],
    ['0° and 180° are one direction', [0, 60, 120, 180].map(degrees), [30, 60, 60, 30]],
    ['three views of one direction share it', [0, 0, 0, 90].map(degrees), [30, 30, 30, 90]],
    ['the neighbours of a lost view take its share', [0, 20, 60, 80, 100, 120, 140, 160].map(degrees), [20, 30, 30, 20, 20, 20, 20, 20]],
    ['a single view stands for all', [1], [180]],
  ])('parallel: %s', (_, angles, expected) => {
    expect(Array.from(parallel(angles), (weight) => (weight * 180) / Math.PI)).toEqual(expected.map((weight) => expect.closeTo(weight, 6)));
  });

  test('parallel: the shares of any list of angles are not negative and add up to π', () => {
    fc.assert(
      fc.property(fc.array(real(-20, 20), { minLength: 1, maxLength: 40 }), (angles) => {
        const weights = parallel(angles);
        expect(sum(weights)).toBeCloseTo(Math.PI, 9);
        expect(Math.min(...weights)).toBeGreaterThanOrEqual(0);
      }),
      seed,
    );
  });

  test('parallel: the order of the views and whole turns added to them change nothing', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.integer({ min: 0, max: 359 }), fc.integer({ min: -3, max: 3 }), real(0, 1)), { minLength: 1, maxLength: 30 }), (views) => {
        const weights = parallel(views.map(([angle]) => degrees(angle)));
        const turned = parallel(views.map(([angle, turns]) => degrees(angle + 360 * turns)));
        const order = views.map((_, k) => k).sort((a, b) => views[a]![2] - views[b]![2]);
        const shuffled = parallel(order.map((k) => degrees(views[k]![0])));
        views.forEach((_, k) => expect(turned[k]).toBeCloseTo(weights[k]!, 6));
        order.forEach((k, place) => expect(shuffled[place]).toBeCloseTo(weights[k]!, 6));
      }),
      seed,
    );
  });

  test('fan, full turn: the shares add up to 2π; 0° and 360° are one view, a lost view falls to its neighbours', () => {
    expect(sum(fan(equalAngles(30, 2 * Math.PI)))).toBeCloseTo(2 * Math.PI, 12);
    const closed = fan(Array.from({ length: 37 }, (_, k) => degrees(10 * k)));
    expect(closed[0]).toBeCloseTo(degrees(5), 9);
    expect(closed[36]).toBeCloseTo(degrees(5), 9);
    const lost = fan(Array.from({ length: 36 }, (_, k) => degrees(10 * k)).filter((_, k) => k !== 7));
    expect(lost[6]).toBeCloseTo(degrees(15), 9);
    expect(lost[7]).toBeCloseTo(degrees(15), 9);
    expect(sum(lost)).toBeCloseTo(2 * Math.PI, 9);
  });

  test('fan, part of a turn: nothing of the part not scanned goes to the end views', () => {
    const angles = Array.from({ length: 220 }, (_, k) => degrees(300 + k)); // runs over 360°
    const weights = fan(angles);
    expect(weights[0]).toBeCloseTo(degrees(1), 9);
    expect(weights[219]).toBeCloseTo(degrees(1), 9);
    const geometry = fanBeam({ angles, detectors: 101, pitch: 1, sourceToAxis: 200, sourceToDetector: 200 });
    expect(sum(weights)).toBeCloseTo(coverage(geometry).span, 9);
  });

  test('a cone is weighted as its fan', () => {
    const cone: ConeBeam = { ...fanBeam({ views: 12, detectors: 5, pitch: 1, sourceToAxis: 9, sourceToDetector: 10 }), beam: 'cone', rows: 4, rowOffset: 0, tilt: 0 };
    expect(sum(viewWeights(cone))).toBeCloseTo(2 * Math.PI, 12);
  });
});

describe('coverage', () => {
  const range = (from: number, to: number, step: number) => Array.from({ length: Math.round((to - from) / step) + 1 }, (_, k) => from + k * step);
  /** A full fan of 2·14.04°: the short scan needs 208.07°. */
  const fan = (list: readonly number[]) => coverage(fanBeam({ angles: list.map(degrees), detectors: 101, pitch: 1, sourceToAxis: 200, sourceToDetector: 200 }));
  const parallel = (list: readonly number[]) => coverage(parallelBeam({ angles: list.map(degrees), detectors: 3, pitch: 1 }));
  const golden = (count: number, of: number) => Array.from({ length: count }, (_, k) => ((k * of * (Math.sqrt(5) - 1)) / 2) % of);

  test.each([
    ['180° in steps of 1°', range(0, 179, 1), 'half', 180],
    ['180° both ends included', range(0, 180, 1), 'half', 180],
    ['backwards, begun elsewhere', range(0, 179, 1).map((angle) => 500 - angle), 'half', 180],
    ['four views', range(0, 135, 45), 'half', 180],
    ['two views', [0, 90], 'half', 180],
    ['golden-angle order', golden(21, 180), 'half', 180],
    ['360° in steps of 8°', range(0, 352, 8), 'full', 180],
    ['three views over 360°', [0, 120, 240], 'full', 180],
    ['ten frames in a row lost', range(0, 179, 1).filter((angle) => angle < 50 || angle >= 60), 'half', 180],
    ['every third frame lost', range(0, 178, 2).filter((_, k) => k % 3 !== 0), 'half', 180],
    ['a wedge of 40° lost', range(0, 139, 1), 'incomplete', 140],
    ['the wedge lost in the middle', range(0, 179, 1).filter((angle) => angle < 50 || angle >= 90), 'incomplete', 140],
    ['the wedge lost from one side of a full turn, whose lines the other side saw', range(0, 359, 1).filter((angle) => angle < 50 || angle >= 90), 'half', 180],
  ])('parallel, %s', (_, list, kind, span) => {
    const found = parallel(list);
    expect(found.kind).toBe(kind);
    expect((found.span * 180) / Math.PI).toBeCloseTo(span, 6);
    expect(found.needed).toBe(Math.PI);
  });

  test.each([
    ['a whole turn', range(0, 359, 1), 'full', 360],
    ['a whole turn, its end repeated', range(0, 360, 1), 'full', 360],
    ['eight views of a turn', range(0, 315, 45), 'full', 360],
    ['eight views of a turn less one', range(0, 315, 45).filter((angle) => angle !== 90), 'full', 360],
    ['golden-angle order', golden(34, 360), 'full', 360],
    ['ten frames in a row lost', range(0, 359, 1).filter((angle) => angle < 50 || angle >= 60), 'full', 360],
    ['210° in steps of 1°', range(0, 209, 1), 'short', 210],
    ['210° over the zero, clockwise', range(0, 209, 1).map((angle) => 30 - angle), 'short', 210],
    ['210° with uneven steps', range(0, 209, 1).map((angle) => angle + 0.4 * Math.sin(angle)), 'short', 210],
    ['210° with frames lost', range(0, 209, 1).filter((angle) => angle % 7 !== 3), 'short', 210],
    ['210° in six views', range(0, 175, 35), 'short', 210],
    ['just what is needed', equalAngles(200, shortScanTurn(Math.atan(50 / 200))).map((angle) => (angle * 180) / Math.PI), 'short', 208.0725],
    ['a wedge of 40° lost from a whole turn', range(40, 359, 1), 'short', 320],
    ['180°', range(0, 179, 1), 'incomplete', 180],
    ['200°', range(0, 199, 1), 'incomplete', 200],
    ['210° with a hole of 30° that its other side did not see', range(0, 209, 1).filter((angle) => angle < 90 || angle >= 120), 'incomplete', 210],
    ['300° with a hole of 20° that its other side saw', range(0, 299, 1).filter((angle) => angle < 20 || angle >= 40), 'short', 300],
  ])('fan, %s', (_, list, kind, span) => {
    const found = fan(list);
    expect(found.kind).toBe(kind);
    // Frames lost at an end cannot be told from frames never taken.
    expect(Math.abs((found.span * 180) / Math.PI - span)).toBeLessThan(1.5);
    expect((found.needed * 180) / Math.PI).toBeCloseTo(180 + 2 * 14.03624, 4);
  });

  test('fan: "incomplete" is what a search over all rays finds', () => {
    const delta = 14.03624;
    const hole = fc.tuple(fc.integer({ min: 0, max: 359 }), fc.integer({ min: 20, max: 190 }));
    let decided = 0;
    fc.assert(
      fc.property(fc.array(hole, { minLength: 1, maxLength: 3 }), (holes) => {
        const apart = (angle: number, from: number) => (((angle - from) % 360) + 360) % 360;
        /** Holes widened by `margin` at both ends: the search must say the same a little to either side to count. */
        const seen = (angle: number, margin: number) => holes.every(([from, width]) => apart(angle, from - margin) >= width + 2 * margin);
        const complete = (margin: number) => {
          for (let beta = 0; beta < 360; beta += 0.5) {
            if (seen(beta, margin)) continue;
            for (let gamma = -delta; gamma <= delta; gamma += delta / 20) if (!seen(beta + 180 + 2 * gamma, margin)) return false;
          }
          return true;
        };
        const list = range(0, 359, 1).filter((angle) => seen(angle, 0));
        fc.pre(list.length > 30);
        const [strict, lax] = [complete(2), complete(-2)];
        fc.pre(strict === lax);
        decided++;
        expect(fan(list).kind === 'incomplete').toBe(!strict);
      }),
      { ...seed, numRuns: 150 },
    );
    expect(decided).toBeGreaterThan(100);
  });

  test('says where the arc begins and what is missing inside it', () => {
    const found = fan(range(100, 329, 1).filter((angle) => angle < 200 || angle >= 230));
    expect((found.start * 180) / Math.PI).toBeCloseTo(99.5, 9);
    expect((found.missing * 180) / Math.PI).toBeCloseTo(30, 9);
    expect(fan(range(350, 600, 1)).start).toBeCloseTo(degrees(349.5), 9);
  });

  test('counts directions: opposite views of a parallel beam look along the same lines', () => {
    expect(parallel(range(0, 352, 8)).directions).toBe(45);
    expect(parallel(equalAngles(44, 360)).directions).toBe(22);
    expect(fan(equalAngles(44, 360)).directions).toBe(44);
  });
});

describe('parkerWeight', () => {
  const rays = fc.tuple(real(0, 1), real(-1, 1), real(0.01, 1.5)).map(([share, side, delta]) => ({
    beta: share * (Math.PI + 2 * delta),
    gamma: side * delta * 0.999,
    delta,
  }));

  test('a ray and its conjugate add up to 1', () => {
    fc.assert(
      fc.property(rays, ({ beta, gamma, delta }) => {
        const later = conjugateRay(beta, gamma);
        const earlier = { beta: later.beta - 2 * Math.PI, gamma: later.gamma };
        const weights = [{ beta, gamma }, later, earlier].map((ray) => parkerWeight(ray.beta, ray.gamma, delta));
        expect(Math.abs(sum(weights) - 1)).toBeLessThan(1e-12);
      }),
      { ...seed, numRuns: 2000 },
    );
  });

  test('is continuous, between 0 and 1, and 0 outside the scan', () => {
    fc.assert(
      fc.property(rays, ({ beta, gamma, delta }) => {
        const weight = parkerWeight(beta, gamma, delta);
        expect(weight).toBeGreaterThanOrEqual(0);
        expect(weight).toBeLessThanOrEqual(1);
        // The steepest slope is π/4 over the narrowest overlap.
        const slope = Math.PI / 4 / Math.min(delta - gamma, delta + gamma);
        expect(Math.abs(parkerWeight(beta + 1e-9, gamma, delta) - weight)).toBeLessThan(2e-9 * slope + 1e-12);
        expect(parkerWeight(-1e-9, gamma, delta)).toBe(0);
        expect(parkerWeight(Math.PI + 2 * delta + 1e-9, gamma, delta)).toBe(0);
      }),
      seed,
    );
  });

  test('of any arc and any ray: 1 for a line seen once, together 1 for a line seen twice', () => {
    fc.assert(
      // Fractions that cannot meet on the corners, where an overlap of no width lets a weight jump.
      fc.property(fc.integer({ min: 0, max: 999 }), fc.integer({ min: -1200, max: 1200 }), fc.integer({ min: -800, max: 1500 }), (a, b, c) => {
        const [share, gamma, delta] = [(a + 0.37) / 1000, (b + 0.2) / 1000, (c + 0.01) / 1000];
        const arc = Math.PI + 2 * delta; // also arcs too short for the fan, and under half a turn
        const beta = share * arc;
        const later = conjugateRay(beta, gamma);
        const partners = [later.beta, later.beta - 2 * Math.PI].filter((other) => other >= 0 && other < arc);
        const together = parkerWeight(beta, gamma, delta) + sum(partners.map((other) => parkerWeight(other, -gamma, delta)));
        expect(partners.length).toBeLessThan(2);
        expect(Math.abs(together - 1)).toBeLessThan(1e-9);
      }),
      { ...seed, numRuns: 3000 },
    );
  });

  test('is a number at the corners, where an overlap shrinks to nothing', () => {
    for (const gamma of [-0.2, 0.2]) {
      for (const beta of [0, Math.PI, Math.PI - 0.4, Math.PI + 0.4]) expect(parkerWeight(beta, gamma, 0.2)).not.toBeNaN();
    }
  });
});

describe('viewsNeeded', () => {
  test('the rules differ by what they call a detail', () => {
    const [period, pitch, onePixel] = [
      viewsNeeded({ diameter: 100, detail: 1 }),
      viewsNeeded({ rule: 'pitch', diameter: 100, pitch: 0.5 }),
      viewsNeeded({ rule: 'one-pixel', diameter: 100, pitch: 0.5 }),
    ];
    expect(pitch).toEqual(period);
    expect(onePixel.exact).toBeCloseTo(2 * pitch.exact, 9);
    expect(period.turn).toBe(Math.PI);
    expect(viewsNeeded({ rule: 'fan', diameter: 100, detail: 1, fanAngle: 0.5 }).turn).toBe(2 * Math.PI);
  });

  test('a rule that comes out whole is not rounded up by a rounding error', () => {
    expect(viewsNeeded({ diameter: 180 / Math.PI, detail: 1 }).views).toBe(180);
  });

  test('detailKept is the rule turned round', () => {
    expect(viewsNeeded({ diameter: 60, detail: detailKept(60, 90) }).exact).toBeCloseTo(90, 9);
  });

  test('refuses figures that no number of views answers', () => {
    expect(() => viewsNeeded({ diameter: 60, detail: 0 })).toThrow('should be above 0');
    expect(() => viewsNeeded({ rule: 'fan', diameter: 60, detail: 1, fanAngle: Math.PI })).toThrow('should be above 0');
  });
});

describe('beams refuse what cannot be, in one sentence', () => {
  const parallel = { views: 4, detectors: 3, pitch: 1 };
  const fan = { ...parallel, sourceToAxis: 100, sourceToDetector: 150 };
  test.each([
    ['no cells', () => parallelBeam({ ...parallel, detectors: 0 }), 'detector cells is 0'],
    ['half a cell', () => parallelBeam({ ...parallel, detectors: 2.5 }), 'detector cells is 2.5'],
    ['a pitch of 0', () => parallelBeam({ ...parallel, pitch: 0 }), '(pitch) is 0'],
    ['an offset that is no number', () => parallelBeam({ ...parallel, axisOffset: NaN }), 'axis offset is NaN'],
    ['no views', () => parallelBeam({ ...parallel, views: 0 }), 'number of views is 0'],
    ['an empty list', () => parallelBeam({ detectors: 3, pitch: 1, angles: [] }), 'list of angles is empty'],
    ['an angle that is no number', () => parallelBeam({ detectors: 3, pitch: 1, angles: [0, Infinity] }), 'angle of view 1 is Infinity'],
    ['a detector before the axis', () => fanBeam({ ...fan, sourceToDetector: 90 }), 'detector lies before the axis'],
    ['a source on the axis', () => fanBeam({ ...fan, sourceToAxis: 0 }), '(sourceToAxis) is 0'],
  ])('%s', (_, make, sentence) => {
    expect(make).toThrow(RangeError);
    expect(make).toThrow(sentence);
  });
});
