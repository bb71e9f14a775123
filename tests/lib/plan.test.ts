import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import Ajv2020 from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { airKerma, energyRange, insideSolid, planDose, planHeat, planSolids, planToScan, readPlan, readScan, scanGeometry, tubeOutput, tubeSpectrum, volumeOf, writePlan, writeScan, xrayPlan, type PlanForm, type XrayPlan } from '../../src/lib/index.ts';
import { mistakeIn, type Schema } from '../../src/lib/files/check-schema.ts';
import { planFile, scanFiles } from '../../scripts/make-capsule.ts';
import { outcome, refusal } from './support/bad-input.ts';

const schema = JSON.parse(readFileSync(new URL('../../src/lib/files/plan.schema.json', import.meta.url), 'utf8')) as Schema;
const read = (name: string) => readFileSync(new URL(`../../datasets/capsule/${name}`, import.meta.url), 'utf8');
const capsulePlan = planFile();
const forms: PlanForm[] = [
  { kind: 'ball', centre: [0, 0, 0], radius: 5 },
  { kind: 'ellipsoid', centre: [1, 2, 3], semiAxes: [2, 3, 4], axis: [1, 0, 1], turn: 30 },
  { kind: 'cylinder', from: [0, 0, -5], to: [0, 0, 5], radius: 3 },
  { kind: 'cone', from: [0, 0, 0], to: [0, 0, 9], radiusFrom: 4, radiusTo: 0 },
  { kind: 'rod', from: [0, 0, 0], to: [4, 0, 0], radius: 1 },
  { kind: 'prism', centre: [0, 0, 0], sides: 5, acrossFlats: 8, height: 4 },
  { kind: 'nut', centre: [0, 0, 0], acrossFlats: 18, height: 10, bore: 10.5 },
  { kind: 'spring', centre: [0, 0, 0], coilRadius: 4, wireRadius: 0.4, rise: 2, turns: 3 },
  { kind: 'difference', from: { kind: 'box', centre: [0, 0, 0], size: [10, 10, 10], turn: 45 }, without: [{ kind: 'half-space', point: [0, 0, 1], normal: [0, 0, -2] }] },
  { kind: 'union', parts: [{ kind: 'ball', centre: [9, 0, 0], radius: 1 }, { kind: 'intersection', parts: [{ kind: 'ball', centre: [0, 0, 0], radius: 2 }, { kind: 'ball', centre: [1, 0, 0], radius: 2 }] }] },
];
const solidsPlan: XrayPlan = { ...capsulePlan, object: { kind: 'solids', solids: forms.map((form, i) => ({ name: `part ${i}`, material: i % 2 ? 'aluminium' : undefined, form })) } };
const volumePlan: XrayPlan = { ...capsulePlan, object: { kind: 'volume', file: 'mine.nrrd', energy: 60 } };

/** A copy of a plan with one value set; a path of keys. undefined removes it. */
function changed(plan: XrayPlan, path: string, value: unknown): object {
  const copy = structuredClone(plan) as unknown as Record<string, unknown>;
  const keys = path.split('.');
  const last = keys.pop()!;
  const inner = keys.reduce((at, key) => (at[key] ??= {}) as Record<string, unknown>, copy);
  if (value === undefined) delete inner[last];
  else inner[last] = value;
  return copy;
}

