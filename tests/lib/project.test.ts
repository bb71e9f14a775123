import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { finish } from '../../src/lib/engine/steps.ts';
import { fanBeam, parallelBeam } from '../../src/lib/geometry/beams.ts';
import { pixelPosition } from '../../src/lib/geometry/pixel-position.ts';
import { rayOf } from '../../src/lib/geometry/ray-of.ts';
import { centreOfMass, mass } from '../../src/lib/phantom/mass.ts';
import { projectPhantom } from '../../src/lib/phantom/project-phantom.ts';
import { rasterize } from '../../src/lib/phantom/rasterize.ts';
import { disc, ellipse, gaussian, type Phantom } from '../../src/lib/phantom/shapes.ts';
import { sheppLogan } from '../../src/lib/phantom/shepp-logan.ts';
import { forwardProject, forwardProjectSteps } from '../../src/lib/project/forward-project.ts';
import { projectionMoment } from '../../src/lib/project/projection-moment.ts';
import { transposeProject, transposeProjectSteps } from '../../src/lib/project/transpose-project.ts';
import type { FlatBeam, Grid, Image, Sinogram } from '../../src/lib/types.ts';

const seed = { seed: 20240607 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

const aGrid: fc.Arbitrary<Grid> = fc.record({
  width: fc.integer({ min: 1, max: 17 }),
  height: fc.integer({ min: 1, max: 17 }),
  pixelSize: real(0.2, 3),
  centre: fc.oneof(fc.constant([0, 0] as const), fc.tuple(real(-15, 15), real(-15, 15))),
});
const views = {
  // Multiples of 45° are where the walk turns from rows to columns.
  angles: fc.array(fc.oneof(real(-7, 7), fc.integer({ min: -8, max: 8 }).map((eighth) => (eighth * Math.PI) / 4)), { minLength: 1, maxLength: 4 }),
  detectors: fc.integer({ min: 1, max: 24 }),
  pitch: real(0.1, 4),
  axisOffset: real(-3, 3),
};
const aBeam: fc.Arbitrary<FlatBeam> = fc.oneof(
  fc.record(views).map(parallelBeam),
  fc.tuple(fc.record(views), real(5, 300), real(1, 3)).map(([options, sourceToAxis, times]) =>
    fanBeam({ ...options, sourceToAxis, sourceToDetector: sourceToAxis * times }),
  ),
);

/** Seeded noise in −1…1. */
function noise(length: number, start: number): Float32Array {
  let state = start | 1;
  return Float32Array.from({ length }, () => {
    state = Math.imul(state ^ (state >>> 15), 0x2c1b3c6d) + 0x9e3779b9;
    return (state | 0) / 2 ** 31;
  });
}
const imageOf = (grid: Grid, start: number): Image => ({ ...grid, data: noise(grid.width * grid.height, start) });
const sinogramOf = ({ angles, detectors }: FlatBeam, start: number): Sinogram => ({
  views: angles.length,
  detectors,
  data: noise(angles.length * detectors, start),
});
const dot = (a: Float32Array, b: Float32Array) => a.reduce((sum, value, k) => sum + value * b[k]!, 0);
const norm = (a: Float32Array) => Math.sqrt(dot(a, a));
const relative = (ours: Float32Array, exact: Float32Array) => norm(ours.map((p, k) => p - exact[k]!)) / norm(exact);

/** Joseph's sum written out for one ray, pixel by pixel, with no thought of speed. */
function slowRay(image: Image, s: number, theta: number, source?: readonly [number, number]): number {
  const { width, height, pixelSize, data } = image;
  const [cos, sin] = [Math.cos(theta), Math.sin(theta)];
  const down = Math.abs(cos) >= Math.abs(sin);
  let sum = 0;
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const [x, y] = pixelPosition(image, column, row);
      const [rayX, rayY] = down ? [(s - y * sin) / cos, y] : [x, (s - x * cos) / sin];
      if (source && (rayX - source[0]) * sin - (rayY - source[1]) * cos < 0) continue;
      const away = down ? Math.abs(rayX - x) : Math.abs(rayY - y);
      sum += data[row * width + column]! * Math.max(0, 1 - away / pixelSize);
    }
  }
  return (sum * pixelSize) / Math.abs(down ? cos : sin);
}

