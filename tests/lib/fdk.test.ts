import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  ball, coneBeam, coverage, cylinder, equalAngles, fanBeam, fbp, fdk, fdkSteps, finish, pixelPosition, pointInCone, projectPhantom, projectSolids, disc,
  type ConeBeam, type Filter, type Projections, type Solid, type Vector, type VolumeGrid,
} from '../../src/lib/index.ts';
import { viewFilter } from '../../src/lib/filter/filter-views.ts';
import { cellOfCone, placeOfCell } from '../../src/lib/project/point-in-cone.ts';
import { straightener } from '../../src/lib/reconstruct/fdk-straighten.ts';
import { refusal } from './support/bad-input.ts';

const seed = { seed: 77, numRuns: 60 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const largestDifference = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a).reduce((most, value, i) => Math.max(most, Math.abs(value - b[i])), 0);
const greatest = (a: ArrayLike<number>) => Array.from(a).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
const ramp: Filter = { window: 'ramp' };

function noisyFrames({ angles, detectors, rows }: ConeBeam, start = 12): Projections {
  let state = start;
  return { views: angles.length, rows, columns: detectors, data: Float32Array.from({ length: angles.length * rows * detectors }, () => (state = (state * 48271) % 2147483647) / 2147483647) };
}
const solidBall = (centre: Vector, radius: number, attenuation = 0.02): Solid => ({ ...ball(centre, radius), name: 'ball', attenuation });
/** Middle of voxel i, as types.ts has it: rows run down, slices up. */
function voxelPosition({ width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid, i: number): [number, number, number] {
  const [x, y] = pixelPosition({ width, height, pixelSize: voxelSize, centre: [centre[0], centre[1]] }, i % width, Math.floor(i / width) % height);
  return [x, y, centre[2] + (Math.floor(i / (width * height)) - (depth - 1) / 2) * voxelSize];
}

const aGrid: fc.Arbitrary<VolumeGrid> = fc.tuple(fc.integer({ min: 1, max: 20 }), fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 9 }), real(0.2, 3), real(-10, 10), real(-10, 10), real(-8, 8))
  .map(([width, height, depth, voxelSize, ...centre]) => ({ width, height, depth, voxelSize, centre }));
const aCone: fc.Arbitrary<ConeBeam> = fc.record({
  angles: fc.array(real(-7, 7), { minLength: 1, maxLength: 5 }), detectors: fc.integer({ min: 1, max: 16 }), rows: fc.integer({ min: 1, max: 12 }),
  pitch: real(0.3, 4), axisOffset: real(-6, 6), rowOffset: real(-6, 6), sourceToAxis: real(12, 90), times: real(1, 3),
}).map(({ times, ...options }) => coneBeam({ ...options, sourceToDetector: options.sourceToAxis * times }));

