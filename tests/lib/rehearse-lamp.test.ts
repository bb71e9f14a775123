/** A scan in visible light: what follows from its plan, and what a rehearsal makes of it. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { derivePlan, enoughFor, fdk, lineIntegrals, scanGeometry, scanPhotoOptions, enoughGrid, planBlur, planObject, planToScan, readPlan, rehearse, voxelizeSolids, planSolids, type ConeBeam, type Derived, type LampPlan } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const light = readPlan(readFileSync(new URL('../../datasets/light-practice/plan.json', import.meta.url), 'utf8')) as LampPlan;
const found = (derived: Derived, key: string) => derived.find((each) => each.key === key)!;
/** A dyed cylinder alone, in few pixels: quick. */
const cylinder: LampPlan = {
  ...light, object: { kind: 'solids', solids: [{ name: 'cylinder', attenuation: 0.04, form: { kind: 'cylinder', from: [0, 0, -8], to: [0, 0, 8], radius: 25 } }] },
  camera: { ...light.camera, pitch: 0.7, columns: 90, rows: 32 }, views: { count: 120 }, stage: undefined,
};

describe('derivePlan(plan) with a lamp', () => {
  const derived = derivePlan(light);
  test('has light, slice, stage, time and care, and nothing of a tube or a room', () => {
    expect(derived.map(({ key }) => key)).toEqual(expect.arrayContaining(['magnification', 'field', 'blur', 'openingAtRim', 'arc', 'openElectrons', 'openGrey', 'transmission', 'behindElectrons', 'lineNoise', 'sliceNoise', 'cnr.bead', 'time', 'lampCare', 'steps']));
    expect(derived.filter(({ group, key }) => group === 'tube' || group === 'room' || ['openXrays', 'quantumSink', 'heat', 'bestMagnification'].includes(key))).toEqual([]);
    expect(new Set(derived.map(({ key }) => key)).size).toBe(derived.length);
    for (const { sentence, rule, label, key } of derived) {
      expect(rule.length, key).toBeGreaterThan(10);
      expect(sentence, key).toMatch(/^[A-Z].*\.$/);
      expect(`${sentence} ${rule} ${label}`, key).not.toMatch(/\bsafe|NaN|Infinity|undefined|\btube|screen|kV\b/i);
    }
    expect(derived.filter(({ mark }) => mark === 'bad')).toEqual([]);
    expect(found(derived, 'lampCare').sentence).toContain('never a laser');
  });
  test('by hand: electrons, Beer and Lambert’s law, the noise of a line integral, the opening at the rim', () => {
    const only = derivePlan(cylinder);
    expect(found(only, 'openElectrons').value).toBe(224_000 * 0.25);
    const thickest = found(only, 'transmission').value!;
    // Rays miss the axis by up to half of one of 41 columns, and rise by 8 mm in 1,393 at most.
    expect(-Math.log(thickest)).toBeGreaterThan(1.999);
    expect(-Math.log(thickest)).toBeLessThan(2.001);
    const electrons = 56_000 * thickest;
    const step = 80_000 / (2 ** 14 - 1);
    expect(found(only, 'lineNoise').value).toBeCloseTo(Math.sqrt(electrons + 10 ** 2 + step ** 2 / 12) / electrons, 9);
    expect(found(only, 'openingAtRim').value! / (4.55 * planObject(cylinder).radius / 1393)).toBeCloseTo(1, 12);
    expect(found(only, 'time').value).toBe(30);
    expect(found(derivePlan({ ...cylinder, exposure: { seconds: 0.25, rest: 2 } }), 'time').value).toBe(30 + 2 * 119);
  });
  test('the opening blurs as a focal spot does where the plane in focus lies behind the object', () => {
    const behind = { ...light, distances: { sourceToAxis: 1393, sourceToDetector: 1453 } };
    const { budget, screen } = planBlur(behind);
    expect(budget.parts.spot).toBeCloseTo((4.55 * 60) / 1453, 12);
    expect(screen).toBe(0);
    expect(found(derivePlan(behind), 'blur').parts).toEqual({ opening: budget.parts.spot, pitch: budget.parts.pitch });
  });
  test.each<[string, LampPlan, string, string]>([
    ['a lens within the object', { ...light, distances: { sourceToAxis: 20, sourceToDetector: 20 } }, 'field', 'it would strike the camera as it turns'],
    ['a picture too narrow', { ...light, camera: { ...light.camera, columns: 100 } }, 'field', 'take a shorter lens, or stand farther away'],
    ['too much light', { ...light, exposure: { seconds: 1 } }, 'openGrey', 'The open light fills a pixel'],
    ['ink', { ...light, object: { kind: 'solids', solids: [{ name: 'ink', attenuation: 3, form: { kind: 'ball', centre: [0, 0, 0], radius: 20 } }] } }, 'transmission', 'dilute the dye'],
    ['nothing but liquid', { ...light, object: { kind: 'solids', solids: [{ form: { kind: 'ball', centre: [0, 0, 0], radius: 20 } }] } }, 'object', 'all empty space'],
    ['a volume that is not at hand', { ...light, object: { kind: 'volume', file: 'mine.nrrd' } }, 'object', 'mine.nrrd'],
  ])('%s: one sentence, marked bad', (_, plan, key, words) => {
    const derived = derivePlan(plan);
    expect(found(derived, key)).toMatchObject({ mark: 'bad' });
    expect(found(derived, key).sentence).toContain(words);
    for (const { value, sentence } of derived) {
      if (value !== undefined) expect(Number.isFinite(value), sentence).toBe(true);
      expect(sentence).not.toMatch(/NaN|Infinity|undefined/);
    }
  });
});