describe('forwardProject', () => {
  test('is Joseph’s sum along every ray of any beam through any grid', () => {
    fc.assert(
      fc.property(aBeam, aGrid, fc.integer(), (beam, grid, start) => {
        const image = imageOf(grid, start);
        const { data } = forwardProject(image, beam);
        beam.angles.forEach((beta, view) => {
          for (let j = 0; j < beam.detectors; j++) {
            const { s, theta } = rayOf(beam, view, j);
            // Just between rows and columns either walk is right, and rounding chooses.
            if (Math.abs(Math.abs(Math.cos(theta)) - Math.abs(Math.sin(theta))) < 1e-9) continue;
            const source = beam.beam === 'fan' ? ([-beam.sourceToAxis * Math.sin(beta), beam.sourceToAxis * Math.cos(beta)] as const) : undefined;
            const slow = slowRay(image, s, theta, source);
            expect(Math.abs(data[view * beam.detectors + j]! - slow)).toBeLessThan(1e-4);
          }
        });
      }),
      { ...seed, numRuns: 200 },
    );
  });

  test('is linear', () => {
    fc.assert(
      fc.property(aBeam, aGrid, fc.integer(), fc.integer(), real(-3, 3), (beam, grid, one, other, times) => {
        const [a, b] = [imageOf(grid, one), imageOf(grid, other)];
        const both = { ...grid, data: a.data.map((pixel, k) => pixel + times * b.data[k]!) };
        const [pa, pb, pBoth] = [a, b, both].map((image) => forwardProject(image, beam).data);
        pBoth!.forEach((p, k) => expect(Math.abs(p - pa![k]! - times * pb![k]!)).toBeLessThan(1e-3));
      }),
      { ...seed, numRuns: 60 },
    );
  });

  test.each([
    ['down a column', 0, [1 + 4 + 7, 2 + 5 + 8, 3 + 6 + 9]],
    ['along a row, the lowest first', Math.PI / 2, [7 + 8 + 9, 4 + 5 + 6, 1 + 2 + 3]],
    ['up a column: mirrored', Math.PI, [3 + 6 + 9, 2 + 5 + 8, 1 + 4 + 7]],
    ['along the other way', -Math.PI / 2, [1 + 2 + 3, 4 + 5 + 6, 7 + 8 + 9]],
  ])('adds pixels %s', (_, angle, sums) => {
    const image = { width: 3, height: 3, pixelSize: 0.5, data: Float32Array.of(1, 2, 3, 4, 5, 6, 7, 8, 9) };
    const { data } = forwardProject(image, parallelBeam({ angles: [angle], detectors: 3, pitch: 0.5 }));
    expect([...data]).toEqual(sums.map((sum) => expect.closeTo(sum * 0.5, 6)));
  });

  test('a quarter turn of the picture turns the sinogram by a quarter', () => {
    const image = imageOf({ width: 15, height: 15, pixelSize: 1 }, 3);
    const turned: Image = { ...image, data: image.data.map((_, k) => image.data[(k % 15) * 15 + (14 - Math.floor(k / 15))]!) };
    for (const make of [parallelBeam, (options: Parameters<typeof parallelBeam>[0]) => fanBeam({ ...options, sourceToAxis: 40, sourceToDetector: 60 })]) {
      const before = forwardProject(image, make({ angles: [0.1, 0.5, 2], detectors: 31, pitch: 1.1, axisOffset: 0.3 }));
      const after = forwardProject(turned, make({ angles: [0.1, 0.5, 2].map((angle) => angle + Math.PI / 2), detectors: 31, pitch: 1.1, axisOffset: 0.3 }));
      expect(relative(after.data, before.data)).toBeLessThan(1e-6);
    }
  });

  test('moving the grid and the object together by (x, y) moves the views along their sinusoids', () => {
    const grid = { width: 21, height: 21, pixelSize: 1 };
    const image = imageOf(grid, 5);
    const moved = { ...image, centre: [3.2, -1.7] as const };
    for (const angle of [0.2, 1, 2.5]) {
      const along = 3.2 * Math.cos(angle) - 1.7 * Math.sin(angle);
      const here = forwardProject(image, parallelBeam({ angles: [angle], detectors: 41, pitch: 0.8 }));
      const there = forwardProject(moved, parallelBeam({ angles: [angle], detectors: 41, pitch: 0.8, axisOffset: -along }));
      expect(relative(there.data, here.data)).toBeLessThan(1e-5);
    }
  });

  test('from very far away a fan is a parallel beam', () => {
    const options = { views: 7, turn: Math.PI, detectors: 50, pitch: 0.9, axisOffset: 0.4 };
    const image = rasterize(sheppLogan({ size: 40 }), { width: 40, height: 40, pixelSize: 1 });
    const fan = forwardProject(image, fanBeam({ ...options, sourceToAxis: 1e7, sourceToDetector: 1e7 }));
    expect(relative(fan.data, forwardProject(image, parallelBeam(options)).data)).toBeLessThan(1e-5);
  });

  test('keeps the mass of the picture in every view, to the cells’ own sampling', () => {
    const image = rasterize([gaussian(3, -5, 6, 0.4), ellipse(-6, 4, 9, 5, 1, 0.2)], { width: 63, height: 65, pixelSize: 1 });
    const total = image.data.reduce((sum, pixel) => sum + pixel, 0);
    const geometry = parallelBeam({ views: 30, detectors: 401, pitch: 0.25 });
    const sinogram = forwardProject(image, geometry);
    for (let view = 0; view < 30; view++) expect(projectionMoment(sinogram, geometry, view, 0) / total).toBeCloseTo(1, 3);
  });

  test('counts nothing that lies behind the source of a fan', () => {
    const image = { width: 1, height: 41, pixelSize: 1, data: new Float32Array(41).fill(1) };
    const geometry = fanBeam({ angles: [0], detectors: 1, pitch: 1, sourceToAxis: 10.5, sourceToDetector: 30 });
    expect(forwardProject(image, geometry).data[0]).toBe(31); // pixels at y = −20 … 10
  });

  test('says what does not fit', () => {
    expect(() => forwardProject({ width: 3, height: 2, pixelSize: 1, data: new Float32Array(5) }, parallelBeam({ views: 1, detectors: 1, pitch: 1 }))).toThrow(
      'has 5 values and should have 3 × 2 = 6',
    );
  });

  test('reports each view and ends at 1', () => {
    const heard = [...forwardProjectSteps(imageOf({ width: 3, height: 3, pixelSize: 1 }, 1), parallelBeam({ views: 4, detectors: 3, pitch: 1 }))];
    expect(heard).toEqual([0.25, 0.5, 0.75, 1]);
  });
});

