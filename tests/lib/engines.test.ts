/** The engines held to the plain code. */
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import {
  EngineLost, backproject, coneBeam, engineAgreement, equalAngles, fanBeam, fbp, fdk, filterViews, finish, forwardProject, forwardProjectCone, keepGoing, parallelBeam, plainEngine, run, simdEngine, sirt,
  sirtSteps, transposeProject, transposeProjectCone, useKernels, type ConeBeam, type Engine, type FlatBeam, type Geometry, type Grid, type Image, type Projections, type Sinogram, type Volume, type VolumeGrid,
} from '../../src/lib/index.ts';
import { relativeRms } from '../../src/lib/engine/agreement.ts';
import { leaveKernels } from '../../src/lib/engine/in-use.ts';
import { engineOn } from '../../src/lib/engine/simd/engine.ts';
import { projectConeSteps, transposeConeSteps } from '../../src/lib/engine/simd/cone-project.ts';
import { loadKernels } from '../../src/lib/engine/simd/kernels.ts';
import { openSimdPool } from '../../src/lib/engine/simd/open.ts';
import { synchronousOn } from '../../src/lib/engine/simd/synchronous.ts';

const plain = plainEngine();
const engines = new Map<number, Engine>();
const simd = (workers: number) => engines.get(workers)!;
beforeAll(async () => { for (const workers of [1, 2, 3]) engines.set(workers, await simdEngine({ workers })); });
afterAll(() => { for (const engine of engines.values()) engine.close(); });

/** Numbers from 0 to 1 from a seed (Park and Miller). */
function random(length: number, seed = 1): Float32Array {
  let state = seed;
  return Float32Array.from({ length }, () => (state = (state * 48271) % 2147483647) / 2147483647);
}

function shadowsFor<G extends Geometry>(geometry: G, seed = 3): G extends ConeBeam ? Projections : Sinogram {
  const views = geometry.angles.length, columns = geometry.detectors;
  const made = geometry.beam === 'cone'
    ? { views, rows: geometry.rows, columns, data: random(views * geometry.rows * columns, seed) } : { views, detectors: columns, data: random(views * columns, seed) };
  return made as never;
}

const imageFor = (grid: Grid): Image => ({ ...grid, data: random(grid.width * grid.height, 5) });
const volumeFor = (grid: VolumeGrid): Volume => ({ ...grid, data: random(grid.width * grid.height * grid.depth, 5) });

/** What a reader would see: how far the two pictures lie apart, in parts of the picture's own rms. */
function expectAlike(task: string, data: ArrayLike<number>, right: ArrayLike<number>, tolerance = 1e-5): void {
  expect(data.length, `${task}: how many numbers there are`).toBe(right.length);
  const bad = Array.from(data).findIndex((value) => !Number.isFinite(value));
  expect(bad, `${task}: number ${bad} is ${data[bad]}`).toBe(-1);
  let norm = 0;
  for (let k = 0; k < right.length; k++) norm += right[k] ** 2;
  if (norm === 0) expect(Array.from(data).every((value) => value === 0), `${task}: the plain code gives 0 everywhere`).toBe(true);
  else expect(relativeRms(data, right), `${task}: differs from the plain code by this part of its rms`).toBeLessThan(tolerance);
}

/** Every task of an engine on a scan beside the plain one's. */
async function compareAll(engine: Engine, geometry: Geometry, grid: Grid | VolumeGrid, tolerance = 1e-5): Promise<void> {
  const its = grid as VolumeGrid & Grid, shadows = shadowsFor(geometry as ConeBeam), picture = ('depth' in grid ? volumeFor(grid) : imageFor(grid)) as Volume;
  const beam = geometry as ConeBeam;
  const both = async (task: string, of: (engine: Engine) => Promise<{ readonly data: Float32Array }>) => expectAlike(`${task}, ${geometry.beam}`, (await of(engine)).data, (await of(plain)).data, tolerance);
  await both('project', (one) => one.project(picture, beam));
  await both('transpose', (one) => one.transpose(shadows, beam, its));
  await both('filter', (one) => one.filter(shadows, beam, { window: 'ramp' }));
  for (const power of [0, 1, 2] as const) await both(`backproject, power ${power}`, (one) => one.backproject(shadows, beam, its, { power }));
  await both('reconstruct', (one) => one.reconstruct(shadows, beam, { window: 'hann', cutoff: 0.8, grid: its }));
  await both('reconstruct, unfiltered', (one) => one.reconstruct(shadows, beam, { window: 'none', grid: its }));
}

