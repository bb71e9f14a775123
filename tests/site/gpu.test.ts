/** The gpu engine in a real browser, on a card in software. The tolerances are those that engine.ts states. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { Page } from 'playwright-core';
import type * as Agreement from '../../src/lib/engine/agreement.ts';
import type * as Gpu from '../../src/lib/engine/gpu/gpu-engine.ts';
import type * as KeepGoing from '../../src/lib/engine/keep-going.ts';
import type * as Plain from '../../src/lib/engine/plain.ts';
import type * as Steps from '../../src/lib/engine/steps.ts';
import type * as Beams from '../../src/lib/geometry/beams.ts';
import type * as Sirt from '../../src/lib/reconstruct/sirt.ts';
import { openGpuPages, type GpuPages } from './support/gpu-page.ts';

type Library = typeof Agreement & typeof Gpu & typeof KeepGoing & typeof Plain & typeof Steps & typeof Beams & typeof Sirt;
/** In the page. */
declare const library: Library;
declare const scene: ReturnType<typeof makeScene>;

let pages: GpuPages;
let page: Page;

/** A cone scan that takes the card in software a second or two: long enough to be stopped in the middle. Runs in the page. */
function makeScene() {
  const geometry = library.coneBeam({ views: 40, detectors: 64, rows: 48, pitch: 0.8, sourceToAxis: 80, sourceToDetector: 120 });
  const grid = { width: 48, height: 48, depth: 40, voxelSize: 0.7 };
  const data = Float32Array.from({ length: 40 * 48 * 64 }, (_, k) => (k * 7919 % 1013) / 1013);
  return { geometry, grid, frames: { views: 40, rows: 48, columns: 64, data } };
}

beforeAll(async () => {
  pages = await openGpuPages();
  page = await pages.open(true);
  await page.evaluate(`globalThis.scene = (${makeScene})()`);
});
afterAll(() => pages?.close());

