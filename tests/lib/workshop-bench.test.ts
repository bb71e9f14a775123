import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readPlan, writePlan, xrayPlan, type LampPlan, type XrayPlan } from '../../src/lib/index.ts';
import { begun, edited, formFields, mistakeIn, newForms, newSolid, redone, undone, usual, valueAt, withValue, type NewForm } from '../../src/workshop/bench/model.ts';
import { askedFor, plans } from '../../src/workshop/bench/plans.ts';
import { asked, groups } from '../../src/workshop/bench/questions.ts';
import { sideView } from '../../src/workshop/bench/side-view.ts';
import { inLight, inXrays } from '../../src/workshop/bench/switch-light.ts';

const read = (name: string) => readPlan(readFileSync(new URL(`../../datasets/${name}/plan.json`, import.meta.url), 'utf8'));
const plan = xrayPlan(read('capsule'));
const light = read('light-practice') as LampPlan;

describe('withValue', () => {
  test('puts a value deep into a plan and leaves the old plan as it was', () => {
    const hotter = withValue(plan, ['tube', 'kVp'], 90);
    expect([hotter.tube.kVp, plan.tube.kVp]).toEqual([90, 100]);
    expect(hotter.camera).toBe(plan.camera);
  });
  test('undefined takes a key away, of a list its entry', () => {
    expect('heatLimit' in withValue(plan, ['tube', 'heatLimit'], undefined).tube).toBe(false);
    expect(withValue(plan, ['room', 'barrier'], undefined).room).toEqual({ ...plan.room, barrier: undefined });
    const two = withValue(plan, ['filters'], [usual.filter, { material: 'copper', thickness: 0.1 }]);
    expect(withValue(two, ['filters', 0], undefined).filters).toEqual([{ material: 'copper', thickness: 0.1 }]);
  });
  test('makes what is missing on the way, and valueAt reads it', () => {
    const { stage: _, ...bare } = plan;
    const geared = withValue(bare, ['stage', 'gear', 'motor'], 3);
    expect(valueAt(geared, ['stage', 'gear', 'motor'])).toBe(3);
    expect(valueAt(bare, ['stage', 'gear', 'motor'])).toBeUndefined();
  });
});

describe('the history of a bench', () => {
  test('undo and redo go back and forth; an edit that goes on with the last is undone with it', () => {
    const at = (kVp: number) => withValue(plan, ['tube', 'kVp'], kVp);
    let bench = edited(edited(edited(begun(plan), at(8)), at(80), true), withValue(at(80), ['views', 'count'], 90));
    bench = undone(bench);
    expect([bench.plan.tube?.kVp, bench.plan.views.count]).toEqual([80, 45]);
    bench = undone(bench);
    expect(bench.plan).toBe(plan);
    expect(undone(bench)).toBe(bench);
    bench = redone(redone(bench));
    expect([bench.plan.tube?.kVp, bench.plan.views.count]).toEqual([80, 90]);
    expect(redone(bench)).toBe(bench);
  });
  test('keeps a hundred plans, not more', () => {
    let bench = begun(plan);
    for (let k = 0; k < 150; k++) bench = edited(bench, withValue(plan, ['views', 'count'], 10 + k));
    expect(bench.past).toHaveLength(100);
  });
});

describe('what the bench asks', () => {
  test('is every value of a plan but the object, the filters and the barrier, each once', () => {
    const asked = Object.values(groups).flatMap(({ asks }) => asks.map(({ path }) => path.join('.'))).sort();
    const full: XrayPlan = { ...plan, tube: { anodeAngle: 12, output: 50, ...plan.tube }, screen: { blur: 0.3, ...plan.screen }, camera: { sensorPixel: 0.006, ...plan.camera }, exposure: { frames: 1, rest: 0, ...plan.exposure } };
    const { object: _, filters: __, title: ___, format: ____, version: _____, ...rest } = full;
    const leaves = (at: object, path: readonly string[]): string[] => Object.entries(at).flatMap(([key, value]) => (typeof value === 'object' ? leaves(value, [...path, key]) : [[...path, key].join('.')]));
    const all = leaves({ ...rest, lamp: light.lamp, room: { ...rest.room, barrier: {} } }, []).sort();
    expect(asked, 'the anode angle is the one that only the file knows').toEqual(all.filter((path) => path !== 'tube.anodeAngle'));
  });
  test.each(Object.keys(newForms) as NewForm[])('a new %s is a solid that a plan file takes, and every size of it has a field', (kind) => {
    const with1 = withValue(plan, ['object'], { kind: 'solids', solids: [newSolid(kind)] });
    expect(mistakeIn(with1)).toBeUndefined();
    expect(readPlan(writePlan(with1))).toEqual(with1);
    expect(['kind', ...formFields[kind].map(({ key }) => key)].sort()).toEqual(Object.keys(newForms[kind]).sort());
  });
  test.each<[string, readonly [string, string], unknown, string]>([
    ['a screen before the axis', ['distances', 'sourceToDetector'], 200, 'The screen lies before the axis'],
    ['a voltage beyond the tables', ['tube', 'kVp'], 300, 'tube.kVp'],
    ['views that are no number', ['views', 'count'], 4.5, 'views.count'],
  ])('%s is a mistake in one sentence', (_, path, value, sentence) => {
    expect(mistakeIn(withValue(plan, path, value))).toContain(sentence);
  });
});

