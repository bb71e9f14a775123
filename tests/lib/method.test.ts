/** One path to a picture by any method: what is chosen where nothing is said, and what a scan file may say. */
import { describe, expect, test } from 'vitest';
import {
  coneBeam, disc, discMask, EngineLost, fbp, fdk, forwardProject, forwardProjectCone, keepGoing, noiseInViews, parallelBeam, plainEngine, projectPhantom, rasterize, readScan, reconstructWith, rmse, run, scanRecipe,
  sheppLogan, sirt, sirtSteps, totalVariation, totalVariationSteps, usualIterative, type Engine, type MethodRecipe, type Operator, type Volume,
} from '../../src/lib/index.ts';

const beam = parallelBeam({ views: 24, detectors: 61, pitch: 2 });
const grid = { width: 48, height: 48, pixelSize: 2 };
const object = rasterize([disc(6, -4, 30, 0.02), disc(10, 8, 8, 0.02)], grid, 4);
const shadows = forwardProject(object, beam);
const engine = plainEngine();

/** Noise of a known rms, from a seed. */
function withNoise(data: Float32Array, rms: number): Float32Array {
  let seed = 3;
  const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647;
  return data.map((value) => value + rms * Math.sqrt(-2 * Math.log(random())) * Math.cos(2 * Math.PI * random()));
}

describe('reconstructWith', () => {
  test('fbp is fbp, and of a cone fdk', async () => {
    const { picture, iterated } = await reconstructWith(engine, shadows, beam, grid, { method: 'fbp', window: 'hann' });
    expect(picture.data).toEqual(fbp(shadows, beam, { window: 'hann', grid }).data);
    expect(iterated).toBeUndefined();
    const cone = coneBeam({ views: 12, detectors: 21, rows: 15, pitch: 2, sourceToAxis: 100, sourceToDetector: 150 });
    const block = { width: 12, height: 12, depth: 8, voxelSize: 2 };
    const frames = forwardProjectCone({ ...block, data: new Float32Array(12 * 12 * 8).fill(0.01) }, cone);
    expect((await reconstructWith(engine, frames, cone, block, { method: 'fbp', window: 'ramp' })).picture.data).toEqual(fdk(frames, cone, { window: 'ramp', grid: block }).data);
  });

  test.each<MethodRecipe>([{ method: 'sirt' }, { method: 'os-sart' }, { method: 'cgls' }, { method: 'tv' }])('$method, told nothing more, comes nearer to the disc than fbp does from 24 views', async (recipe) => {
    const { picture, iterated } = await reconstructWith(engine, shadows, beam, grid, recipe);
    expect(rmse(picture, object)).toBeLessThan((recipe.method === 'tv' ? 0.5 : 0.9) * rmse(fbp(shadows, beam, { window: 'ramp', grid }), object));
    expect(iterated!.stopped).toBe('iterations');
    expect(iterated!.history.rms.at(-1)!).toBeLessThan(0.1 * iterated!.history.rms[0]);
  });

  test('what it is told reaches the method: the same picture as asked for directly', async () => {
    const { picture } = await reconstructWith(engine, shadows, beam, grid, { method: 'sirt', iterations: 7, support: 40, nonNegative: false, weights: 'light' });
    const weights = shadows.data.map((p) => Math.exp(-p));
    expect(picture.data).toEqual(sirt(shadows, beam, { grid, iterations: 7, mask: discMask(grid, 0, 0, 40), weights }).picture.data);
    const tv = await reconstructWith(engine, shadows, beam, grid, { method: 'tv', iterations: 5, strength: 0.2, support: 1e3 });
    expect(tv.picture.data).toEqual(totalVariation(shadows, beam, { grid, iterations: 5, strength: 0.2, nonNegative: true }).picture.data);
  });

  test('it stops once the picture explains the views to within their noise', async () => {
    const noisy = { ...shadows, data: withNoise(shadows.data, 0.02) };
    const { iterated } = await reconstructWith(engine, noisy, beam, grid, { method: 'os-sart', iterations: 100, noise: 0.02 });
    expect(iterated!.stopped).toBe('discrepancy');
    expect(iterated!.history.rms.at(-1)!).toBeLessThanOrEqual(0.02);
    expect(iterated!.history.rms.at(-2)!).toBeGreaterThan(0.02);
  });

  test('begun from filtered backprojection it is nearer at first than begun from nothing', async () => {
    const missed = async (start: 'fbp' | 'nothing') => (await reconstructWith(engine, shadows, beam, grid, { method: 'sirt', iterations: 3, start })).iterated!.history.rms;
    const [warm, cold] = [await missed('fbp'), await missed('nothing')];
    expect(warm[0]).toBeLessThan(0.5 * cold[0]);
    expect(warm[3]).toBeLessThan(cold[3]);
  });

  test('outside the support there is exactly nothing, and one that holds no pixel is refused in a sentence', async () => {
    const { picture } = await reconstructWith(engine, shadows, beam, grid, { method: 'tv', iterations: 5, support: 20 });
    expect(picture.data.some((value, k) => value !== 0 && !discMask(grid, 0, 0, 20)[k]), 'a value outside the circle').toBe(false);
    await expect(reconstructWith(engine, shadows, beam, grid, { method: 'tv', support: 0.1 })).rejects.toThrow(/No pixel lies within 0.1 mm of the axis/);
  });

  test('conjugate gradients with a bound from below are refused', async () => {
    await expect(reconstructWith(engine, shadows, beam, grid, { method: 'cgls', nonNegative: true })).rejects.toThrow(/cgls cannot keep/);
  });
});