describe('gpuEngine agrees with the plain engine in every task on every scan', () => {
  test.each([
    { how: 'by hand, to 1e-5', options: { interpolation: 'by-hand' }, allowed: 1e-5 },
    { how: 'by the texture units, to 1e-3', options: { interpolation: 'hardware' }, allowed: 1e-3 },
  ] as const)('$how', async ({ options, allowed }) => {
    const found = await page.evaluate(async (options) => {
      const engine = await library.gpuEngine(options);
      const found = await library.engineAgreement(engine);
      engine.close();
      return found;
    }, options);
    expect(found).toHaveLength(7 * 6);
    expect(found.filter(({ difference }) => !(difference <= allowed))).toEqual([]);
    expect(Math.max(...found.map(({ difference }) => difference)), 'the same numbers would not have come from a card').toBeGreaterThan(0);
  });

  test('by the texture units in half precision, to 1e-3: what differs there, a slice and a volume smeared back', async () => {
    const found = await page.evaluate(async () => {
      const engine = await library.gpuEngine({ halfPrecision: true }), plain = library.plainEngine();
      const { geometry, grid, frames } = scene;
      const flat = library.parallelBeam({ views: 40, detectors: 67, pitch: 0.45, axisOffset: 0.7 }), slice = { width: 53, height: 45, pixelSize: 0.5 };
      const views = { views: 40, detectors: 67, data: Float32Array.from({ length: 40 * 67 }, (_, k) => 1e-6 * Math.sqrt(Math.max(0, 900 - ((k % 67) - 33) ** 2))) }; // a disc, below what a half float holds to 1e-3 unscaled
      const found = [
        library.relativeRms((await engine.backproject(views, flat, slice)).data, (await plain.backproject(views, flat, slice)).data),
        library.relativeRms((await engine.reconstruct(frames, geometry, { window: 'hann', grid })).data, (await plain.reconstruct(frames, geometry, { window: 'hann', grid })).data),
      ];
      const { says } = engine;
      engine.close();
      return { found, says };
    });
    expect(found.says).toContain('half precision');
    for (const difference of found.found) {
      expect(difference).toBeLessThan(1e-3);
      expect(difference, 'half floats, not whole ones').toBeGreaterThan(1e-5);
    }
  });

  test('by hand to 1e-5 where places are far from the middle: 1,024 pixels and cells across, white noise and a smooth disc', async () => {
    const found = await page.evaluate(async () => {
      const engine = await library.gpuEngine({ interpolation: 'by-hand' }), plain = library.plainEngine();
      const views = 24, detectors = 1024, grid = { width: 1024, height: 12, pixelSize: 1, centre: [1.3, 300] } as const;
      const noise = { views, detectors, data: Float32Array.from({ length: views * detectors }, (_, k) => (k * 7919 % 1013) / 1013 - 0.5) };
      const disc = { views, detectors, data: Float32Array.from({ length: views * detectors }, (_, k) => Math.sqrt(Math.max(0, 160_000 - ((k % detectors) - 511) ** 2))) };
      const found: Record<string, number> = {};
      for (const geometry of [
        library.parallelBeam({ views, detectors, pitch: 1.05, axisOffset: 2.3 }),
        library.fanBeam({ views, detectors, pitch: 1.6, axisOffset: 2.3, sourceToAxis: 1638, sourceToDetector: 2457 }),
      ]) {
        const both = async (task: string, of: (one: typeof plain) => Promise<{ readonly data: Float32Array }>) => {
          found[`${task}, ${geometry.beam}`] = library.relativeRms((await of(engine)).data, (await of(plain)).data);
        };
        await both('noise smeared back', (one) => one.backproject(noise, geometry, grid));
        await both('noise spread along rays', (one) => one.transpose(noise, geometry, grid));
        await both('the disc reconstructed', (one) => one.reconstruct(disc, geometry, { window: 'ramp', grid }));
      }
      engine.close();
      return found;
    });
    expect(Object.keys(found)).toHaveLength(6);
    expect(Object.entries(found).filter(([, difference]) => !(difference < 1e-5))).toEqual([]);
  });

  test('a volume and frames that are larger than the card gives in one piece, in slabs and batches, a leaning detector’s too', async () => {
    const found = await page.evaluate(async () => {
      const engine = await library.gpuEngine({ interpolation: 'by-hand', largestBuffer: 120_000 }); // of 369 kB and 492 kB
      const plain = library.plainEngine();
      const geometry = { ...scene.geometry, tilt: 0.03 }, { grid, frames } = scene;
      const volume = { ...grid, data: Float32Array.from({ length: 48 * 48 * 40 }, (_, k) => (k * 7919 % 101) / 101) };
      const found = {
        project: library.relativeRms((await engine.project(volume, geometry)).data, (await plain.project(volume, geometry)).data),
        transpose: library.relativeRms((await engine.transpose(frames, geometry, grid)).data, (await plain.transpose(frames, geometry, grid)).data),
        reconstruct: library.relativeRms((await engine.reconstruct(frames, geometry, { window: 'ramp', grid })).data, (await plain.reconstruct(frames, geometry, { window: 'ramp', grid })).data),
      };
      engine.close();
      return found;
    });
    for (const difference of Object.values(found)) expect(difference).toBeLessThan(1e-5);
  });
});

test('a card lost in the middle: the plain engine does the work from its beginning, and a sentence says so', async () => {
  const { difference, told, name } = await page.evaluate(async () => {
    const { geometry, grid, frames } = scene, told: string[] = [];
    const engine = await library.gpuEngine();
    const going = library.keepGoing(engine, [], (sentence) => told.push(sentence));
    const work = going.reconstruct(frames, geometry, { window: 'ramp', grid }, { progress: (fraction) => { if (fraction > 0 && fraction < 1) engine.lose(); } });
    const right = await library.plainEngine().reconstruct(frames, geometry, { window: 'ramp', grid });
    return { difference: library.relativeRms((await work).data, right.data), told, name: going.name };
  });
  expect(difference).toBe(0);
  expect(name).toBe('plain');
  expect(told).toHaveLength(1);
  expect(told[0]).toMatch(/^The graphics card was lost.*\. The work goes on with plain TypeScript, one thread\.$/);
});