describe('forwardProject against the exact projections', () => {
  const blobs: Phantom = [gaussian(12, 10, 7, 0.02), gaussian(-16, 4, 5, 0.03), gaussian(2, -18, 6, 0.01)];
  const head = sheppLogan({ variant: 'high-contrast', size: 100 });
  const beams = {
    parallel: parallelBeam({ views: 24, detectors: 101, pitch: 1 }),
    fan: fanBeam({ views: 24, detectors: 101, pitch: 1.6, axisOffset: 0.4, sourceToAxis: 250, sourceToDetector: 400 }),
  };
  const error = (phantom: Phantom, beam: FlatBeam, size: number) =>
    relative(forwardProject(rasterize(phantom, { width: size, height: size, pixelSize: 100 / size }), beam).data, projectPhantom(phantom, beam).data);

  test.each(['parallel', 'fan'] as const)('%s, smooth object: the error falls as the square of the pixel', (beam) => {
    const [coarse, fine] = [error(blobs, beams[beam], 50), error(blobs, beams[beam], 100)];
    expect(fine).toBeLessThan(0.005);
    expect(coarse / fine).toBeGreaterThan(3.6);
    expect(coarse / fine).toBeLessThan(4.4);
  });

  test.each(['parallel', 'fan'] as const)('%s, the head with its edges: the error falls with the pixel and is under 1 %% at 400²', (beam) => {
    const [coarse, fine] = [error(head, beams[beam], 100), error(head, beams[beam], 400)];
    expect(fine).toBeLessThan(0.01);
    expect(coarse / fine).toBeGreaterThan(2);
  });
});

describe('transposeProject', () => {
  test('⟨forward(x), y⟩ = ⟨x, transpose(y)⟩ for any beam and any grid', () => {
    fc.assert(
      fc.property(aBeam, aGrid, fc.integer(), fc.integer(), (beam, grid, one, other) => {
        const x = imageOf(grid, one);
        const y = sinogramOf(beam, other);
        const forward = forwardProject(x, beam).data;
        const back = transposeProject(y, beam, grid).data;
        const scale = (norm(forward) * norm(y.data) + norm(x.data) * norm(back)) / 2;
        expect(Math.abs(dot(forward, y.data) - dot(x.data, back))).toBeLessThanOrEqual(1e-5 * scale);
      }),
      { ...seed, numRuns: 500 },
    );
  });

  test('puts the picture on the grid it was asked for', () => {
    const grid = { width: 4, height: 3, pixelSize: 2, centre: [5, 6] as const };
    const beam = parallelBeam({ views: 2, detectors: 5, pitch: 1 });
    const { data, ...rest } = transposeProject(sinogramOf(beam, 1), beam, grid);
    expect(rest).toEqual(grid);
    expect(data.length).toBe(12);
  });

  test('says what does not fit, and reports each view', () => {
    const beam = parallelBeam({ views: 2, detectors: 5, pitch: 1 });
    const grid = { width: 4, height: 3, pixelSize: 2 };
    expect(() => transposeProject({ views: 2, detectors: 4, data: new Float32Array(8) }, beam, grid)).toThrow('2 views of 4 cells');
    expect([...transposeProjectSteps(sinogramOf(beam, 1), beam, grid)]).toEqual([0.5, 1]);
    expect(finish(transposeProjectSteps(sinogramOf(beam, 1), beam, grid)).data).toEqual(transposeProject(sinogramOf(beam, 1), beam, grid).data);
  });
});

test('projectionMoment: moment 0 is the mass, moment 1 follows the centre of mass round', () => {
  const phantom = [disc(10, -4, 6, 0.5), ellipse(-8, 3, 9, 4, 0.6, 0.25)];
  const geometry = parallelBeam({ views: 9, detectors: 161, pitch: 0.5, axisOffset: 0.2 });
  const sinogram = projectPhantom(phantom, geometry, { cell: 'average' });
  const [x, y] = centreOfMass(phantom);
  geometry.angles.forEach((angle, view) => {
    const zeroth = projectionMoment(sinogram, geometry, view, 0);
    expect(zeroth).toBeCloseTo(mass(phantom), 4);
    expect(projectionMoment(sinogram, geometry, view, 1) / zeroth).toBeCloseTo(x * Math.cos(angle) + y * Math.sin(angle), 2);
  });
});