describe('simd', () => {
  test.each([1, 2, 3])('agrees with the plain code in every task to 1e-5, on %i workers', async (workers) => {
    for (const { beam, task, scan, difference } of await engineAgreement(simd(workers))) {
      expect(difference, `${task} of a ${beam} scan (${scan}) lies this far from the plain code`).toBeLessThan(1e-5);
    }
  });

  const size = fc.integer({ min: 1, max: 40 });
  const unit = fc.double({ min: -1, max: 1, noNaN: true });
  const scan = fc.record({
    width: size, height: size, detectors: size, views: fc.integer({ min: 1, max: 13 }), seed: fc.integer({ min: 1, max: 1e6 }), aside: unit, up: unit, axis: unit,
    pixel: fc.double({ min: 0.2, max: 3, noNaN: true }), far: fc.double({ min: 1.3, max: 8, noNaN: true }),
  });
  const anglesFor = (views: number, seed: number) => Array.from(random(views, seed), (part) => 7 * part - 0.5);

  test('agrees with the plain code on slices of any small size, axis off centre, uneven angles, detector smaller than the grid', async () => {
    await fc.assert(fc.asyncProperty(scan, fc.boolean(), async ({ width, height, detectors, views, seed, aside, up, axis, pixel, far }, fan) => {
      const grid: Grid = { width, height, pixelSize: pixel, centre: [5 * aside, 5 * up] };
      const common = { angles: anglesFor(views, seed), detectors, pitch: 0.9, axisOffset: 4 * axis };
      const distance = far * (Math.hypot(width, height) * pixel / 2 + 8);
      const geometry: FlatBeam = fan ? fanBeam({ ...common, sourceToAxis: distance, sourceToDetector: 1.6 * distance }) : parallelBeam(common);
      await compareAll(simd(2), geometry, grid);
    }), { numRuns: 40, seed: 11 });
  });

  test('agrees with the plain code on volumes of any small size, upright and leaning, steep and flat', async () => {
    await fc.assert(fc.asyncProperty(scan, fc.record({ depth: fc.integer({ min: 1, max: 20 }), rows: fc.integer({ min: 1, max: 24 }), lean: fc.boolean() }), async (one, { depth, rows, lean }) => {
      const { width, height, detectors, views, seed, aside, up, axis, pixel, far } = one;
      const grid: VolumeGrid = { width: Math.ceil(width / 2), height: Math.ceil(height / 2), depth, voxelSize: pixel, centre: [3 * aside, 3 * up, 3 * axis] };
      const distance = far * (Math.hypot(grid.width, grid.height) * pixel / 2 + 6);
      const geometry = coneBeam({
        angles: anglesFor(views, seed), detectors, rows, pitch: 1.1, axisOffset: 3 * axis, rowOffset: 2 * up, tilt: lean ? 0.1 * aside : 0, sourceToAxis: distance, sourceToDetector: 1.4 * distance,
      });
      await compareAll(simd(2), geometry, grid);
    }), { numRuns: 25, seed: 12 });
  });

  test('agrees where things are at their least: one view, one cell, one pixel, one slice, views not in fours', async () => {
    const point: Grid = { width: 1, height: 1, pixelSize: 1 }, grid: Grid = { width: 9, height: 6, pixelSize: 1 };
    await compareAll(simd(2), parallelBeam({ angles: [0.4], detectors: 12, pitch: 1 }), grid);
    await compareAll(simd(2), parallelBeam({ views: 7, detectors: 1, pitch: 20 }), grid);
    await compareAll(simd(2), parallelBeam({ views: 6, detectors: 5, pitch: 1 }), point);
    await compareAll(simd(2), fanBeam({ views: 5, detectors: 1, pitch: 9, sourceToAxis: 30, sourceToDetector: 50 }), grid);
    const cone = { detectors: 11, rows: 7, pitch: 1.2, sourceToAxis: 40, sourceToDetector: 60 };
    await compareAll(simd(3), coneBeam({ ...cone, views: 9 }), { width: 7, height: 8, depth: 1, voxelSize: 1 });
    await compareAll(simd(3), coneBeam({ ...cone, views: 9 }), { width: 7, height: 8, depth: 3, voxelSize: 1 }); // slabs of one slice
    await compareAll(simd(2), coneBeam({ ...cone, angles: [1.1] }), { width: 7, height: 8, depth: 5, voxelSize: 1 });
    await compareAll(simd(2), coneBeam({ ...cone, views: 6, detectors: 1, rows: 1, pitch: 30 }), { width: 4, height: 5, depth: 2, voxelSize: 1 });
    await compareAll(simd(2), coneBeam({ ...cone, views: 6 }), { width: 1, height: 1, depth: 1, voxelSize: 1 });
  });

  test('agrees where rays run along rows and columns, along diagonals, and pixels fall on the very rim of the detector', async () => {
    const grid: Grid = { width: 24, height: 24, pixelSize: 1 }, angles = equalAngles(8, 2 * Math.PI);
    await compareAll(simd(2), parallelBeam({ angles, detectors: 24, pitch: 1 }), grid);
    await compareAll(simd(2), parallelBeam({ angles, detectors: 25, pitch: 1 }), { ...grid, width: 25, height: 23 });
    await compareAll(simd(2), fanBeam({ angles, detectors: 25, pitch: 1, sourceToAxis: 40, sourceToDetector: 55 }), grid);
    await compareAll(simd(2), coneBeam({ angles, detectors: 25, rows: 25, pitch: 1, sourceToAxis: 40, sourceToDetector: 55 }), { width: 17, height: 16, depth: 15, voxelSize: 1 });
  });

  test('agrees where the source goes through the grid', async () => {
    const grid: Grid = { width: 40, height: 36, pixelSize: 1 };
    await compareAll(simd(2), fanBeam({ views: 10, detectors: 30, pitch: 1, sourceToAxis: 12, sourceToDetector: 30 }), grid);
    await compareAll(simd(2), coneBeam({ views: 10, detectors: 20, rows: 15, pitch: 1.3, sourceToAxis: 9, sourceToDetector: 20 }), { width: 20, height: 24, depth: 9, voxelSize: 1 });
  });

  test('agrees with cells much finer and much coarser than voxels', async () => {
    for (const pitch of [0.15, 0.4, 0.8, 5]) {
      const geometry = coneBeam({ views: 7, detectors: 30, rows: 40, pitch, sourceToAxis: 50, sourceToDetector: 70 });
      await compareAll(simd(2), geometry, { width: 10, height: 9, depth: 8, voxelSize: 1 });
      await compareAll(simd(2), parallelBeam({ views: 7, detectors: 60, pitch }), { width: 31, height: 22, pixelSize: 1 });
    }
  });

  test('agrees on columns of more voxels than are reckoned from one place, slowly and quickly up the detector, part of them beyond it', async () => {
    const columns = { width: 6, height: 7, depth: 141, voxelSize: 1, centre: [0.3, -0.7, 4] } as const;
    for (const [rows, pitch] of [[180, 1.9], [260, 0.9], [90, 1.9]]) {
      const geometry = coneBeam({ views: 7, detectors: 25, rows, pitch, axisOffset: 1.3, rowOffset: 2.2, sourceToAxis: 120, sourceToDetector: 200 });
      await compareAll(simd(1), geometry, columns);
    }
  });

  test('agrees at 512² from 90 views and 96³ from 30 views of 128²', async () => {
    const grid: Grid = { width: 512, height: 512, pixelSize: 1 }, block: VolumeGrid = { width: 96, height: 96, depth: 96, voxelSize: 1 };
    const flat = parallelBeam({ views: 90, detectors: 512, pitch: 1, axisOffset: 2.3 }), cone = coneBeam({ views: 30, detectors: 128, rows: 128, pitch: 1.2, axisOffset: -1.7, sourceToAxis: 300, sourceToDetector: 420 });
    // A smooth thing, of which the ramp takes nearly all: rounding shows there first.
    const disc: Image = { ...grid, data: Float32Array.from({ length: 512 * 512 }, (_, k) => (Math.hypot((k % 512) - 255, Math.floor(k / 512) - 255) < 200 ? 0.02 : 0)) };
    const shadows = await plain.project(disc, flat);
    expectAlike('project 512²', (await simd(2).project(disc, flat)).data, shadows.data);
    expectAlike('filter 512²', (await simd(2).filter(shadows, flat, { window: 'ramp' })).data, (await plain.filter(shadows, flat, { window: 'ramp' })).data);
    expectAlike('reconstruct 512²', (await simd(2).reconstruct(shadows, flat, { window: 'ramp', grid })).data, (await plain.reconstruct(shadows, flat, { window: 'ramp', grid })).data);
    expectAlike('transpose 512²', (await simd(2).transpose(shadows, flat, grid)).data, (await plain.transpose(shadows, flat, grid)).data);
    const fan = fanBeam({ views: 90, detectors: 512, pitch: 1.4, sourceToAxis: 700, sourceToDetector: 1000 });
    expectAlike('reconstruct 512², fan', (await simd(2).reconstruct(shadows, fan, { window: 'ramp', grid })).data, (await plain.reconstruct(shadows, fan, { window: 'ramp', grid })).data);
    const ball = volumeFor(block), frames = await plain.project(ball, cone);
    expectAlike('project 96³', (await simd(2).project(ball, cone)).data, frames.data);
    expectAlike('transpose 96³', (await simd(2).transpose(frames, cone, block)).data, (await plain.transpose(frames, cone, block)).data);
    expectAlike('reconstruct 96³', (await simd(2).reconstruct(frames, cone, { window: 'ramp', grid: block })).data, (await plain.reconstruct(frames, cone, { window: 'ramp', grid: block })).data);
  });

  test('takes a window of the reader’s own, and a cut-off', async () => {
    const geometry = fanBeam({ views: 20, detectors: 33, pitch: 1, sourceToAxis: 60, sourceToDetector: 90 }), grid: Grid = { width: 20, height: 20, pixelSize: 1 };
    const filter = { window: (f: number, fc: number) => 1 - 0.3 * (f / fc) ** 2, cutoff: 0.7 };
    const shadows = shadowsFor(geometry);
    expectAlike('reconstruct', (await simd(2).reconstruct(shadows, geometry, { ...filter, grid })).data, fbp(shadows, geometry, { ...filter, grid }).data);
  });

  test('is its own transpose: ⟨A x, y⟩ = ⟨x, Aᵀ y⟩', async () => {
    const dot = (a: ArrayLike<number>, b: ArrayLike<number>) => { let sum = 0; for (let k = 0; k < a.length; k++) sum += a[k] * b[k]; return sum; };
    const cone = coneBeam({ views: 11, detectors: 37, rows: 29, pitch: 0.9, sourceToAxis: 60, sourceToDetector: 85 }), block: VolumeGrid = { width: 22, height: 25, depth: 18, voxelSize: 1 };
    const flat = parallelBeam({ views: 31, detectors: 70, pitch: 0.7 }), grid: Grid = { width: 40, height: 47, pixelSize: 1 };
    const x = imageFor(grid), y = shadowsFor(flat), volume = volumeFor(block), frames = shadowsFor(cone);
    expect(dot((await simd(2).project(x, flat)).data, y.data) / dot(x.data, (await simd(2).transpose(y, flat, grid)).data), 'of a slice').toBeCloseTo(1, 6);
    expect(dot((await simd(2).project(volume, cone)).data, frames.data) / dot(volume.data, (await simd(2).transpose(frames, cone, block)).data), 'of a volume').toBeCloseTo(1, 6);
  });

  test('gives the same result on any number of workers, to 1e-6', async () => {
    const flat = parallelBeam({ views: 50, detectors: 90, pitch: 1 }), grid: Grid = { width: 80, height: 75, pixelSize: 1 };
    const cone = coneBeam({ views: 25, detectors: 50, rows: 40, pitch: 1, sourceToAxis: 90, sourceToDetector: 120 }), block: VolumeGrid = { width: 30, height: 28, depth: 26, voxelSize: 1 };
    const frames = await plain.project(volumeFor(block), cone);
    for (const workers of [2, 3]) {
      const pair = async (task: string, of: (engine: Engine) => Promise<{ readonly data: Float32Array }>) => expectAlike(`${task} on ${workers} workers beside one`, (await of(simd(workers))).data, (await of(simd(1))).data, 1e-6);
      await pair('reconstruct', (one) => one.reconstruct(shadowsFor(flat), flat, { window: 'ramp', grid }));
      await pair('transpose', (one) => one.transpose(shadowsFor(flat), flat, grid));
      await pair('a volume', (one) => one.reconstruct(frames, cone, { window: 'ramp', grid: block }));
      await pair('transpose, a volume', (one) => one.transpose(frames, cone, block));
    }
  });

  test('works for the iterative methods: SIRT comes to the plain code’s picture', async () => {
    const geometry = fanBeam({ views: 24, detectors: 40, pitch: 1.4, sourceToAxis: 90, sourceToDetector: 130 }), grid: Grid = { width: 32, height: 32, pixelSize: 1 };
    const measured = forwardProject(imageFor(grid), geometry);
    const its = await run(sirtSteps(measured, geometry, { grid, iterations: 20, engine: simd(2) }));
    expectAlike('SIRT', its.picture.data, sirt(measured, geometry, { grid, iterations: 20 }).picture.data, 1e-4); // 20 times over, in single precision
  });
});

