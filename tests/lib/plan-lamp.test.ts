/** Plans in visible light: what a file may say, and what is made of it. */
import { readFileSync } from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { controllerListing, planSolids, planToScan, readPlan, resumeAt, runSheet, runTimes, scanGeometry, stepTableCsv, writePlan, xrayPlan, type LampPlan } from '../../src/lib/index.ts';
import { planFile } from '../../scripts/make-capsule.ts';
import { refusal } from './support/bad-input.ts';

const at = (name: string) => new URL(name, import.meta.url);
const file = readFileSync(at('../../datasets/light-practice/plan.json'), 'utf8');
const light = readPlan(file) as LampPlan;
const without = (plan: object, ...keys: string[]) => Object.fromEntries(Object.entries(plan).filter(([key]) => !keys.includes(key)));
const solid = { kind: 'ball', centre: [0, 0, 0], radius: 5 };
const of = (...solids: object[]) => ({ ...light, object: { kind: 'solids', solids } });

describe('datasets/light-practice', () => {
  test('is as writePlan writes it, and its read-me says that it is invented', () => {
    expect(writePlan(light)).toBe(file);
    expect(readFileSync(at('../../datasets/light-practice/README.md'), 'utf8')).toContain('Invented');
  });
  test('has the middle of the body at a line integral of 2, and the lens where water makes it stand: 1.333 · 1000 + 60 mm', () => {
    const [body] = planSolids(light)!;
    expect(body).toMatchObject({ name: 'cylinder', attenuation: 0.04, radius: 25 });
    expect(body.attenuation! * 50).toBe(2);
    expect(light.distances.sourceToAxis).toBe(1.333 * 1000 + 60);
    expect(light.lamp.opening).toBeCloseTo(50 / light.camera.fNumber!, 2);
    expect(light.lamp.electrons * light.exposure.seconds, '70 % of a full pixel').toBe(0.7 * light.camera.fullWell);
  });
});

describe('readPlan(text) with a lamp', () => {
  const capsule = planFile();
  test.each<[string, object, string]>([
    ['a lamp and a tube', { ...capsule, lamp: light.lamp }, 'The plan has a lamp and tube, screen, filters, room too: a plan is for visible light or for X-rays'],
    ['a lamp and a room', { ...light, room: { distance: 1000 } }, 'The plan has a lamp and room too'],
    ['neither', without(light, 'lamp'), 'tube is missing: it should be an object in braces (the X-ray tube; for visible light there is a lamp'],
    ['a solid of acrylic', of({ name: 'bead', material: 'acrylic', form: solid }), 'object.solids[0] (bead) is of acrylic and has no attenuation'],
    ['a solid of acrylic with attenuation', of({ attenuation: 0.1, form: solid }, { material: 'acrylic', attenuation: 0.1, form: solid }), 'object.solids[1] has material beside attenuation'],
    ['a density', of({ attenuation: 0.1, density: 1, form: solid }), 'object.solids[0] has density beside attenuation'],
    ['an attenuation of 0', of({ attenuation: 0, form: solid }), 'object.solids[0].attenuation is 0 and should be a number above 0'],
    ['the capsule', { ...light, object: { kind: 'capsule' } }, 'object.kind is "capsule", which has no attenuation in visible light'],
    ['a volume of a material', { ...light, object: { kind: 'volume', file: 'a.nrrd', material: 'water' } }, 'object.material says how X-rays see the volume'],
    ['a lens without an opening', { ...light, lamp: { electrons: 1000 } }, 'lamp.opening is missing'],
    ['infrared', { ...light, lamp: { ...light.lamp, wavelength: 1064 } }, 'lamp.wavelength is 1064 and should be a number from 380 to 780'],
    ['what the electrons have in them already', { ...light, camera: { ...light.camera, quantumEfficiency: 0.5 } }, 'camera.quantumEfficiency does not belong here'],
    ['a plane before the axis', { ...light, distances: { sourceToAxis: 900, sourceToDetector: 800 } }, 'The plane in focus lies before the axis'],
    ['an attenuation beside a tube', { ...capsule, object: { kind: 'solids', solids: [{ attenuation: 0.1, form: solid }] } }, 'object.solids[0].attenuation is for a plan with a lamp'],
    ['a tube without an f-number', { ...capsule, camera: without(capsule.camera, 'fNumber') }, 'camera.fNumber is missing: it should be a number from 0.5 to 64'],
  ])('refuses %s in one sentence', async (_, plan, words) => {
    expect(await refusal(() => readPlan(JSON.stringify(plan)))).toContain(words);
  });
  test('takes empty solids, and a volume of values as they stand', () => {
    expect(readPlan(JSON.stringify(of({ attenuation: 0.1, form: solid }, { name: 'hole', form: { ...solid, radius: 1 } })))).toHaveProperty('lamp');
    expect(readPlan(JSON.stringify({ ...light, object: { kind: 'volume', file: 'a.nrrd' } }))).toHaveProperty('object.file', 'a.nrrd');
  });
  test('plan.schema.json accepts it, and refuses a lamp with a tube and neither of them', () => {
    const validate = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false }).compile(JSON.parse(readFileSync(at('../../src/lib/files/plan.schema.json'), 'utf8')));
    expect(validate(JSON.parse(file)), JSON.stringify(validate.errors)).toBe(true);
    for (const plan of [{ ...capsule, lamp: light.lamp }, without(light, 'lamp'), { ...light, camera: { ...light.camera, quantumEfficiency: 0.5 } }]) expect(validate(JSON.parse(JSON.stringify(plan)))).toBe(false);
  });
  test('xrayPlan says what it needs', async () => {
    expect(xrayPlan(capsule)).toBe(capsule);
    expect(await refusal(() => xrayPlan(light))).toContain('a lamp in the place of a tube');
  });
});