describe('rehearse(plan) with a lamp', () => {
  test.each<[string, LampPlan]>([
    ['focused on the axis', cylinder],
    ['focused behind the object, in 8 bits', { ...cylinder, distances: { sourceToAxis: 1393, sourceToDetector: 1453 }, camera: { ...cylinder.camera, pitch: 0.73, bits: 8 } }],
  ])('noise and attenuation of a dyed cylinder are those predicted, %s', (_, plan) => {
    const { figures, volume, report } = rehearse(plan, { size: 80, bin: 1 });
    const { noise, parts: [body], resolution } = figures!;
    expect(report.warnings).toEqual([]);
    expect(Math.abs(noise.measured / noise.predicted - 1), `noise ${noise.measured} of ${noise.predicted}`).toBeLessThan(0.1);
    expect(body).toMatchObject({ name: 'cylinder', against: 'liquid' });
    expect(Math.abs(body.value.measured! / 0.04 - 1), `attenuation ${body.value.measured}`).toBeLessThan(0.02);
    expect(Math.abs(resolution.measured.width / resolution.predicted.width - 1)).toBeLessThan(0.1);
    expect(volume.data.every(Number.isFinite)).toBe(true);
  });
  test('photographs are as the camera sees them from the side of the lens: what lies at +x is left of the middle in the first view', () => {
    const bead: LampPlan = { ...cylinder, object: { kind: 'solids', solids: [{ name: 'bead', attenuation: 0.2, form: { kind: 'ball', centre: [15, 0, 0], radius: 5 } }] } };
    const [{ photograph: { data, width, height } }] = rehearse(bead, { size: 48, bin: 1, measure: false }).photographs;
    const row = data.subarray((height / 2) * width, (height / 2 + 1) * width);
    // The lens at +y looks towards −y, with z up: its right hand is −x. 15 mm are 15/0.7 pixels.
    expect(Math.abs(row.indexOf(Math.min(...row)) - ((width - 1) / 2 - 15 / 0.7))).toBeLessThan(3);
  });
  test('such photographs, by the scan file of the plan, put a bead where it is, and not where a mirror would', () => {
    const place = [15, 6, 1];
    const bead: LampPlan = { ...cylinder, views: { count: 60, direction: 'clockwise' }, object: { kind: 'solids', solids: [{ name: 'bead', attenuation: 0.2, form: { kind: 'ball', centre: [15, 6, 1], radius: 4 } }] } };
    const views = rehearse(bead, { size: 48, bin: 1, measure: false, keep: 60 }).photographs.map(({ photograph }) => photograph);
    const level = (value: number) => ({ ...views[0], data: views[0].data.map(() => value) });
    const black = (5 * bead.camera.readNoise) / bead.camera.fullWell;
    const scan = planToScan(bead);
    const { projections } = lineIntegrals({ views, dark: [level(black)], flat: [level(black + 0.7)] }, { ...scanPhotoOptions(scan), encoding: 'linear' });
    const size = 51, depth = 11, voxelSize = 1;
    const { data } = fdk(projections, scanGeometry(scan) as ConeBeam, { window: 'ramp', grid: { width: size, height: size, depth, voxelSize, centre: [0, 0, 0] } });
    const sum = [0, 0, 0, 0];
    data.forEach((value, i) => {
      if (value < 0.1) return;
      [(i % size) - 25, 25 - (Math.floor(i / size) % size), Math.floor(i / size / size) - 5].forEach((at, axis) => { sum[axis] += at; });
      sum[3]++;
    });
    expect(sum[3]).toBeGreaterThan(100);
    place.forEach((at, axis) => expect(Math.abs(sum[axis] / sum[3] - at), 'xyz'[axis]).toBeLessThan(0.3));
  });
  test('four times the light, half the noise', () => {
    const [one, four] = [cylinder, { ...cylinder, exposure: { seconds: 0.25, frames: 4 } }].map((plan) => rehearse(plan, { size: 48, bin: 1 }).figures!.noise.measured);
    expect(four / one).toBeGreaterThan(0.45);
    expect(four / one).toBeLessThan(0.55);
  });
  test('a volume of attenuation gives what its solids give', () => {
    const volume = voxelizeSolids([...planSolids(cylinder)!], { width: 64, height: 64, depth: 24, voxelSize: 0.82 });
    const plan: LampPlan = { ...cylinder, object: { kind: 'volume', file: 'c.nrrd' } };
    expect(found(derivePlan(plan, { volume }), 'cnr.volume').parts!.value).toBeCloseTo(1, 9); // of its own values
    const { figures, volume: { data, width, depth } } = rehearse(plan, { size: 40, volume });
    expect(figures!.parts[0]).toMatchObject({ name: 'volume', against: 'liquid' });
    const middle = [...data.subarray(Math.floor(depth / 2) * width * width, (Math.floor(depth / 2) + 1) * width * width)].filter((_, i) => Math.hypot((i % width) - width / 2, Math.floor(i / width) - width / 2) < 10);
    expect(Math.abs(middle.reduce((sum, value) => sum + value, 0) / middle.length / 0.04 - 1)).toBeLessThan(0.02);
  });
});