describe('fdk(projections, geometry, options) is its formula', () => {
  /** Voxel by voxel and view by view, all rays counted once and a half: full turns only. `unsure`: a ray lands within rounding of a rim. */
  function slowly(frames: Projections, geometry: ConeBeam, grid: VolumeGrid): { value: Float64Array; unsure: Set<number> } {
    const { rows, detectors, sourceToAxis, sourceToDetector, pitch } = geometry;
    const filter = viewFilter(ramp, detectors, (pitch * sourceToAxis) / sourceToDetector);
    const filtered = geometry.angles.map((_, view) => Array.from({ length: rows }, (_, row) => {
      const cells = Float64Array.from({ length: detectors }, (_, column) => {
        const { u, v } = placeOfCell(geometry, column, row);
        return (frames.data[(view * rows + row) * detectors + column] * sourceToDetector) / Math.hypot(sourceToDetector, u, v);
      });
      filter(cells, cells);
      return cells;
    }));
    const value = new Float64Array(grid.width * grid.height * grid.depth), unsure = new Set<number>();
    value.forEach((_, i) => geometry.angles.forEach((_, view) => {
      const { column, row, depth } = pointInCone(geometry, view, ...voxelPosition(grid, i));
      if (Math.abs(depth - grid.voxelSize) < 1e-7) unsure.add(i);
      if (depth < grid.voxelSize) return;
      for (const [at, last] of [[column, detectors - 1], [row, rows - 1]]) if (Math.abs(at) < 1e-7 || Math.abs(at - last) < 1e-7) unsure.add(i);
      if (column < 0 || column > detectors - 1 || row < 0 || row > rows - 1) return;
      const [j, k] = [Math.floor(column), Math.floor(row)], [p, q] = [column - j, row - k];
      const cell = (a: number, b: number) => filtered[view][b]?.[a] ?? 0;
      const blended = (1 - q) * ((1 - p) * cell(j, k) + p * cell(j + 1, k)) + q * ((1 - p) * cell(j, k + 1) + p * cell(j + 1, k + 1));
      value[i] += ((2 * Math.PI) / geometry.angles.length / 2) * (sourceToAxis / depth) ** 2 * blended;
    }));
    return { value, unsure };
  }

  test('for any full turn, detector and grid', () => {
    let compared = 0;
    fc.assert(fc.property(aCone, aGrid, fc.integer({ min: 3, max: 7 }), (some, grid, views) => {
      const geometry: ConeBeam = { ...some, angles: equalAngles(views, 2 * Math.PI, some.angles[0]) };
      const frames = noisyFrames(geometry);
      const { value, unsure } = slowly(frames, geometry, grid);
      const scale = 1e-6 * (1e-9 + greatest(value));
      fdk(frames, geometry, { ...ramp, grid }).data.forEach((fast, i) => {
        if (unsure.has(i)) return;
        if (value[i] !== 0) compared++;
        expect(Math.abs(fast - value[i]), `voxel ${i}: ${fast}, by the formula ${value[i]}`).toBeLessThanOrEqual(scale);
      });
    }), { ...seed, numRuns: 200 });
    expect(compared, 'voxels that a ray reached').toBeGreaterThan(10_000);
  });

  test('a voxel on the middle of the outermost cell gets that cell, whatever rounding does', () => {
    const geometry = coneBeam({ angles: equalAngles(4, 2 * Math.PI), detectors: 2, rows: 2, pitch: 1, sourceToAxis: 1e9, sourceToDetector: 1e9 });
    const ones: Projections = { views: 4, rows: 2, columns: 2, data: new Float32Array(16).fill(1) };
    const { data } = fdk(ones, geometry, { window: 'none', grid: { width: 2, height: 2, depth: 2, voxelSize: 1 } });
    data.forEach((value) => expect(value).toBeCloseTo(Math.PI, 5));
  });
});

describe('in the plane of the source fdk is fbp of the fan', () => {
  const views = { detectors: 61, pitch: 1.4, sourceToAxis: 150, sourceToDetector: 210 };
  test.each([
    ['a full turn', { views: 60 }],
    ['the axis aside', { views: 60, axisOffset: -4.3 }],
    ['frames lost, out of order', { angles: equalAngles(60, 2 * Math.PI).filter((_, k) => k % 7 !== 3).reverse() }],
    ['a short scan', { views: 70, turn: 3.9, start: 2 }],
    ['rays missing', { views: 40, turn: 2.4 }],
  ])('%s', (_, turn) => {
    const fan = fanBeam({ ...views, ...turn } as Parameters<typeof fanBeam>[0]);
    const sinogram = projectPhantom([disc(8, -5, 14, 0.02)], fan);
    for (const window of ['ramp', 'hann', 'none'] as const) {
      const slice = fbp(sinogram, fan, { window, grid: { width: 30, height: 24, pixelSize: 1.5, centre: [3, -2] } }).data;
      for (const [rows, rowOffset] of [[1, 0], [5, 0], [4, 0.7]] as const) { // in 4 rows the plane runs through the middle of row 2
        const cone: ConeBeam = { ...fan, beam: 'cone', rows, rowOffset, tilt: 0 };
        const frames: Projections = { views: fan.angles.length, rows, columns: 61, data: new Float32Array(fan.angles.length * rows * 61) };
        for (let view = 0; view < frames.views; view++) frames.data.set(sinogram.data.subarray(view * 61, (view + 1) * 61), (view * rows + Math.floor(rows / 2)) * 61);
        const volume = fdk(frames, cone, { window, grid: { width: 30, height: 24, depth: 1, voxelSize: 1.5, centre: [3, -2, 0] } });
        // The same sums in double precision, rounded to float32 in the end: at most one unit of its last digit apart.
        expect(largestDifference(volume.data, slice), `${window}, ${rows} rows`).toBeLessThanOrEqual(1.2e-7 * greatest(slice));
      }
    }
  });
});

