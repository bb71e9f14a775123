import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  ball, coneBeam, coneRay, equalAngles, fanBeam, fdk, finish, forwardProject, forwardProjectCone, forwardProjectConeSteps, pixelPosition, projectSolids, residuals,
  residualsSteps, transposeProjectCone, transposeProjectConeSteps,
  type ConeBeam, type Projections, type Steps, type Volume, type VolumeGrid,
} from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const seed = { seed: 20240607 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

/** Seeded noise in −1…1. */
function noise(length: number, start: number): Float32Array {
  let state = start | 1;
  return Float32Array.from({ length }, () => {
    state = Math.imul(state ^ (state >>> 15), 0x2c1b3c6d) + 0x9e3779b9;
    return (state | 0) / 2 ** 31;
  });
}
const volumeOf = (grid: VolumeGrid, start: number): Volume => ({ ...grid, data: noise(grid.width * grid.height * grid.depth, start) });
const framesOf = ({ angles, rows, detectors }: ConeBeam, start: number): Projections => ({ views: angles.length, rows, columns: detectors, data: noise(angles.length * rows * detectors, start) });
const dot = (a: Float32Array, b: Float32Array) => a.reduce((sum, value, k) => sum + value * b[k], 0);
const norm = (a: Float32Array) => Math.sqrt(dot(a, a));
const rms = (a: ArrayLike<number>) => Math.sqrt(Array.from(a).reduce((sum, value) => sum + value * value, 0) / a.length);

const aGrid: fc.Arbitrary<VolumeGrid> = fc.record({
  width: fc.integer({ min: 1, max: 9 }), height: fc.integer({ min: 1, max: 9 }), depth: fc.integer({ min: 1, max: 9 }), voxelSize: real(0.3, 3),
  centre: fc.oneof(fc.constant([0, 0, 0] as const), fc.tuple(real(-8, 8), real(-8, 8), real(-8, 8))),
});
/** Screens wide and near enough for rays that climb more steeply than they run, and sources that stand within the volume. */
const aCone: fc.Arbitrary<ConeBeam> = fc.record({
  angles: fc.array(fc.oneof(real(-7, 7), fc.integer({ min: -8, max: 8 }).map((eighth) => (eighth * Math.PI) / 4)), { minLength: 1, maxLength: 3 }),
  detectors: fc.integer({ min: 1, max: 10 }), rows: fc.integer({ min: 1, max: 10 }), pitch: real(0.2, 5), axisOffset: real(-3, 3),
  rowOffset: real(-3, 3), tilt: fc.oneof(fc.constant(0), real(-0.6, 0.6)), sourceToAxis: real(2, 100), times: real(1, 3),
}).map(({ times, ...options }) => coneBeam({ ...options, sourceToDetector: options.sourceToAxis * times }));

/** Joseph's sum written out for one ray, voxel by voxel. NaN where two axes are as steep, to rounding, and either walk is right. */
function slowRay({ width, height, voxelSize, centre = [0, 0, 0], data, depth }: Volume, { origin, direction }: ReturnType<typeof coneRay>): number {
  const steep = direction.map(Math.abs), [least, most] = [...steep].sort((a, b) => a - b).slice(1);
  if (most - least < 1e-9) return NaN;
  const main = steep.indexOf(most);
  let sum = 0;
  data.forEach((value, i) => {
    const [x, y] = pixelPosition({ width, height, pixelSize: voxelSize, centre: [centre[0], centre[1]] }, i % width, Math.floor(i / width) % height);
    const voxel = [x, y, centre[2] + (Math.floor(i / (width * height)) - (depth - 1) / 2) * voxelSize];
    const t = (voxel[main] - origin[main]) / direction[main];
    if (Math.abs(t) < 1e-9) sum = NaN;
    if (t < 0) return;
    const shares = [0, 1, 2].map((axis) => (axis === main ? 1 : Math.max(0, 1 - Math.abs(origin[axis] + t * direction[axis] - voxel[axis]) / voxelSize)));
    sum += value * shares[0] * shares[1] * shares[2];
  });
  return (sum * voxelSize) / most;
}

describe('forwardProjectCone(volume, geometry)', () => {
  test('is Joseph’s sum along every ray of any cone through any volume', () => {
    let reached = 0, steep = 0;
    fc.assert(fc.property(aCone, aGrid, fc.integer(), (beam, grid, start) => {
      const volume = volumeOf(grid, start);
      const { data, ...size } = forwardProjectCone(volume, beam);
      expect(size).toEqual({ views: beam.angles.length, rows: beam.rows, columns: beam.detectors });
      data.forEach((value, k) => {
        const ray = coneRay(beam, Math.floor(k / (beam.rows * beam.detectors)), k % beam.detectors, Math.floor(k / beam.detectors) % beam.rows);
        const slow = slowRay(volume, ray);
        if (Number.isNaN(slow)) return;
        if (slow !== 0) reached++;
        if (slow !== 0 && Math.abs(ray.direction[2]) > Math.max(Math.abs(ray.direction[0]), Math.abs(ray.direction[1]))) steep++;
        expect(Math.abs(value - slow), `number ${k}: ${value}, voxel by voxel ${slow}`).toBeLessThan(1e-4);
      });
    }), { ...seed, numRuns: 250 });
    expect(reached, 'rays that met the volume').toBeGreaterThan(3000);
    expect(steep, 'of them climbing more than they run').toBeGreaterThan(100);
  });

  test('is linear', () => {
    fc.assert(fc.property(aCone, aGrid, fc.integer(), fc.integer(), real(-3, 3), (beam, grid, one, other, times) => {
      const [a, b] = [volumeOf(grid, one), volumeOf(grid, other)];
      const [pa, pb, both] = [a, b, { ...grid, data: a.data.map((voxel, k) => voxel + times * b.data[k]) }].map((volume) => forwardProjectCone(volume, beam).data);
      both.forEach((p, k) => expect(Math.abs(p - pa[k] - times * pb[k])).toBeLessThan(1e-3));
    }), { ...seed, numRuns: 60 });
  });

  test('a row in the plane of the source sees a slice there as the fan does', () => {
    const fan = fanBeam({ angles: equalAngles(16, 2 * Math.PI, 0.1), detectors: 30, pitch: 1, axisOffset: 1.2, sourceToAxis: 40, sourceToDetector: 60 });
    const slice = { width: 17, height: 14, data: noise(17 * 14, 5) };
    const flat = forwardProject({ ...slice, pixelSize: 1.1, centre: [1, -2] }, fan).data;
    const thick = forwardProjectCone({ ...slice, depth: 1, voxelSize: 1.1, centre: [1, -2, 0] }, { ...fan, beam: 'cone', rows: 1, rowOffset: 0, tilt: 0 }).data;
    thick.forEach((value, k) => expect(value).toBeCloseTo(flat[k], 5));
  });

  test('a block as large as the volume has the chords of a block, a voxel’s rim apart', () => {
    const grid: VolumeGrid = { width: 20, height: 20, depth: 20, voxelSize: 1 };
    const { data } = forwardProjectCone({ ...grid, data: new Float32Array(8000).fill(1) }, coneBeam({ angles: [0, Math.PI / 2, 2, Math.PI], detectors: 1, rows: 1, pitch: 1, sourceToAxis: 100, sourceToDetector: 100 }));
    expect([...data]).toEqual([20, 20, 20 / Math.sin(2), 20].map((chord) => expect.closeTo(chord, 4)));
  });

  test('a quarter turn of the scan and of the volume leaves the frames as they were', () => {
    const beam = coneBeam({ angles: [0.3, 1.9], detectors: 12, rows: 9, pitch: 1.4, axisOffset: 0.6, rowOffset: -1, tilt: 0.1, sourceToAxis: 30, sourceToDetector: 45 });
    const cube = volumeOf({ width: 8, height: 8, depth: 6, voxelSize: 1 }, 3);
    const data = cube.data.slice();
    for (let i = 0; i < data.length; i++) data[(Math.floor(i / 64) * 8 + 7 - (i % 8)) * 8 + (Math.floor(i / 8) % 8)] = cube.data[i];
    const before = forwardProjectCone(cube, beam).data;
    forwardProjectCone({ ...cube, data }, { ...beam, angles: beam.angles.map((angle) => angle + Math.PI / 2) }).data.forEach((value, k) => expect(value).toBeCloseTo(before[k], 4));
  });
});

describe('transposeProjectCone(projections, geometry, grid)', () => {
  test('is the transpose: ⟨Ax, y⟩ = ⟨x, Aᵀy⟩', () => {
    fc.assert(fc.property(aCone, aGrid, fc.integer(), fc.integer(), (beam, grid, one, other) => {
      const x = volumeOf(grid, one), y = framesOf(beam, other);
      const ax = forwardProjectCone(x, beam).data, aty = transposeProjectCone(y, beam, grid).data;
      expect(Math.abs(dot(ax, y.data) - dot(x.data, aty))).toBeLessThanOrEqual(1e-5 * (norm(ax) * norm(y.data) + 1e-20));
    }), { ...seed, numRuns: 200 });
  });
  test('every entry of the two agrees: a frame of one cell gives back the weights that each voxel has in it', () => {
    const beam = coneBeam({ angles: [0.4], detectors: 3, rows: 3, pitch: 2, tilt: 0.1, sourceToAxis: 20, sourceToDetector: 25 });
    const grid: VolumeGrid = { width: 5, height: 4, depth: 3, voxelSize: 1.3, centre: [0.2, -0.4, 0.3] };
    for (let cell = 0; cell < 9; cell++) {
      const weights = transposeProjectCone({ views: 1, rows: 3, columns: 3, data: Float32Array.from({ length: 9 }, (_, k) => Number(k === cell)) }, beam, grid).data;
      weights.forEach((weight, i) => {
        const one = { ...grid, data: Float32Array.from({ length: 60 }, (_, k) => Number(k === i)) };
        expect(forwardProjectCone(one, beam).data[cell]).toBeCloseTo(weight, 6);
      });
    }
  });
});

describe('residuals(projections, volume, geometry)', () => {
  const geometry = coneBeam({ views: 45, detectors: 96, rows: 48, pitch: 0.8, sourceToAxis: 150, sourceToDetector: 200 });
  const cells = 96 * 48;
  const grid: VolumeGrid = { width: 56, height: 56, depth: 56, voxelSize: 0.6 };
  const solids = [
    { ...ball([0, 0, 0], 15), name: 'body', attenuation: 0.01 },
    { ...ball([9, -5, 2], 3), name: 'marble', attenuation: 0.06 },
    { ...ball([-8, 7, -3], 3), name: 'hole', attenuation: 0.001 },
    { ...ball([-3, -10, 1], 2), name: 'bead', attenuation: 0.08 },
  ];
  const frames = projectSolids(solids, geometry);

  test('is the rms of each frame’s difference from the frame that the volume gives', () => {
    const volume = volumeOf(grid, 9);
    const apart = residuals(frames, volume, geometry);
    const ours = forwardProjectCone(volume, geometry).data;
    expect(apart.length).toBe(45);
    apart.forEach((value, view) => expect(value).toBeCloseTo(rms(frames.data.subarray(view * cells, (view + 1) * cells).map((p, k) => p - ours[view * cells + k])), 6));
    expect(Math.max(...residuals({ ...frames, data: ours }, volume, geometry)), 'its own frames').toBe(0);
  });

  test('a frame at the wrong angle sticks out from all others, by 5° of the 8°, and so does one taken twice', () => {
    const of = (angles: readonly number[], data = frames.data) => {
      const taken = { ...geometry, angles };
      return residuals({ ...frames, data }, fdk({ ...frames, data }, taken, { window: 'ramp', grid }), taken);
    };
    const right = of(geometry.angles);
    const turned = of(geometry.angles.map((angle, view) => (view === 17 ? angle + (5 * Math.PI) / 180 : angle)));
    const twice = frames.data.slice();
    twice.copyWithin(30 * cells, 29 * cells, 30 * cells); // frame 30 shows what frame 29 shows
    expect(Math.max(...right) / Math.min(...right), 'all frames right: none sticks out').toBeLessThan(1.3);
    for (const [apart, wrong] of [[turned, 17], [of(geometry.angles, twice), 30]] as const) {
      const others = apart.filter((_, view) => view !== wrong);
      expect(apart[wrong], `frame ${wrong} against the worst of the others, ${Math.max(...others)}`).toBeGreaterThan(1.4 * Math.max(...others));
    }
  });
});

describe('steps and refusals', () => {
  const geometry = coneBeam({ views: 4, detectors: 7, rows: 5, pitch: 1, sourceToAxis: 15, sourceToDetector: 20 });
  const grid: VolumeGrid = { width: 6, height: 5, depth: 4, voxelSize: 1 };
  const volume = volumeOf(grid, 1), frames = framesOf(geometry, 2);

  test.each<[string, () => Steps<unknown>]>([
    ['forwardProjectConeSteps', () => forwardProjectConeSteps(volume, geometry)],
    ['transposeProjectConeSteps', () => transposeProjectConeSteps(frames, geometry, grid)],
    ['residualsSteps', () => residualsSteps(frames, volume, geometry)],
  ])('%s: rises to 1, a step a row', (_, begin) => {
    const heard: number[] = [];
    const steps = begin();
    let step = steps.next();
    for (; !step.done; step = steps.next()) heard.push(step.value as number);
    expect(heard.length).toBe(20);
    expect(heard.every((value, i) => i === 0 || value > heard[i - 1])).toBe(true);
    expect(heard.at(-1)).toBeCloseTo(1, 12);
    expect(step.value).toEqual(finish(begin()));
  });

  test.each([
    ['a volume with a number missing', () => forwardProjectCone({ ...volume, data: volume.data.slice(1) }, geometry), '119 numbers; 6 × 5 × 4 voxels are 120'],
    ['frames that would not fit the memory', () => forwardProjectCone(volume, { ...geometry, detectors: 9000, rows: 9000 }), '4 frames of 9,000 × 9,000 cells would take 1.3 GB'],
    ['frames of another size', () => transposeProjectCone({ ...frames, columns: 5, rows: 7 }, geometry, grid), "5 columns and 7 rows and the geometry's detector 7 and 5"],
    ['a volume that would not fit the memory', () => transposeProjectCone(frames, geometry, { ...grid, width: 1e6, height: 1000 }), 'would take 16 GB'],
    ['an angle missing', () => residuals(frames, volume, { ...geometry, angles: [0, 1, 2] }), '4 frames and 3 angles'],
    ['a volume of half a voxel', () => residuals(frames, { ...volume, depth: 0.5 }, geometry), '6 × 5 × 0.5 voxels'],
  ])('%s is refused with a sentence', async (_, attempt, reason) => {
    expect(await refusal(attempt)).toContain(reason);
  });
});