describe('visible light', () => {
  test('asks for the lamp and not for what only X-rays need, in words of its own', () => {
    const camera = asked(groups.camera, light).asks;
    expect(camera.map(({ path }) => path[1])).toEqual(['pitch', 'columns', 'rows', 'fNumber', 'readNoise', 'fullWell', 'bits']);
    expect(asked(groups.distances, light).asks.map(({ label }) => label)).toEqual(['From the lens to the axis', 'From the lens to the plane in focus']);
    expect(asked(groups.camera, plan)).toBe(groups.camera);
  });
  test.each(plans)('$id can be switched to the other light and back: each is a plan, and what fits both stays', ({ plan: ready }) => {
    const [lit, rayed] = [inLight(ready, light), inXrays(ready, plan)];
    expect([mistakeIn(ready), mistakeIn(lit), mistakeIn(rayed), mistakeIn(inXrays(lit, plan)), mistakeIn(inLight(rayed, light))]).toEqual(Array(5).fill(undefined));
    for (const other of [lit, rayed]) expect(other).toMatchObject({ title: ready.title, views: ready.views, exposure: ready.exposure, stage: ready.stage });
    expect(readPlan(writePlan(lit))).toEqual(JSON.parse(JSON.stringify(lit)));
    expect(lit.lamp.electrons * lit.exposure.seconds / lit.camera.fullWell).toBeCloseTo(0.7, 2);
  });
  test('a hole stays a hole, and shapes stay', () => {
    const block = plans.find(({ id }) => id === 'block')!.plan;
    const solids = (of: typeof block) => (of.object.kind === 'solids' ? of.object.solids : []);
    const lit = inLight(block, light);
    expect(solids(lit).map(({ form }) => form)).toEqual(solids(block).map(({ form }) => form));
    expect(solids(lit).map(({ attenuation, material }) => [attenuation, material])).toEqual([[usual.attenuation, undefined], [usual.attenuation, undefined], [undefined, undefined]]);
    expect(solids(inXrays(lit, plan))[2]).not.toHaveProperty('material');
  });
  test.each<[string, string | undefined]>([['?plan=light', 'light'], ['?plan=capsule-90', 'capsule-90'], ['?plan=egg', undefined], ['?plan=', undefined], ['', undefined]])('the address %s asks for %s', (search, id) => {
    expect(askedFor(search)?.id).toBe(id);
  });
});

describe('sideView', () => {
  const object = { radius: 27, bottom: -35, top: 35 };
  test('the penumbra of an edge at the axis is spot · (M − 1) wide on the screen', () => {
    const { penumbra, unsharp, screen } = sideView(plan, object);
    const { focalSpot } = plan.tube, { sourceToAxis: R, sourceToDetector: S } = plan.distances;
    expect(unsharp).toBeCloseTo(focalSpot * (S / R - 1), 12);
    const [edge, high, low] = penumbra!;
    expect(edge).toEqual([R, 35]);
    expect(high[1] - low[1]).toBeCloseTo(unsharp, 9);
    expect(high[0]).toBe(screen.x);
    expect((high[1] + low[1]) / 2, 'about the shadow of the edge').toBeCloseTo((35 * S) / R, 9);
  });
  test('with a lamp the lens stands where the source would, and the plane in focus may go through the axis', () => {
    const { axis, screen, source, unsharp } = sideView(light, object);
    expect([axis, screen.x, source.half, unsharp]).toEqual([1393, 1393, 4.55 / 2, 0]);
  });
  test('everything fits on the paper', () => {
    const { box, screen, field } = sideView(plan, object);
    for (const [x, z] of [[0, 0], [screen.x, screen.half], [screen.x, -screen.half], [plan.distances.sourceToAxis, object.top], [plan.distances.sourceToAxis + field.radius, field.top]]) {
      expect(x).toBeGreaterThan(box.x);
      expect(x).toBeLessThan(box.x + box.width);
      expect(Math.abs(z)).toBeLessThan(box.height / 2);
    }
  });
});