describe('fdk(projections, geometry, options)', () => {
  const detector = { detectors: 96, rows: 72, pitch: 1.3, sourceToAxis: 300, sourceToDetector: 400 };
  const short = Math.PI + 2 * Math.atan(75 / 400);
  const place = [8, -6, 5] as const;
  const grid: VolumeGrid = { width: 33, height: 33, depth: 33, voxelSize: 1.2, centre: place };

  test.each([
    ['upright, on the axis', 'full', { views: 120 }],
    ['the axis 6.4 mm aside', 'full', { views: 120, axisOffset: 6.4 }],
    ['the plane of the source 9.3 mm below the middle', 'full', { views: 120, rowOffset: -9.3 }],
    ['tilted by 0.7°', 'full', { views: 120, tilt: 0.0122 }],
    ['tilted by −9°', 'full', { views: 120, tilt: -0.157 }],
    ['all three', 'full', { views: 120, axisOffset: -5.2, rowOffset: 7.7, tilt: 0.05 }],
    ['a short scan', 'short', { views: 90, turn: short, start: 1 }],
    ['a short scan the other way, all three', 'short', { views: 90, turn: -short, start: 1, axisOffset: 3.1, rowOffset: 4, tilt: -0.03 }],
    ['45 views', 'full', { views: 45 }],
    ['frames lost', 'full', { angles: equalAngles(120, 2 * Math.PI).filter((_, k) => ![5, 40, 41, 77, 100].includes(k)) }],
    ['a detector that lies on the axis', 'full', { views: 120, pitch: 0.975, sourceToDetector: 300 }],
  ] as const)('a ball of 0.02/mm comes back as 0.02/mm, in its place: %s', (_, kind, options) => {
    const geometry = coneBeam({ ...detector, ...options });
    expect(coverage(geometry).kind).toBe(kind);
    const { data } = fdk(projectSolids([solidBall(place, 15)], geometry), geometry, { ...ramp, grid });
    data.forEach((value, i) => {
      const distance = Math.hypot(...voxelPosition(grid, i).map((x, k) => x - place[k]));
      if (distance <= 12) expect(Math.abs(value / 0.02 - 1), `${distance.toFixed(1)} mm from the middle: ${value}`).toBeLessThan(0.01);
    });
    // From the middle voxel both ways along x, y and z: where the value falls to a half is the ball's surface.
    for (const stride of [1, 33, 33 * 33]) {
      const [up, down] = [stride, -stride].map((step) => {
        const line = Array.from({ length: 17 }, (_, k) => data[16 * (1 + 33 + 33 * 33) + k * step]);
        const k = line.findIndex((value) => value < 0.01);
        return 1.2 * (k - 1 + (line[k - 1] - 0.01) / (line[k - 1] - line[k]));
      });
      expect(Math.abs(up - 15), `surface ${up} mm from the middle, at steps of ${stride} voxels`).toBeLessThan(0.1);
      expect(Math.abs(down - 15), `surface ${down} mm from the middle, at steps of −${stride} voxels`).toBeLessThan(0.1);
    }
  });

  test('a tilt that is not told blurs the ball and moves it: the tilt matters', () => {
    const geometry = coneBeam({ ...detector, views: 120, tilt: 0.157 });
    const frames = projectSolids([solidBall([0, 0, 30], 10)], geometry);
    const part: VolumeGrid = { width: 9, height: 9, depth: 9, voxelSize: 1.2, centre: [7, 0, 30] };
    const told = fdk(frames, geometry, { ...ramp, grid: part }), untold = fdk(frames, { ...geometry, tilt: 0 }, { ...ramp, grid: part });
    expect(largestDifference(told.data, untold.data) / 0.02).toBeGreaterThan(0.3);
  });

  const geometry = coneBeam({ views: 24, detectors: 40, rows: 30, pitch: 2, axisOffset: 1.5, rowOffset: -2, tilt: 0.02, sourceToAxis: 150, sourceToDetector: 200 });
  const small: VolumeGrid = { width: 20, height: 16, depth: 12, voxelSize: 2 };
  const of = (frames: Projections, beam = geometry, pixels = small) => fdk(frames, beam, { ...ramp, grid: pixels }).data;

  test('is linear in the frames', () => {
    fc.assert(fc.property(real(-3, 3), real(-3, 3), fc.integer({ min: 1, max: 1e6 }), (one, other, start) => {
      const a = noisyFrames(geometry, start), b = noisyFrames(geometry, start + 7);
      const [ofA, ofB] = [of(a), of(b)];
      const mixed = of({ ...a, data: a.data.map((value, k) => one * value + other * b.data[k]) });
      expect(largestDifference(mixed, ofA.map((value, i) => one * value + other * ofB[i]))).toBeLessThan(2e-6 * (Math.abs(one) + Math.abs(other) + 1) * greatest(ofA));
    }), { ...seed, numRuns: 10 });
  });

  test('turning the object is the same as turning the scan', () => {
    fc.assert(fc.property(real(-4, 4), real(-15, 15), real(-15, 15), real(-6, 6), (turn, x, y, z) => {
      const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
      const turned = [x * cos - y * sin, x * sin + y * cos, z] as const;
      const beam = { ...geometry, angles: equalAngles(24, 2 * Math.PI, 0.3) }, after = { ...beam, angles: beam.angles.map((angle) => angle + turn) };
      const one = (grid: Vector): VolumeGrid => ({ width: 1, height: 1, depth: 5, voxelSize: 1, centre: grid });
      const before = of(projectSolids([solidBall([x, y, z], 6)], beam), beam, one([x, y, z]));
      expect(largestDifference(of(projectSolids([solidBall(turned, 6)], after), after, one(turned)), before)).toBeLessThan(1e-6 * greatest(before));
    }), { ...seed, numRuns: 15 });
  });

  test('a quarter turn turns the volume, and turning the frames upside down turns it upside down', () => {
    const upright = { ...geometry, tilt: 0, rowOffset: 0 };
    const frames = noisyFrames(upright);
    const cube: VolumeGrid = { width: 11, height: 11, depth: 7, voxelSize: 2 };
    const volume = of(frames, upright, cube);
    const quarter = of(frames, { ...upright, angles: upright.angles.map((angle) => angle + Math.PI / 2) }, cube);
    const head = of({ ...frames, data: frames.data.map((_, k, all) => all[(Math.floor(k / 1200) * 30 + 29 - (Math.floor(k / 40) % 30)) * 40 + (k % 40)]) }, upright, cube);
    for (let z = 0; z < 7; z++) {
      for (let row = 0; row < 11; row++) {
        for (let column = 0; column < 11; column++) {
          const value = volume[(z * 11 + row) * 11 + column];
          expect(quarter[(z * 11 + 10 - column) * 11 + row], 'a quarter turn counter-clockwise').toBeCloseTo(value, 6); // (x, y) goes to (−y, x)
          expect(head[((6 - z) * 11 + row) * 11 + column], 'upside down').toBeCloseTo(value, 6);
        }
      }
    }
  });

  test('the order of the frames does not matter, nor whole turns, nor one taken twice', () => {
    const frames = noisyFrames(geometry);
    const order = [...geometry.angles.keys()].sort((a, b) => ((a * 7) % 24) - ((b * 7) % 24)).concat(17);
    const shuffled: Projections = { ...frames, views: 25, data: new Float32Array(25 * 1200) };
    order.forEach((view, k) => shuffled.data.set(frames.data.subarray(view * 1200, (view + 1) * 1200), k * 1200));
    const angles = order.map((view, k) => geometry.angles[view] + 2 * Math.PI * (k % 3));
    const volume = of(frames);
    expect(largestDifference(of(shuffled, { ...geometry, angles }), volume)).toBeLessThan(1e-6 * greatest(volume));
  });

  test('a small grid aside shows the same as that part of a large one', () => {
    const frames = noisyFrames(geometry);
    const volume = of(frames);
    const part: VolumeGrid = { width: 5, height: 3, depth: 4, voxelSize: 2, centre: [2 * (7 - 9.5 + 2), -2 * (6 - 7.5 + 1), 2 * (2 - 5.5 + 1.5)] };
    of(frames, geometry, part).forEach((value, i) => {
      const [column, row, z] = [7 + (i % 5), 6 + (Math.floor(i / 5) % 3), 2 + Math.floor(i / 15)];
      expect(value).toBeCloseTo(volume[(z * 16 + row) * 20 + column], 6);
    });
  });

  test('more frames than are filtered at once give what they give together', () => {
    const many = coneBeam({ views: 40, detectors: 320, rows: 310, pitch: 0.25, sourceToAxis: 150, sourceToDetector: 200 }); // 4 million cells, of which 3 fit
    const grid: VolumeGrid = { width: 18, height: 2, depth: 3, voxelSize: 1.5, centre: [2, 1, 3] };
    const frames = projectSolids([solidBall([1, 2, 3], 8)], many);
    const whole = of(frames, many, grid);
    // Every other frame and the rest, each half a turn's worth: their mean is the whole.
    const halves = [0, 1].map((odd) => {
      const data = new Float32Array(20 * 320 * 310);
      for (let k = 0; k < 20; k++) data.set(frames.data.subarray((2 * k + odd) * 99200, (2 * k + odd + 1) * 99200), k * 99200);
      return of({ ...frames, views: 20, data }, { ...many, angles: many.angles.filter((_, view) => view % 2 === odd) }, grid);
    });
    expect(largestDifference(whole, halves[0].map((value, i) => (value + halves[1][i]) / 2))).toBeLessThan(1e-6 * greatest(whole));
  });

  test('the frames are left as they were', () => {
    const frames = noisyFrames(geometry), before = frames.data.slice();
    of(frames);
    expect(frames.data).toEqual(before);
  });

  test('one frame, one cell, one voxel: a volume all the same', () => {
    const one = coneBeam({ views: 1, detectors: 1, rows: 1, pitch: 1, sourceToAxis: 10, sourceToDetector: 20 });
    expect(Number.isFinite(of({ views: 1, rows: 1, columns: 1, data: Float32Array.of(1) }, one, { width: 1, height: 1, depth: 1, voxelSize: 1 })[0])).toBe(true);
  });

  test('voxels behind the source, level with it, or off the detector get nothing, and no NaN', () => {
    const one = coneBeam({ angles: [0], detectors: 5, rows: 5, pitch: 1, sourceToAxis: 10, sourceToDetector: 20 });
    const frames: Projections = { views: 1, rows: 5, columns: 5, data: new Float32Array(25).fill(1) };
    const at = (centre: Vector) => of(frames, one, { width: 1, height: 1, depth: 1, voxelSize: 1, centre })[0];
    expect([at([0, 10, 0]), at([0, 15, 0]), at([0, 9.5, 0]), at([3, 0, 0]), at([0, 0, 3])]).toEqual([0, 0, 0, 0, 0]);
    expect(at([0, 0, 0])).not.toBe(0);
  });

  const frames = noisyFrames(geometry);
  test.each([
    ['a frame more than angles', { ...frames, views: 25 }, '25 frames and 24 angles'],
    ['another size than the detector', { ...frames, rows: 40, columns: 30 }, "30 columns and 40 rows and the geometry's detector 40 and 30"],
    ['fewer numbers than cells', { ...frames, data: frames.data.slice(1) }, '28,799 numbers; 24 frames of 40 × 30 cells are 28,800'],
    ['NaN', { ...frames, data: frames.data.map((value, i) => (i === 2 * 1200 + 5 * 40 + 7 ? NaN : value)) }, 'Frame 2 holds NaN in row 5, column 7'],
    ['infinity', { ...frames, data: frames.data.map((value, i) => (i === 28799 ? Infinity : value)) }, 'Frame 23 holds Infinity in row 29, column 39'],
  ])('%s is refused, and said where', async (_, wrong, reason) => {
    expect(await refusal(() => of(wrong))).toContain(reason);
  });

  test.each([
    [{ ...small, width: 0 }, '0 × 16 × 12 voxels'], [{ ...small, depth: 2.5 }, '20 × 16 × 2.5 voxels'], [{ ...small, voxelSize: -1 }, 'voxel size is -1 mm'],
    [{ ...small, voxelSize: Infinity }, 'voxel size is Infinity'], [{ width: 600, height: 600, depth: 600, voxelSize: 1 }, 'would take 864 MB'],
  ])('a volume that cannot be, or does not fit the memory, is refused', async (wrong, reason) => {
    expect(await refusal(() => of(frames, geometry, wrong))).toContain(reason);
  });
});

