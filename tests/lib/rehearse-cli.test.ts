import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { readNrrd, readPng, voxelizeSolids, planSolids, writeNrrd, writePlan, type XrayPlan } from '../../src/lib/index.ts';
import { planFile } from '../../scripts/make-capsule.ts';

const folder = mkdtempSync(join(tmpdir(), 'rehearse-'));
afterAll(() => rmSync(folder, { recursive: true }));
let [out, err] = ['', ''];
beforeEach(() => {
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += text), true));
});
afterEach(() => vi.restoreAllMocks());

const ball: XrayPlan = {
  ...planFile(), title: 'A ball',
  object: { kind: 'solids', solids: [{ name: 'ball', material: 'polystyrene', form: { kind: 'ball', centre: [0, 0, 0], radius: 6 } }] },
  camera: { ...planFile().camera, columns: 72, rows: 64 }, views: { count: 24 },
};
let number = 0;
function planPath(plan: unknown = ball): string {
  const path = join(folder, `${number++}.json`);
  writeFileSync(path, typeof plan === 'string' ? plan : JSON.stringify(plan));
  return path;
}

describe('slices rehearse', () => {
  test('--json prints one object: figures derived, predicted and measured, and the doses with their caution', async () => {
    const path = planPath();
    expect(await main(['rehearse', path, '--size', '48', '--json'])).toBe(0);
    expect(out.trim().split('\n')).toHaveLength(1);
    const told = JSON.parse(out);
    expect(told).toMatchObject({ command: 'rehearse', plan: path, title: 'A ball', window: 'ramp', seed: 1, working: { bin: 2, columns: 36, rows: 32, views: 24, width: 48 }, warnings: [] });
    expect(told.derived.map(({ key }: { key: string }) => key)).toEqual(expect.arrayContaining(['magnification', 'transmission', 'time']));
    expect(told.contrast[0]).toMatchObject({ name: 'ball', against: 'air', value: { predicted: expect.any(Number), measured: expect.any(Number) } });
    for (const measured of [told.noise.measured / told.noise.predicted, told.resolution.measured.width / told.resolution.predicted.width]) expect(Math.abs(measured - 1)).toBeLessThan(0.15);
    expect(told.time.total).toBe(24);
    expect(told.heat.highest).toBeGreaterThan(0);
    expect(told.dose.perScan.low).toBeLessThan(told.dose.perScan.high);
    expect(told.dose.caution).toContain('none of its figures says that anything is safe');
    expect(err).toBe('');
  });
  test('a plan in visible light: no heat and no dose, but its care', async () => {
    const path = fileURLToPath(new URL('../../datasets/light-practice/plan.json', import.meta.url));
    expect(await main(['rehearse', path, '--size', '64', '--json'])).toBe(0);
    const told = JSON.parse(out);
    expect(told).toMatchObject({ command: 'rehearse', title: 'Dyed cylinder with a hole and a bead, in visible light', working: { bin: 5, columns: 64, rows: 56, views: 100, width: 64 }, time: { total: 25 }, warnings: [] });
    expect(told).not.toHaveProperty('heat');
    expect(told).not.toHaveProperty('dose');
    expect(told.care).toContain('never a laser');
    const [cylinder, bead] = told.contrast;
    expect([cylinder.against, bead.against]).toEqual(['liquid', 'cylinder']);
    expect(Math.abs(cylinder.value.measured / 0.04 - 1)).toBeLessThan(0.02);
    expect(Math.abs(bead.value.measured / 0.08 - 1)).toBeLessThan(0.02);
    expect(Math.abs(told.noise.measured / told.noise.predicted - 1)).toBeLessThan(0.1);
  });
  test('--out writes the volume, photographs and figures; without --json it says them in words', async () => {
    const to = join(folder, 'new/rehearsal');
    expect(await main(['rehearse', planPath(), '--size=32', '--out', to, '--window', 'hann', '--seed', '7'])).toBe(0);
    const volume = await readNrrd(new Uint8Array(readFileSync(join(to, 'rehearsal.nrrd'))));
    expect([volume.width, volume.height]).toEqual([32, 32]);
    const [picture] = [await readPng(new Uint8Array(readFileSync(join(to, 'view-001.png'))))];
    expect(picture).toMatchObject({ width: 36, height: 32 });
    expect(JSON.parse(readFileSync(join(to, 'figures.json'), 'utf8'))).toMatchObject({ seed: 7, window: 'hann' });
    for (const words of ['What follows from the plan', 'Rehearsed', 'predicted', 'measured', 'safe: measure it', 'rehearsal.nrrd']) expect(out).toContain(words);
  });
  test('an object that is a volume beside the plan', async () => {
    const solids = [...planSolids(ball)!];
    const volume = voxelizeSolids(solids, { width: 40, height: 40, depth: 40, voxelSize: 0.35 }, { keV: 60 });
    writeFileSync(join(folder, 'ball.nrrd'), writeNrrd(volume));
    expect(await main(['rehearse', planPath({ ...ball, object: { kind: 'volume', file: 'ball.nrrd', energy: 60, material: 'polystyrene' } }), '--size', '32', '--json'])).toBe(0);
    expect(JSON.parse(out).contrast[0].name).toBe('polystyrene');
  });
  test.each<[string, () => string[], string]>([
    ['no plan', () => [], 'The plan file is missing.'],
    ['a plan that is not there', () => [join(folder, 'nowhere.json')], 'nowhere.json is not there'],
    ['half a plan', () => [planPath('{"format": "plan"')], 'it ends in the middle'],
    ['a misspelt key', () => [planPath({ ...ball, cameras: 1 })], 'cameras is not a key that is known'],
    ['a scan that cannot be', () => [planPath({ ...ball, distances: { sourceToAxis: 5, sourceToDetector: 500 } })], 'move the source away'],
    ['too few views', () => [planPath({ ...ball, views: { count: 4 } })], 'at least 8 are needed'],
    ['a volume that is missing', () => [planPath({ ...ball, object: { kind: 'volume', file: 'gone.nrrd' } })], 'gone.nrrd is not there'],
    ['a volume of another kind', () => [planPath({ ...ball, object: { kind: 'volume', file: 'ball.tif' } })], 'is read from NRRD'],
    ['an unknown window', () => [planPath(), '--window', 'square'], '--window is square: it should be ramp, shepp-logan'],
    ['a size that is no number', () => [planPath(), '--size', 'large'], '--size is large: it should be a whole number from 16 to 512'],
    ['a folder that is a file', () => [planPath(), '--out', planPath()], 'cannot be written'],
  ])('%s: one sentence, exit 2', async (_, words, sentence) => {
    expect(await main(['rehearse', ...words(), '--json'])).toBe(2);
    expect(JSON.parse(out).error).toContain(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });
  test('writes nothing where it refuses', async () => {
    const to = join(folder, 'nothing');
    expect(await main(['rehearse', planPath({ ...ball, views: { count: 4 } }), '--out', to])).toBe(2);
    expect(existsSync(to)).toBe(false);
  });
  test('the plan of the demo is read as it stands', () => {
    expect(JSON.parse(readFileSync(new URL('../../datasets/capsule/plan.json', import.meta.url), 'utf8'))).toEqual(JSON.parse(writePlan(planFile())));
  });
});
