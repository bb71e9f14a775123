import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  derivePlan, enoughFor, enoughGrid, planObject, readPlan, rehearse, rehearseSteps, restNeeded, run, voxelizeSolids, workingBin, writePlan, xrayPlan, type Derived, type EnoughGrid, type EnoughWish, type XrayPlan,
} from '../../src/lib/index.ts';
import { planFile } from '../../scripts/make-capsule.ts';
import { refusal } from './support/bad-input.ts';

const capsulePlan = planFile();
/** Small and quick: a rod of water with a rod of aluminium in it. */
const rods: XrayPlan = {
  ...capsulePlan,
  object: { kind: 'solids', solids: [
    { name: 'rod', material: 'water', form: { kind: 'cylinder', from: [0, 0, -6], to: [0, 0, 6], radius: 8 } },
    { name: 'core', material: 'aluminium', form: { kind: 'cylinder', from: [0, 0, -6], to: [0, 0, 6], radius: 3 } },
  ] },
  camera: { ...capsulePlan.camera, columns: 80, rows: 70 }, views: { count: 40 },
};
const found = (derived: Derived, key: string) => derived.find((each) => each.key === key)!;
const figureOf = (plan: XrayPlan, key: string, options?: Parameters<typeof derivePlan>[1]) => found(derivePlan(plan, options), key);