describe('readPlan(text)', () => {
  test.each([['the capsule', capsulePlan], ['solids', solidsPlan], ['a volume', volumePlan]])('reads back what writePlan wrote: %s', (_, plan) => {
    expect(readPlan(writePlan(plan))).toEqual(JSON.parse(JSON.stringify(plan)));
  });
  test('needs no stage, no room, no filters and no limits of the tube', () => {
    const { stage: _, room: __, filters: ___, tube: { heatLimit: ____, coolingTime: _____, ...tube }, ...rest } = capsulePlan;
    const plan = xrayPlan(readPlan(JSON.stringify({ ...rest, tube })));
    expect([planHeat(plan), planDose(plan)]).toEqual([undefined, undefined]);
  });
  test.each<[string, string, unknown, string]>([
    ['a misspelt key', 'tube.kvp', 80, 'tube.kvp is not a key that is known: did you mean tube.kVp?'],
    ['a key that is like nothing', 'frobnicate', 1, 'frobnicate is not a key that is known: the keys of a plan file are format, version, title'],
    ['an energy outside the table', 'object', { kind: 'volume', file: 'own.nrrd', energy: 500 }, 'object.energy is 500 and should be a number from 5 to 150'],
    ['no tube', 'tube', undefined, 'tube is missing: it should be an object in braces'],
    ['a voltage beyond all tables', 'tube.kVp', 300, 'tube.kVp is 300 and should be a number from 15 to 120 (peak voltage, kV).'],
    ['an unknown anode', 'tube.anode', 'gold', 'tube.anode is "gold" and should be "tungsten" or "molybdenum"'],
    ['an unknown object', 'object.kind', 'egg', 'object.kind is "egg" and should be "capsule", "solids" or "volume".'],
    ['a screen before the axis', 'distances.sourceToDetector', 349, 'The screen lies before the axis: distances.sourceToDetector is 349 mm and should be at least distances.sourceToAxis, 350 mm.'],
    ['a limit without its cooling', 'tube.coolingTime', undefined, 'tube.coolingTime is missing'],
    ['an unknown filter', 'filters', [{ material: 'aluminum', thickness: 1 }], 'filters[0].material is "aluminum", which is not in the attenuation table: did you mean "aluminium"?'],
    ['an unknown barrier', 'room.barrier.material', 'hope', 'room.barrier.material is "hope", which is not in the attenuation table: it knows water'],
    ['half a microstep', 'stage.microsteps', 0.5, 'stage.microsteps is 0.5 and should be a whole number from 1'],
    ['an efficiency above 1', 'camera.quantumEfficiency', 1.2, 'camera.quantumEfficiency is 1.2 and should be a number above 0 and up to 1'],
    ['one view', 'views.count', 1, 'views.count is 1 and should be a whole number from 2'],
    ['a scan file', 'format', 'scan', 'format is "scan" and should be "plan"'],
  ])('refuses %s, naming the key', async (_, path, value, words) => {
    expect(await refusal(() => readPlan(JSON.stringify(changed(capsulePlan, path, value))))).toContain(words);
  });
  test.each<[string, unknown, string]>([
    ['a form of no kind', { radius: 1 }, 'object.solids[0].form.kind is missing'],
    ['a form of an unknown kind', { kind: 'blob' }, 'object.solids[0].form.kind is "blob" and should be "ball"'],
    ['a hole wider than its nut', { kind: 'nut', centre: [0, 0, 0], acrossFlats: 8, height: 4, bore: 9 }, 'object.solids[0].form cannot be: the hole of a nut is 9 mm wide'],
    ['a rod without length, deep inside', { kind: 'union', parts: [{ kind: 'ball', centre: [0, 0, 0], radius: 1 }, { kind: 'rod', from: [0, 0, 0], to: [0, 0, 0], radius: 1 }] }, 'object.solids[0].form.parts[1] cannot be: the length of a rod is 0'],
    ['a point of two numbers', { kind: 'ball', centre: [0, 0], radius: 1 }, 'object.solids[0].form.centre has 2 entries and should have 3'],
  ])('refuses %s', async (_, form, words) => {
    expect(await refusal(() => readPlan(JSON.stringify({ ...capsulePlan, object: { kind: 'solids', solids: [{ form }] } })))).toContain(words);
  });
  test('refuses forms within forms without end, in a sentence', async () => {
    const deep = `${'{"kind":"union","parts":['.repeat(50_000)}${']}'.repeat(50_000)}`;
    expect(await refusal(() => readPlan(JSON.stringify(changed(solidsPlan, 'object.solids', [])).replace('[]', `[{"form":${deep}}]`)))).toContain('more than 100 deep');
  });
  test.each([['nothing', '', 'it is empty'], ['half a file', '{"format": "plan"', 'it ends in the middle']])('refuses %s', async (_, text, words) => {
    expect(await refusal(() => readPlan(text))).toContain(words);
  });
});

describe('plan.schema.json', () => {
  const validate = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false }).compile(schema);
  test('has the energies of the attenuation table', () => {
    const { oneOf } = schema.properties!.object as unknown as { oneOf: readonly { properties: { energy?: { minimum: number; maximum: number } } }[] };
    const energy = oneOf.find(({ properties }) => 'energy' in properties)!.properties.energy!;
    expect([energy.minimum, energy.maximum]).toEqual([energyRange.from, energyRange.to]);
  });
  test('accepts what readPlan accepts', () => {
    for (const plan of [capsulePlan, solidsPlan, volumePlan]) expect(validate(JSON.parse(JSON.stringify(plan))), JSON.stringify(validate.errors)).toBe(true);
  });
  test('and the reader agree on a plan with any of its values changed to anything', async () => {
    const paths = Object.entries(capsulePlan).flatMap(([key, value]) => [key, ...(typeof value === 'object' && !Array.isArray(value) ? Object.keys(value).map((inner) => `${key}.${inner}`) : [])]);
    let refused = 0;
    await fc.assert(fc.asyncProperty(fc.constantFrom(...paths), fc.oneof(fc.constant(undefined), fc.double(), fc.integer(), fc.string({ maxLength: 5 }), fc.boolean(), fc.constant(null), fc.constant([])), async (path, value) => {
      const text = JSON.stringify(changed(capsulePlan, path, value));
      const says = mistakeIn(JSON.parse(text), schema);
      expect(says === undefined, `${path}: ${says}`).toBe(validate(JSON.parse(text)));
      if (await outcome(() => readPlan(text)) === 'refused') refused++;
    }), { seed: 20250316, numRuns: 600 });
    expect(refused).toBeGreaterThan(100);
  });
});