test('planToScan: the camera stands on the side of the lens, so its photographs are mirrored; angles and distances stay', () => {
  const scan = planToScan(light);
  expect(scan.detector).toMatchObject({ pitch: 0.2, columns: 320, rows: 280, mirrored: true });
  expect(scanGeometry(scan)).toMatchObject({ beam: 'cone', sourceToAxis: 1393, sourceToDetector: 1393, axisOffset: 0 });
  expect(planToScan(planFile()).detector.mirrored).toBeUndefined();
});

describe('runSheet(plan) with a lamp', () => {
  const sheet = runSheet(light);
  const words = JSON.stringify(sheet);
  test('warns of lamp, mains, glass and liquid, and speaks of no tube', () => {
    for (const word of ['visible light alone', 'mains', 'no laser', 'crack', 'lens capped', 'The room is dark', 'Nothing but the object moves', 'Adult who answers']) expect(words).toContain(word);
    expect(words).not.toMatch(/tube|interlock|dosimeter|radiation|Survey|kV|\bsafe/i);
  });
  test('nothing rests for heat: an exposure, a second to store it, turning, and five for the liquid', () => {
    const times = runTimes(light);
    expect(times).toMatchObject({ inLight: true, power: 0, rest: 1, lead: 0, warning: 0, settle: 5, seconds: 0.25 });
    const views = sheet.frames.filter(({ kind }) => kind === 'view');
    expect(views).toHaveLength(100);
    const steps = (200 * 16) / 100 * times.stepTime;
    expect(views[1].begins - views[0].begins).toBeCloseTo(0.25 + 1 + steps + 5, 6);
    expect(views.every(({ cool, heat }) => cool === undefined && heat === undefined)).toBe(true);
    expect(sheet.peakHeat).toBeUndefined();
    expect(runTimes({ ...light, exposure: { seconds: 0.25, rest: 3 } }).rest).toBe(3);
  });
  test('going on after an upset asks for no cooling', () => {
    const says = resumeAt(sheet, 7).join(' ');
    expect(says).not.toMatch(/cools|tube/);
    expect(says).toContain(`from there ${6 * 32} microsteps forwards`);
  });
  test('the table of steps is there as for any plan', () => {
    expect(stepTableCsv(light).split('\n')).toHaveLength(102);
  });
});

test('controllerListing: the same program, the shutter open for the exposure alone, and other warnings', () => {
  const code = (listing: string) => listing.split('\n').map((line) => line.replace(/\s*\/\/.*/, '')).filter(Boolean);
  const [lamp, tube] = [controllerListing(light), controllerListing(planFile())];
  expect(lamp).toContain('const uint32_t LEAD = 0;');
  expect(lamp).toContain('const uint32_t EXPOSE = 250;');
  expect(lamp).toContain('No pin of this program may be connected to an X-ray tube');
  expect(lamp.replace('connected to an X-ray tube or its supply', '').replace('a lamp and no tube', '')).not.toMatch(/tube|high voltage/i);
  expect(code(lamp).filter((line) => !line.startsWith('const ') && !line.includes('positionOf'))).toEqual(code(tube).filter((line) => !line.startsWith('const ') && !line.includes('positionOf')));
});