describe('derivePlan(plan)', () => {
  test('holds every figure of a plan, each with its rule, and each but the doses with an honest mark or none', () => {
    const derived = derivePlan(capsulePlan);
    expect(derived.map(({ key }) => key)).toEqual(expect.arrayContaining([
      'magnification', 'field', 'fieldHeight', 'coneAngle', 'effectivePixel', 'blur', 'bestMagnification', 'resolution', 'views.pitch', 'views.one-pixel', 'views.fan', 'arc', 'openXrays', 'openElectrons', 'openGrey',
      'quantumSink', 'transmission', 'behindElectrons', 'lineNoise', 'sliceNoise', 'cnr.shell', 'cnr.oil', 'heat', 'rest', 'duty', 'time', 'steps', 'angleError', 'dosePerScan', 'dosePerYear',
    ]));
    expect(new Set(derived.map(({ key }) => key)).size).toBe(derived.length);
    for (const { rule, sentence, key, group, mark, parts } of derived) {
      expect(rule.length, key).toBeGreaterThan(10);
      expect(sentence, key).toMatch(/^[A-Z].*\.$/);
      if (group === 'room') {
        expect(mark, 'a dose is never a verdict').toBeUndefined();
        expect(parts!.low).toBeLessThan(parts!.high);
        expect(sentence).toContain('none of its figures says that anything is safe');
      } else expect(sentence, 'no figure says that anything is safe').not.toMatch(/\bsafe/i);
    }
  });
  test('by hand: magnification 500/350, the pixel 0.3 mm over it, 8° at the rim', () => {
    const derived = derivePlan(capsulePlan);
    expect(found(derived, 'magnification').value).toBeCloseTo(500 / 350, 12);
    expect(found(derived, 'blur').parts!.pitch).toBeCloseTo(0.21, 12);
    const { radius, bottom, top } = planObject(capsulePlan);
    // The egg: 28 mm about (1.5, −1), so 29.8028 mm at most; from −36 to 36. Found by lines: right within a hundredth, and not too small in height.
    expect(radius).toBeGreaterThan(0.99 * (28 + Math.hypot(1.5, 1)));
    expect(radius).toBeLessThan(1.01 * (28 + Math.hypot(1.5, 1)));
    expect([bottom, top].every((end) => Math.abs(end) >= 35.9 && Math.abs(end) < 37)).toBe(true);
    expect(found(derived, 'arc').value).toBeCloseTo((radius * 8 * Math.PI) / 180, 9);
    expect(found(derived, 'time').value).toBe(45);
    expect(found(derived, 'quantumSink').sentence).toContain('The X-rays that the screen absorbs are fewest');
  });
  test('a voltage, an exposure and a lens move what they should', () => {
    const longer = { ...capsulePlan, exposure: { seconds: 1, frames: 4 } };
    expect(figureOf(longer, 'sliceNoise').value! / figureOf(capsulePlan, 'sliceNoise').value!).toBeCloseTo(0.5, 2);
    expect(figureOf({ ...capsulePlan, tube: { ...capsulePlan.tube, kVp: 60 } }, 'transmission').value!).toBeLessThan(figureOf(capsulePlan, 'transmission').value!);
    // A small sensor far from its screen: the light is the bottleneck, and it is said which knob mends it.
    const small = figureOf({ ...capsulePlan, camera: { ...capsulePlan.camera, sensorPixel: 0.0043 } }, 'quantumSink');
    expect(small).toMatchObject({ mark: 'poor', knob: { key: 'camera.fNumber', way: 'down' } });
    expect(small.sentence).toContain('electrons has the fewest quanta');
  });
  test('binning trades resolution for noise', () => {
    const [fine, coarse] = [1, 3].map((bin) => derivePlan(capsulePlan, { bin }));
    expect(found(coarse, 'resolution').value!).toBeGreaterThan(1.5 * found(fine, 'resolution').value!);
    expect(found(coarse, 'sliceNoise').value!).toBeLessThan(0.3 * found(fine, 'sliceNoise').value!);
  });
  test.each<[string, XrayPlan, string, string]>([
    ['a screen before the axis', { ...capsulePlan, distances: { sourceToAxis: 350, sourceToDetector: 300 } }, 'magnification', 'The screen lies before the axis'],
    ['an object wider than the field', { ...capsulePlan, camera: { ...capsulePlan.camera, columns: 128 } }, 'field', 'it is cut off at the sides'],
    ['an object that would strike the tube', { ...capsulePlan, distances: { sourceToAxis: 20, sourceToDetector: 500 } }, 'field', 'it would strike the tube as it turns'],
    ['an object that would strike the screen', { ...capsulePlan, distances: { sourceToAxis: 490, sourceToDetector: 500 } }, 'field', 'it would strike the screen as it turns'],
    ['a tube that no rest can save', { ...capsulePlan, tube: { ...capsulePlan.tube, mA: 30 } }, 'rest', 'No rest between exposures is enough'],
    ['more views than the motor has places', { ...capsulePlan, stage: { fullSteps: 40, microsteps: 1 } }, 'steps', 'take at most 40 views'],
    ['an open beam that fills the camera', { ...capsulePlan, exposure: { seconds: 4 } }, 'openGrey', 'saturated'],
    ['a volume that is not at hand', { ...capsulePlan, object: { kind: 'volume', file: 'mine.nrrd' } }, 'object', 'mine.nrrd'],
    ['a block of lead at 15 kV', { ...rods, tube: { ...rods.tube, kVp: 15 }, object: { kind: 'solids', solids: [{ name: 'block', material: 'lead', form: { kind: 'ball', centre: [0, 0, 3], radius: 8 } }] } }, 'transmission', 'noise and hardening rule there'],
    ['a source that nearly touches the object', { ...rods, distances: { sourceToAxis: 8.05, sourceToDetector: 500 }, object: { kind: 'solids', solids: [{ material: 'water', form: { kind: 'cylinder', from: [0, 0, 0], to: [0, 0, 30], radius: 8 } }] } }, 'field', 'it is cut off at the sides'],
    ['nothing but air', { ...capsulePlan, object: { kind: 'solids', solids: [{ form: { kind: 'ball', centre: [0, 0, 0], radius: 5 } }] } }, 'object', 'all empty space'],
  ])('%s: one sentence, marked bad, never NaN', (_, plan, key, words) => {
    const derived = derivePlan(plan);
    expect(found(derived, key)).toMatchObject({ mark: 'bad' });
    expect(found(derived, key).sentence).toContain(words);
    for (const { value, sentence } of derived) {
      if (value !== undefined) expect(Number.isFinite(value), sentence).toBe(true);
      expect(sentence).not.toMatch(/NaN|Infinity|undefined/);
    }
  });
  test('whatever a plan file may hold, its figures are numbers or sentences', () => {
    const between = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    fc.assert(fc.property(
      fc.record({
        kVp: between(15, 120), mA: between(1e-3, 1000), focalSpot: between(0, 20), sourceToAxis: between(0.5, 2000), further: between(0, 2000), coating: between(0.1, 2000), pitch: between(1e-3, 20),
        columns: fc.integer({ min: 2, max: 6000 }), rows: fc.integer({ min: 1, max: 4000 }), bits: fc.integer({ min: 8, max: 16 }), seconds: between(1e-3, 86_400), frames: fc.integer({ min: 1, max: 1000 }), count: fc.integer({ min: 2, max: 65_536 }),
        turn: between(1, 720), fullWell: between(1, 1e7), readNoise: between(0, 1e4), microsteps: fc.integer({ min: 1, max: 1024 }), heatLimit: between(1, 1e6),
      }),
      (x) => {
        const plan = readPlan(writePlan({
          ...rods, tube: { anode: 'tungsten', kVp: x.kVp, mA: x.mA, focalSpot: x.focalSpot, heatLimit: x.heatLimit, coolingTime: 100 }, distances: { sourceToAxis: x.sourceToAxis, sourceToDetector: x.sourceToAxis + x.further },
          screen: { coating: x.coating }, camera: { ...rods.camera, pitch: x.pitch, columns: x.columns, rows: x.rows, bits: x.bits, fullWell: x.fullWell, readNoise: x.readNoise },
          exposure: { seconds: x.seconds, frames: x.frames }, views: { count: x.count, turn: x.turn }, stage: { fullSteps: 200, microsteps: x.microsteps },
        }));
        for (const { key, value, sentence } of derivePlan(plan)) {
          if (value !== undefined && !Number.isFinite(value)) throw new Error(`${key} is ${value}`);
          if (/NaN|Infinity|undefined/.test(sentence)) throw new Error(sentence);
        }
      },
    ), { numRuns: 25, seed: 5 });
  });
});