describe('enoughFor(wish, plan) with a lamp', () => {
  const grid = { ...enoughGrid(light, planObject(light)), views: [100, 200, 400, 800], seconds: [0.1, 0.25], frames: [1, 4] };
  test('finds a scan that derivePlan agrees with, without heat', () => {
    const answer = enoughFor({ detail: 0.8, contrast: 0.02, cnr: 5 }, light, { grid });
    if (!answer.enough) throw new Error(answer.sentence);
    const derived = derivePlan(answer.plan, { bin: answer.bin });
    expect(found(derived, 'resolution').value).toBeLessThanOrEqual(0.8);
    expect(found(derived, 'arc').value).toBeLessThanOrEqual(0.8);
    expect(0.02 / found(derived, 'sliceNoise').value!).toBeGreaterThanOrEqual(5 * (1 - 1e-9));
    expect(answer.time).toBeCloseTo(answer.views * answer.seconds * answer.frames, 9);
    expect(answer.sentence).not.toMatch(/tube/);
  });
  test('says what is in the way in words of light', async () => {
    expect(enoughFor({ detail: 0.05, contrast: 0.02, cnr: 5 }, light, { grid })).toMatchObject({ enough: false, limit: 'blur', sentence: expect.stringContaining('a smaller opening of the lens or finer pixels') });
    expect(await refusal(() => enoughFor({ detail: 1, contrast: { material: 'water' }, cnr: 5 }, light))).toContain('in a plan with a lamp it should be a number of 1/mm');
  });
});