describe('the noise in the views', () => {
  const clean = projectPhantom(sheppLogan({ size: 180, scale: 0.02 }), parallelBeam({ views: 40, detectors: 120, pitch: 1.6 }));
  test.each([0.003, 0.02, 0.1])('noise of %f is found to a tenth, in the shadows of a head', (rms) => {
    const found = noiseInViews(withNoise(clean.data, rms), clean.detectors);
    expect(found).toBeGreaterThan(0.9 * rms);
    expect(found).toBeLessThan(1.1 * rms + 0.001);
  });
  test('views of two cells say nothing of noise', () => expect(noiseInViews([1, 2, 3, 4], 2)).toBe(0));
  test('the strength of total variation follows it: twice the noise, twice the strength', () => {
    const of = (rms: number) => usualIterative({ method: 'tv' }, { ...clean, data: withNoise(clean.data, rms) }, parallelBeam({ views: 40, detectors: 120, pitch: 1.6 }), grid).strength;
    expect(of(0.1) / of(0.05)).toBeCloseTo(2, 1);
  });
});

describe('scan files with a method', () => {
  const text = (reconstruction: object) => JSON.stringify({
    format: 'scan', version: 1, beam: { shape: 'parallel' }, detector: { pitch: 1, columns: 30 }, angles: { step: 4, count: 45 }, frames: { kind: 'line-integrals', file: 'a.npy' }, reconstruction,
  });
  test('an iterative method and all that belongs to it', async () => {
    const told = { method: 'tv', iterations: 50, strength: 0.4, nonNegative: false, support: 12, weights: 'light', start: 'fbp', noise: 0.01 };
    expect(await scanRecipe(readScan(text({ ...told, size: 64 })))).toEqual(told);
    expect(await scanRecipe(readScan(text({ method: 'os-sart', subsets: 9 })))).toEqual({ method: 'os-sart', subsets: 9 });
    expect(await scanRecipe(readScan(text({ method: 'fbp' })))).toEqual({ method: 'fbp', window: 'ramp', cutoff: 1 });
  });
  test.each([
    [{ method: 'fbp', iterations: 5 }, /reconstruction.iterations is given and reconstruction.method is "fbp": it belongs to "sirt"/],
    [{ method: 'tv', window: 'hann' }, /reconstruction.window is given and reconstruction.method is "tv": it belongs to "fbp"/],
    [{ method: 'cgls', nonNegative: true }, /belongs to "sirt", "os-sart", "tv"/],
    [{ method: 'sirt', strength: 1 }, /belongs to "tv"/],
    [{ method: 'magic' }, /"?fbp"?/],
    [{ method: 'sirt', iterations: 0 }, /iterations/],
  ])('%j is refused in a sentence', (reconstruction, sentence) => {
    expect(() => readScan(text(reconstruction))).toThrow(sentence as RegExp);
  });
});