describe('enoughFor(wish, plan, limits)', () => {
  const grid: EnoughGrid = { views: [40, 90, 180, 360, 720], seconds: [0.2, 1, 4], frames: [1, 4], bins: [1, 2], magnifications: [1.2, 2, 3] };
  const wish: EnoughWish = { detail: 0.5, contrast: 0.01, cnr: 4 };
  /** Every plan of the grid, with the rest that its tube needs. */
  const candidates = grid.magnifications.flatMap((magnification) => grid.views.flatMap((count) => grid.seconds.flatMap((seconds) => grid.frames.map((frames): XrayPlan => ({
    ...rods, distances: { sourceToAxis: 500 / magnification, sourceToDetector: 500 }, views: { count }, exposure: { seconds, frames },
  })))));
  test('the answer does it by derivePlan, and nothing that takes less time in the grid does', () => {
    const answer = enoughFor(wish, rods, { grid });
    if (!answer.enough) throw new Error(answer.sentence);
    const does = (plan: XrayPlan, bin: number) => {
      const derived = derivePlan(plan, { bin });
      const full = found(derivePlan({ ...plan, camera: { ...plan.camera, bits: 16 } }, { bin }), 'openGrey').value! / (2 ** 16 - 1); // in proportion to light
      return found(derived, 'resolution').value! <= wish.detail && found(derived, 'arc').value! <= wish.detail && 0.01 / found(derived, 'sliceNoise').value! >= wish.cnr * (1 - 1e-9)
        && found(derived, 'field').value! >= 2.1 * planObject(rods).radius && found(derived, 'fieldHeight').mark === 'good' && full <= 0.9 && found(derived, 'heat')?.mark === 'good';
    };
    expect(does(xrayPlan(answer.plan), answer.bin)).toBe(true);
    expect(found(derivePlan(answer.plan), 'time').value).toBeCloseTo(answer.time, 9);
    let tried = 0;
    for (const plan of candidates) {
      const on = plan.views.count * plan.exposure.seconds * plan.exposure.frames!;
      if (on > answer.time) continue; // longer without any rest
      for (const bin of grid.bins) {
        tried++;
        if (!does(plan, bin)) continue;
        const { total } = restNeeded({ power: 5, seconds: plan.exposure.seconds, frames: plan.views.count * plan.exposure.frames! }, { limit: 2000, coolingTime: 300 });
        expect(total, `${plan.views.count} views of ${plan.exposure.seconds} s at ${plan.distances.sourceToAxis} mm, binned by ${bin}`).toBeGreaterThanOrEqual(answer.time - 1e-9);
      }
    }
    expect(tried).toBeGreaterThan(10);
  });
  test.each<[string, EnoughWish, XrayPlan, Parameters<typeof enoughFor>[2], string, string]>([
    ['a detail finer than the screen', { ...wish, detail: 0.01 }, rods, { grid }, 'blur', 'a smaller focal spot'],
    ['too few views in the grid', wish, rods, { grid: { ...grid, views: [40] } }, 'views', 'apart at the rim'],
    ['a contrast that drowns', { ...wish, contrast: 1e-5 }, rods, { grid }, 'light', 'times the noise'],
    ['a tube that cannot bear it', wish, { ...rods, tube: { ...rods.tube, heatLimit: 1.5 } }, { grid: { ...grid, seconds: [1] } }, 'heat', 'No rest between exposures is enough'],
    ['no time', wish, rods, { grid, seconds: 1 }, 'time', 'are allowed'],
    ['a picture that never shows it whole', wish, { ...rods, camera: { ...rods.camera, columns: 20 } }, { grid }, 'field', 'take a larger part of the screen'],
    ['pixels that are always full', wish, { ...rods, camera: { ...rods.camera, fullWell: 10 } }, { grid }, 'light', 'fills the camera'],
  ])('%s: says which limit none gets round', (_, asked, plan, limits, limit, words) => {
    const answer = enoughFor(asked, plan, limits);
    expect(answer).toMatchObject({ enough: false, limit });
    expect(answer.sentence).toContain(words);
  });
  test('more is asked, more is given: finer details need more views, a higher contrast to noise more time', () => {
    const ask = (change: Partial<EnoughWish>) => {
      const answer = enoughFor({ ...wish, ...change }, rods, { grid: { ...enoughGrid(rods, planObject(rods)), bins: [1, 2], magnifications: [1.2] } });
      if (!answer.enough) throw new Error(answer.sentence);
      return answer;
    };
    expect(ask({ detail: 0.5 }).views).toBeGreaterThan(ask({ detail: 1 }).views);
    expect(ask({ cnr: 12 }).time).toBeGreaterThan(ask({ cnr: 2 }).time);
    const pair = ask({ contrast: { material: 'aluminium', against: 'water' } });
    expect(pair.time).toBeLessThanOrEqual(ask({ contrast: { material: 'polyethylene', against: 'water' }, cnr: 1 }).time);
  });
  test.each<[string, Partial<EnoughWish>, string]>([
    ['no detail', { detail: 0 }, 'The detail is 0'], ['no contrast', { contrast: 0 }, 'The contrast is 0'], ['a material against itself', { contrast: { material: 'water', against: 'water' } }, 'name two materials'], ['NaN', { cnr: NaN }, 'is NaN and should be a number'],
  ])('refuses %s', async (_, change, words) => {
    expect(await refusal(() => enoughFor({ ...wish, ...change }, rods, { grid }))).toContain(words);
  });
});