describe('fdkSteps(projections, geometry, options)', () => {
  test('rises to 1 in many small steps and ends with what fdk gives', () => {
    const geometry = coneBeam({ views: 9, detectors: 200, rows: 170, pitch: 0.5, sourceToAxis: 150, sourceToDetector: 200 });
    const frames = noisyFrames(geometry);
    const options = { ...ramp, grid: { width: 40, height: 20, depth: 30, voxelSize: 2 } } as const;
    const heard: number[] = [];
    const steps = fdkSteps(frames, geometry, options);
    let step = steps.next();
    for (; !step.done; step = steps.next()) heard.push(step.value as number);
    expect(heard.length, 'steps').toBeGreaterThan(9 * 2 + 20);
    expect(heard.every((value, i) => value >= 0 && (i === 0 || value >= heard[i - 1])), 'progress never falls').toBe(true);
    expect(heard.at(-1)).toBeCloseTo(1, 12);
    expect(step.value).toEqual(finish(fdkSteps(frames, geometry, options)));
    expect(step.value).toMatchObject(options.grid);
  });
});

describe('straightener(geometry)', () => {
  test('a quadratic on a tilted detector is the same quadratic on the upright one, away from the rim', () => {
    fc.assert(fc.property(real(-0.2, 0.2), real(-4, 4), real(-4, 4), fc.array(fc.integer({ min: -8, max: 8 }), { minLength: 6, maxLength: 6 }), (tilt, axisOffset, rowOffset, [a, b, c, d, e, f]) => {
      const geometry = coneBeam({ views: 2, detectors: 30, rows: 24, pitch: 0.8, axisOffset, rowOffset, tilt, sourceToAxis: 100, sourceToDetector: 120 });
      const upright = { ...geometry, tilt: 0 };
      const at = (beam: ConeBeam, column: number, row: number) => {
        const { u, v } = placeOfCell(beam, column, row);
        return a + b * u + c * v + d * u * u + e * u * v + f * v * v;
      };
      const frames = new Float32Array(2 * 720);
      for (let k = 0; k < 720; k++) frames[720 + k] = at(geometry, k % 30, Math.floor(k / 30));
      const straighten = straightener(geometry);
      const cells = new Float64Array(30);
      let compared = 0;
      for (let row = 0; row < 24; row++) {
        straighten(frames, 1, row, cells);
        for (let column = 0; column < 30; column++) {
          const { u, v } = placeOfCell(upright, column, row);
          const on = cellOfCone(geometry, u, v);
          if (on.column < 1 || on.column > 28 || on.row < 1 || on.row > 22) continue;
          compared++;
          expect(Math.abs(cells[column] - at(upright, column, row))).toBeLessThanOrEqual(1e-6 * greatest(frames));
        }
      }
      expect(compared).toBeGreaterThan(200);
    }), seed);
  });

  test('without a tilt the frame is as it was', () => {
    const geometry = coneBeam({ views: 2, detectors: 5, rows: 4, pitch: 1, rowOffset: 0.3, axisOffset: 0.4, sourceToAxis: 10, sourceToDetector: 12 });
    const frames = noisyFrames(geometry), cells = new Float64Array(5);
    straightener(geometry)(frames.data, 1, 2, cells);
    expect(Array.from(cells)).toEqual(Array.from(frames.data.subarray(30, 35)));
  });
});