describe('iterations that go astray', () => {
  /** An operator whose transpose is a hundred times too large. */
  const wrong: Pick<Engine, 'operator'> = {
    operator(geometry, wanted, mask): Operator {
      const right = engine.operator(geometry, wanted, mask);
      let calls = 0;
      return {
        ...right,
        *transposeSteps(rays, picture, views) {
          yield* right.transposeSteps(rays, picture, views);
          if (calls++ > 3) for (let k = 0; k < picture.length; k++) picture[k] *= 100; // after the sums that scale the steps, and two good rounds
        },
      };
    },
  };
  test('are stopped, and the last good picture is kept', () => {
    const { picture, stopped, iterations, history } = sirt(shadows, beam, { grid, iterations: 50, engine: wrong });
    expect(stopped).toBe('diverged');
    expect(iterations).toBeLessThan(10);
    expect(history.rms).toHaveLength(iterations + 1);
    expect(Math.max(...history.rms), 'nothing that explains the views ten times worse than no picture at all').toBeLessThanOrEqual(10 * history.rms[0]);
    expect(picture.data.every(Number.isFinite)).toBe(true);
  });
});

describe('an engine that is lost in the middle', () => {
  /** Does so many steps and is then lost. */
  function failing(steps: number): Engine {
    let left = steps;
    const count = () => { if (left-- <= 0) throw new EngineLost('The cat pulled the plug.'); };
    return {
      ...engine, name: 'simd', says: 'a failing engine',
      operator(geometry, wanted, mask) {
        const right = engine.operator(geometry, wanted, mask);
        return {
          ...right,
          *applySteps(picture, rays, views) { count(); yield* right.applySteps(picture, rays, views); },
          *transposeSteps(rays, picture, views) { picture.fill(NaN); count(); yield* right.transposeSteps(rays, picture, views); },
        };
      },
      reconstruct: async (...args) => { count(); return engine.reconstruct(...args); },
    };
  }
  test.each([0, 1, 5, 12])('after %i steps: the next goes on where it was, with a sentence, and the picture is the same', async (steps) => {
    const told: string[] = [];
    const kept = keepGoing(failing(steps), [async () => { throw new EngineLost('And there is no second.'); }], (sentence) => told.push(sentence));
    const { picture, history } = await run(totalVariationSteps(shadows, beam, { grid, iterations: 6, strength: 0.1, engine: kept }));
    const undisturbed = totalVariation(shadows, beam, { grid, iterations: 6, strength: 0.1 });
    expect(picture.data).toEqual(undisturbed.picture.data);
    expect(history).toEqual(undisturbed.history);
    expect(told).toEqual(['The cat pulled the plug. And there is no second. The work goes on with plain TypeScript, one thread.']);
    expect(kept.name).toBe('plain');
  });
  test('a whole task is done again by the next', async () => {
    const told: string[] = [];
    const kept = keepGoing(failing(0), [], (sentence) => told.push(sentence));
    expect((await kept.reconstruct(shadows, beam, { window: 'ramp', grid })).data).toEqual(fbp(shadows, beam, { window: 'ramp', grid }).data);
    expect(told).toHaveLength(1);
  });
  test('a mistake in the input is no reason to take another', async () => {
    const kept = keepGoing(failing(99), [], () => { throw new Error('nothing was lost'); });
    await expect(run(sirtSteps(shadows, beam, { grid, iterations: 0, engine: kept }))).rejects.toThrow(/whole number from 1/);
    await expect(kept.reconstruct({ ...shadows, views: 3 }, beam, { window: 'ramp', grid })).rejects.toThrow(/views/);
  });
  test('a volume that would not fit into memory is refused, whatever the engine', async () => {
    const cone = coneBeam({ views: 2, detectors: 4, rows: 4, pitch: 1, sourceToAxis: 100, sourceToDetector: 150 });
    const huge = { width: 2000, height: 2000, depth: 2000, voxelSize: 0.01 } as Volume;
    await expect(engine.reconstruct({ views: 2, rows: 4, columns: 4, data: new Float32Array(32) }, cone, { window: 'ramp', grid: huge })).rejects.toThrow(/32 GB of memory/);
  });
});