test('a card lost while an iterative method runs: it goes on where it was', async () => {
  const { difference, told, iterations } = await page.evaluate(async () => {
    const { geometry, frames } = scene, told: string[] = [], grid = { width: 20, height: 20, depth: 16, voxelSize: 1.7 };
    const engine = await library.gpuEngine();
    const going = library.keepGoing(engine, [], (sentence) => told.push(sentence));
    const every = (_: unknown, iteration: number) => { if (iteration === 2) engine.lose(); };
    const ours = await library.run(library.sirtSteps(frames, geometry, { grid, iterations: 4, engine: going, every }));
    const right = await library.run(library.sirtSteps(frames, geometry, { grid, iterations: 4 }));
    return { difference: library.relativeRms(ours.picture.data, right.picture.data), told: told.length, iterations: ours.iterations };
  });
  expect(iterations).toBe(4);
  expect(told).toBe(1);
  expect(difference).toBeLessThan(1e-5);
});

test('work that is called off ends with the reason it was given, and the card goes on to work', async () => {
  const found = await page.evaluate(async () => {
    const { geometry, grid, frames } = scene, reason = new Error('the reader moved on');
    const engine = await library.gpuEngine({ interpolation: 'by-hand' }), stop = new AbortController(), heard: number[] = [];
    const progress = (fraction: number) => { heard.push(fraction); stop.abort(reason); };
    const thrown = await engine.reconstruct(frames, geometry, { window: 'ramp', grid }, { signal: stop.signal, progress }).catch((failure: unknown) => failure);
    const again = await engine.reconstruct(frames, geometry, { window: 'ramp', grid });
    const right = await library.plainEngine().reconstruct(frames, geometry, { window: 'ramp', grid });
    engine.close();
    return { same: thrown === reason, last: heard.at(-1), difference: library.relativeRms(again.data, right.data) };
  });
  expect(found.same).toBe(true);
  expect(found.last).toBeLessThan(1);
  expect(found.difference).toBeLessThan(1e-5);
});

test('bad input is refused in the plain engine’s words', async () => {
  const messages = await page.evaluate(async () => {
    const { geometry, grid, frames } = scene, engine = await library.gpuEngine(), messages: string[][] = [];
    const bad = frames.data.slice();
    bad[64 * 48 + 2 * 64 + 40] = NaN;
    for (const given of [{ ...frames, data: bad }, { ...frames, rows: 47 }]) {
      const said: string[] = [];
      for (const one of [engine, library.plainEngine()]) await one.reconstruct(given, geometry, { window: 'ramp', grid }).catch(({ name, message }: Error) => said.push(`${name}: ${message}`));
      messages.push(said);
    }
    engine.close();
    return messages;
  });
  expect(messages[0]).toEqual(Array(2).fill('BadInput: Frame 1 holds NaN in row 2, column 40 (all counted from 0); every line integral has to be a finite number.'));
  expect(messages[1][0]).toBe(messages[1][1]);
  expect(messages[1][0]).toMatch(/^BadInput: The frames have 64 columns and 47 rows/);
});

test('an engine that has been closed says so', async () => {
  const message = await page.evaluate(async () => {
    const engine = await library.gpuEngine();
    engine.close();
    return engine.reconstruct(scene.frames, scene.geometry, { window: 'ramp', grid: scene.grid }).then(() => 'it worked', ({ name, message }: Error) => `${name}: ${message}`);
  });
  expect(message).toBe('EngineLost: The graphics card has been given back.');
});

test('without WebGPU, and without a card, one sentence says what is missing', async () => {
  const bare = await pages.open(false);
  const say = (options: object) => library.gpuEngine(options).then(({ says }) => says, ({ name, message }: Error) => `${name}: ${message}`);
  const [asItIs, noWebGpu] = await bare.evaluate(async (say) => {
    const ask = eval(say) as (options: object) => Promise<string>;
    const asItIs = await ask({});
    Object.defineProperty(navigator, 'gpu', { value: undefined });
    return [asItIs, await ask({})];
  }, `(${say})`);
  expect(noWebGpu).toBe('EngineLost: This browser offers no WebGPU.');
  expect(['EngineLost: This browser offers no WebGPU.', 'EngineLost: WebGPU finds no graphics card on this machine.']).toContain(asItIs);
  await bare.close();
});