describe('planSolids(plan)', () => {
  test('simple forms have their volumes', () => {
    const [theBall, ellipsoid, cylinder, cone, rod] = planSolids(solidsPlan)!.map(volumeOf);
    expect(theBall).toBeCloseTo((4 / 3) * Math.PI * 125, 9);
    expect(ellipsoid).toBeCloseTo((4 / 3) * Math.PI * 24, 9);
    expect(cylinder).toBeCloseTo(Math.PI * 90, 9);
    expect(cone).toBeCloseTo(Math.PI * 48, 9);
    expect(rod).toBeCloseTo(Math.PI * (4 + 4 / 3), 9);
  });
  test('a box turned by 45° reaches to its corner, and what lies above the plane is cut away from it', () => {
    const box = planSolids(solidsPlan)![8];
    expect(insideSolid(box, [6.9, 0, 0]), 'near the corner of a turned box').toBe(true);
    expect(insideSolid(box, [4.8, 4.8, 0]), 'where the corner of an unturned box would be').toBe(false);
    expect(insideSolid(box, [0, 0, 0.9])).toBe(true);
    expect(insideSolid(box, [0, 0, 1.1])).toBe(false);
  });
  test('carries name, material and density over', () => {
    const solids = planSolids(solidsPlan)!;
    expect(solids[1]).toMatchObject({ name: 'part 1', material: 'aluminium', kind: 'ellipsoid', turn: Math.PI / 6 });
    expect(planSolids(volumePlan)).toBeUndefined();
    expect(planSolids(capsulePlan)!.map(({ name }) => name)).toContain('marble');
  });
});

describe('planToScan(plan)', () => {
  test('datasets/capsule/plan.json is what scripts/make-capsule.ts makes, and has the geometry of scan.json', () => {
    const plan = readPlan(read('plan.json'));
    expect(plan).toEqual(capsulePlan);
    const scan = planToScan(plan, { frames: scanFiles().get('scan.json')!.frames });
    expect(scan).toEqual(readScan(read('scan.json')));
    expect(scanGeometry({ ...scan, ...planToScan({ ...plan, views: { count: 90 } }) })).toEqual(scanGeometry(readScan(read('scan-90.json'))));
  });
  test('makes a scan file that can be written and read', () => {
    const scan = planToScan(capsulePlan);
    expect(readScan(writeScan(scan))).toEqual(scan);
    expect(scan.frames).toMatchObject({ files: expect.arrayContaining(['views/view-001.png', 'views/view-045.png']) });
  });
  test('with the angles that the stage reaches: each within half a microstep of those wanted, and some off', () => {
    const { angles } = planToScan(capsulePlan, { reached: true });
    const errors = (angles as { list: number[] }).list.map((angle, k) => Math.abs(angle - 8 * k));
    expect(Math.max(...errors)).toBeCloseTo(0.05, 9);
  });
});

test('planHeat: the rest of the plan, or the least that the tube needs', () => {
  expect(planHeat(capsulePlan)!.rest).toBe(0);
  expect(planHeat({ ...capsulePlan, exposure: { seconds: 1, rest: 9 } })).toMatchObject({ rest: 9, total: 45 + 44 * 9 });
  const hot = planHeat({ ...capsulePlan, tube: { ...capsulePlan.tube, mA: 2 } })!;
  expect(hot.rest).toBeGreaterThan(30);
  expect(hot.share).toBeLessThanOrEqual(0.5);
});

test('planDose: mAs of all views and of the minutes besides; a measured output goes before a calculated one', () => {
  const dose = planDose(capsulePlan)!;
  expect(dose.assumptions.join(' ')).toContain('A year has 10 scans and 30 mAs besides');
  const calculated = airKerma(tubeSpectrum({ anode: 'tungsten', kVp: 100, filters: capsulePlan.filters! }));
  expect(dose.assumptions[0]).toContain(`likely ${Number(calculated.toPrecision(3))}: calculated`);
  expect(dose.inOpenBeam.high, 'no lower than the customary figure makes it').toBeGreaterThanOrEqual(0.999 * (tubeOutput(100).high * 0.05 * 45 * (1000 / 4000) ** 2 * 1.74));
  expect(planDose({ ...capsulePlan, tube: { ...capsulePlan.tube, output: 50 } })!.assumptions[0]).toContain('likely 50: measured');
  expect(dose.perYear.likely / dose.perScan.likely).toBeCloseTo(10 + 30 / (0.05 * 45), 9);
});