describe('a task of simd', () => {
  const geometry = coneBeam({ views: 240, detectors: 200, rows: 160, pitch: 1, sourceToAxis: 400, sourceToDetector: 500 });
  const grid: VolumeGrid = { width: 160, height: 160, depth: 128, voxelSize: 1 };

  test('tells of its progress, which rises to 1', async () => {
    const small = coneBeam({ views: 60, detectors: 100, rows: 80, pitch: 1, sourceToAxis: 400, sourceToDetector: 500 });
    const heard: number[] = [];
    await simd(2).reconstruct(shadowsFor(small), small, { window: 'ramp', grid: { ...grid, width: 90 } }, { progress: (fraction) => heard.push(fraction) });
    expect(heard.at(-1)).toBe(1);
    expect(heard, 'never falls').toEqual([...heard].sort((a, b) => a - b));
    expect(heard.length, 'is told of in between').toBeGreaterThan(3);
  });

  test('stops at once when it is called off, with the reason given, and the workers turn to the next task', async () => {
    const abort = new AbortController(), reason = new Error('the reader moved on');
    const shadows = shadowsFor(geometry), flat = parallelBeam({ views: 8, detectors: 12, pitch: 1 }), small: Grid = { width: 9, height: 9, pixelSize: 1 };
    const heard: number[] = [];
    const begun = performance.now();
    const running = simd(2).reconstruct(shadows, geometry, { window: 'ramp', grid }, { signal: abort.signal, progress: (fraction) => heard.push(fraction) });
    let failure: unknown;
    running.catch((its: unknown) => { failure = its; });
    while (heard.length < 4) await new Promise((resolve) => setTimeout(resolve, 5));
    const far = heard.at(-1)!, called = performance.now();
    abort.abort(reason);
    for (let k = 0; k < 20; k++) await Promise.resolve(); // nothing else has its turn: no message comes, no time passes
    expect(failure, 'the promise is rejected with the signal’s reason, before anything else happens').toBe(reason);
    const told = heard.length;
    expectAlike('the next task', (await simd(2).reconstruct(shadowsFor(flat), flat, { window: 'ramp', grid: small })).data, fbp(shadowsFor(flat), flat, { window: 'ramp', grid: small }).data);
    const rest = ((called - begun) / far) * (1 - far); // ms that it would still have taken, at the same pace
    expect(performance.now() - called, `ms until the next task was done, where the first would have gone on for ${rest.toFixed(0)}`).toBeLessThan(rest / 3);
    expect(heard.length, 'progress is told no more').toBe(told);
  });

  test('called off before it begins does nothing', async () => {
    const flat = parallelBeam({ views: 8, detectors: 12, pitch: 1 });
    await expect(simd(2).project(imageFor({ width: 5, height: 5, pixelSize: 1 }), flat, { signal: AbortSignal.abort(new Error('never mind')) })).rejects.toThrow('never mind');
  });

  test('waits for the one before', async () => {
    const flat = parallelBeam({ views: 40, detectors: 60, pitch: 1 }), small: Grid = { width: 50, height: 50, pixelSize: 1 };
    const one = shadowsFor(flat, 1), other = shadowsFor(flat, 2);
    const both = await Promise.all([one, other].map((its) => simd(2).reconstruct(its, flat, { window: 'ramp', grid: small })));
    expectAlike('the first', both[0].data, fbp(one, flat, { window: 'ramp', grid: small }).data);
    expectAlike('the second', both[1].data, fbp(other, flat, { window: 'ramp', grid: small }).data);
  });

  test('says in a sentence what is wrong with what it is handed', async () => {
    const flat = parallelBeam({ views: 8, detectors: 12, pitch: 1 }), small: Grid = { width: 9, height: 9, pixelSize: 1 };
    const shadows = shadowsFor(flat);
    await expect(simd(2).reconstruct({ ...shadows, views: 7 }, flat, { window: 'ramp', grid: small })).rejects.toThrow('The sinogram has 7 views and the geometry 8 angles; there is one angle for each view.');
    await expect(simd(2).reconstruct(shadows, flat, { window: 'ramp', cutoff: 2, grid: small })).rejects.toThrow('The cut-off is 2; it is a fraction of the Nyquist frequency, above 0 and at most 1.');
    await expect(simd(2).project({ ...small, data: new Float32Array(80) }, flat)).rejects.toThrow('The picture holds 80 numbers; 9 × 9 pixels are 81.');
    await expect(simd(2).backproject({ ...shadows, data: shadows.data.map((value, k) => (k === 30 ? NaN : value)) }, flat, small)).rejects.toThrow('The sinogram holds NaN in view 2, cell 6');
    await expect(simdEngine({ workers: 0 })).rejects.toThrow('The number of workers is 0; it has to be a whole number from 1.');
  });

  test('is lost when a worker dies, and keepGoing has it done by the plain code, with a sentence', async () => {
    const flat = parallelBeam({ views: 30, detectors: 40, pitch: 1 }), small: Grid = { width: 30, height: 30, pixelSize: 1 };
    const shadows = shadowsFor(flat), right = fbp(shadows, flat, { window: 'ramp', grid: small });
    const pool = await openSimdPool({ workers: 2 });
    pool.failOne();
    const lost = await engineOn(pool).reconstruct(shadowsFor(geometry), geometry, { window: 'ramp', grid }).catch((failure: unknown) => failure);
    expect(lost, 'what the task is rejected with').toBeInstanceOf(EngineLost);
    expect((lost as Error).message).toBe('A worker died (told to fail).');
    await expect(engineOn(pool).reconstruct(shadows, flat, { window: 'ramp', grid: small }), 'and so is every later one').rejects.toThrow(EngineLost);

    const said: string[] = [];
    const going = keepGoing(engineOn(pool), [], (sentence) => said.push(sentence));
    expectAlike('reconstruct', (await going.reconstruct(shadows, flat, { window: 'ramp', grid: small })).data, right.data);
    expect(said).toEqual(['A worker died (told to fail). The work goes on with plain TypeScript, one thread.']);
    going.close();
  });

  test('is lost when a worker dies in the middle of an iterative method, which goes on where it was', async () => {
    const flat = parallelBeam({ views: 20, detectors: 30, pitch: 1 }), small: Grid = { width: 24, height: 24, pixelSize: 1 };
    const measured = forwardProject(imageFor(small), flat);
    const pool = await openSimdPool({ workers: 2 }), said: string[] = [];
    const engine = keepGoing(engineOn(pool), [], (sentence) => said.push(sentence));
    const every = (_: Image, iteration: number) => { if (iteration === 4) pool.failOne(); };
    const its = await run(sirtSteps(measured, flat, { grid: small, iterations: 12, engine, every }));
    expect(its.iterations, 'iterations made').toBe(12);
    expect(said.length, `sentences said: ${said.join(' ')}`).toBe(1);
    expectAlike('SIRT', its.picture.data, sirt(measured, flat, { grid: small, iterations: 12 }).picture.data, 1e-4);
  });
});