describe('rehearseSteps(plan)', () => {
  test('the same seed gives the same photographs, another seed others', () => {
    const quick = { size: 32, measure: false } as const;
    const [one, same, other] = [1, 1, 2].map((seed) => rehearse(rods, { ...quick, seed }).photographs[1].photograph.data);
    expect(one).toEqual(same);
    expect(one).not.toEqual(other);
  });
  test('photographs look as the camera stores them: dark behind the core, bright beside it, on its levels where nothing is binned', () => {
    const { photographs: [{ photograph }], bin, geometry } = rehearse(rods, { size: 32, bin: 1, measure: false });
    expect([bin, geometry.detectors, photograph.width, photograph.height]).toEqual([1, 80, 80, 70]);
    expect([...photograph.data].every((value) => Math.abs(value * 255 - Math.round(value * 255)) < 1e-4)).toBe(true);
    const at = (column: number, row: number) => photograph.data[row * 80 + column];
    expect(at(40, 35)).toBeLessThan(at(15, 35));
    expect(at(15, 35)).toBeLessThan(at(2, 35));
    expect(photograph.saturated).toBe(0);
  });
  test('an exposure that is far too long fills the pixels, and the figures say how many', () => {
    const { report } = rehearse({ ...rods, exposure: { seconds: 4 } }, { size: 32, measure: false });
    expect(Math.min(...report.saturated)).toBeGreaterThan(0.1);
    expect(report.warnings.map(({ kind }) => kind)).toContain('saturated');
  });
  test('a volume as an object gives what its solids give', () => {
    const solids = [...planObject(rods).solids!].map((solid, k) => ({ ...solid, attenuation: [0.02, 0.05][k] }));
    const volume = voxelizeSolids(solids, { width: 60, height: 60, depth: 44, voxelSize: 0.3 });
    const plan: XrayPlan = { ...rods, object: { kind: 'volume', file: 'rods.nrrd', energy: 60, material: 'water' } };
    const { volume: seen, figures } = rehearse(plan, { size: 32, volume });
    const middle = seen.data[(Math.floor(seen.depth / 2) * 32 + 16) * 32 + 16];
    expect(middle).toBeGreaterThan(0.8 * 0.05);
    expect(middle).toBeLessThan(1.2 * 0.05);
    expect(figures!.noise.measured / figures!.noise.predicted).toBeGreaterThan(0.85);
    expect(figures!.noise.measured / figures!.noise.predicted).toBeLessThan(1.15);
    expect(derivePlan(plan, { volume }).some(({ key }) => key === 'transmission')).toBe(true);
  });
  test('can be followed and stopped', async () => {
    const heard: number[] = [];
    const stop = new AbortController();
    const work = run(rehearseSteps(rods, { size: 48 }), { signal: stop.signal, progress: (fraction) => { heard.push(fraction); if (fraction > 0.3) stop.abort(new Error('enough')); } });
    await expect(work).rejects.toThrow('enough');
    expect(heard.every((fraction, i) => fraction >= 0 && fraction < 0.9 && (i === 0 || fraction >= heard[i - 1]))).toBe(true);
  });
  test.each<[string, XrayPlan, object, string]>([
    ['too few views', { ...rods, views: { count: 7 } }, {}, 'at least 8 are needed'],
    ['an object that reaches the source', { ...rods, distances: { sourceToAxis: 7, sourceToDetector: 500 } }, {}, 'move the source away'],
    ['an object that reaches the screen', { ...rods, distances: { sourceToAxis: 495, sourceToDetector: 500 } }, {}, 'move the screen back'],
    ['a volume of no size', rods, { size: 2 }, 'should be a whole number from 8'],
    ['a volume that is not at hand', { ...rods, object: { kind: 'volume', file: 'mine.nrrd' } }, {}, 'mine.nrrd, whose values are needed'],
    ['more views than places', { ...rods, stage: { fullSteps: 20, microsteps: 1 } }, {}, 'take at most 20 views'],
  ])('refuses %s', async (_, plan, options, words) => {
    expect(await refusal(() => rehearse(plan, options))).toContain(words);
  });
  test('workingBin: about as many cells across as voxels', () => {
    expect(workingBin(capsulePlan, 160)).toBe(3);
    expect(workingBin({ camera: { ...capsulePlan.camera, columns: 6000, rows: 4000 } }, 160)).toBe(32);
    expect(workingBin({ camera: { ...capsulePlan.camera, rows: 1 } }, 160), 'one row cannot be binned').toBe(1);
  });
});