describe('pointInCone(geometry, view, x, y, z)', () => {
  test('lies where the image of the axis is said to lean, to higher columns going up', () => {
    const geometry = coneBeam({ angles: [1], detectors: 100, rows: 80, pitch: 1, axisOffset: 3, rowOffset: 4, tilt: 0.1, sourceToAxis: 100, sourceToDetector: 200 });
    const foot = pointInCone(geometry, 0, 0, 0, 0), above = pointInCone(geometry, 0, 0, 0, 10);
    expect([foot.column, foot.row]).toEqual([49.5 + 3, 39.5 + 4]);
    expect((above.column - foot.column) / (above.row - foot.row)).toBeCloseTo(Math.tan(0.1), 12);
    expect(above.v).toBeCloseTo(20, 12);
  });
  test('placeOfCell and cellOfCone undo each other', () => {
    fc.assert(fc.property(aCone, real(-1, 1), real(-50, 50), real(-50, 50), (beam, tilt, column, row) => {
      const { u, v } = placeOfCell({ ...beam, tilt }, column, row);
      const back = cellOfCone({ ...beam, tilt }, u, v);
      expect([back.column, back.row]).toEqual([expect.closeTo(column, 9), expect.closeTo(row, 9)]);
    }), seed);
  });
});

test('what does not change along z comes back at every height as in the plane of the source', () => {
  const geometry = coneBeam({ views: 90, detectors: 80, rows: 60, pitch: 1.5, sourceToAxis: 200, sourceToDetector: 300 });
  const pillar: Solid = { ...cylinder([5, -4, -500], [5, -4, 500], 16), name: 'pillar', attenuation: 0.02 };
  const { data } = fdk(projectSolids([pillar], geometry), geometry, { ...ramp, grid: { width: 20, height: 20, depth: 21, voxelSize: 2 } });
  for (let z = 0; z < 21; z++) expect(largestDifference(data.subarray(z * 400, (z + 1) * 400), data.subarray(4000, 4400)), `slice ${z}`).toBeLessThan(1e-6);
});