test('the kernels for machines without relaxed SIMD agree with the plain code, too', async () => {
  const kernels = await loadKernels({ relaxed: false }), here = synchronousOn(kernels);
  const grid: Grid = { width: 41, height: 38, pixelSize: 0.9 }, block: VolumeGrid = { width: 16, height: 15, depth: 14, voxelSize: 1 };
  for (const flat of [parallelBeam({ views: 33, detectors: 50, pitch: 0.8 }), fanBeam({ views: 33, detectors: 50, pitch: 1.3, sourceToAxis: 90, sourceToDetector: 130 })]) {
    const shadows = shadowsFor(flat), image = imageFor(grid);
    expectAlike(`fbp, ${flat.beam}`, here.fbp(shadows, flat, { window: 'ramp', grid })!.data, fbp(shadows, flat, { window: 'ramp', grid }).data);
    expectAlike(`project, ${flat.beam}`, here.forwardProject(image, flat)!.data, forwardProject(image, flat).data);
    expectAlike(`transpose, ${flat.beam}`, here.transposeProject(shadows, flat, grid)!.data, transposeProject(shadows, flat, grid).data);
  }
  const cone = coneBeam({ views: 15, detectors: 30, rows: 24, pitch: 1.3, sourceToAxis: 60, sourceToDetector: 90 }), all = Array.from({ length: 15 }, (_, view) => view);
  const frames = shadowsFor(cone), volume = volumeFor(block);
  expectAlike('fdk', here.fdk(frames, cone, { window: 'ramp', grid: block })!.data, fdk(frames, cone, { window: 'ramp', grid: block }).data);
  expectAlike('project, cone', finish(projectConeSteps(kernels, volume.data, cone, block, all)), forwardProjectCone(volume, cone).data);
  expectAlike('transpose, cone', finish(transposeConeSteps(kernels, frames.data, cone, block, all)), transposeProjectCone(frames, cone, block).data);
});

describe('useKernels()', () => {
  afterAll(leaveKernels);

  test('makes fbp, backproject, filterViews, forwardProject, transposeProject, fdk and the usual operator run on them, to 1e-5 the same', async () => {
    const flat = fanBeam({ views: 33, detectors: 50, pitch: 1.3, axisOffset: 0.8, sourceToAxis: 90, sourceToDetector: 130 }), grid: Grid = { width: 41, height: 38, pixelSize: 0.9 };
    const cone = coneBeam({ views: 15, detectors: 30, rows: 24, pitch: 1.3, sourceToAxis: 60, sourceToDetector: 90 }), block: VolumeGrid = { width: 16, height: 15, depth: 14, voxelSize: 1 };
    const shadows = shadowsFor(flat), frames = shadowsFor(cone), image = imageFor(grid);
    const all = (): Record<string, Float32Array> => ({
      fbp: fbp(shadows, flat, { window: 'cosine', grid }).data,
      backproject: backproject(shadows, flat, grid, { distancePower: 1, views: [3, 5, 6, 7, 20], weights: random(33) }).data,
      filterViews: filterViews(shadows, 0.9, { window: 'hann' }).data,
      forwardProject: forwardProject(image, flat).data,
      transposeProject: transposeProject(shadows, flat, grid).data,
      fdk: fdk(frames, cone, { window: 'ramp', grid: block }).data,
      sirt: sirt(shadows, flat, { grid, iterations: 5 }).picture.data,
    });
    leaveKernels();
    const before = all();
    expect(await useKernels(), 'whether there are kernels').toBe(true);
    const after = all();
    for (const [name, data] of Object.entries(after)) expectAlike(name, data, before[name]);
    expect(Object.entries(after).some(([name, data]) => data.some((value, k) => value !== before[name][k])), 'something was done by other code').toBe(true);
    expect(() => forwardProject({ ...image, width: 7 }, flat)).toThrow(RangeError);
    expect(() => fbp({ ...shadows, views: 2 }, flat, { window: 'ramp', grid })).toThrow('The sinogram has 2 views');
  });
});
