import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { ball, coneBeam, disc, equalAngles, fanBeam, gaussian, projectPhantom, projectSolids, readScan, writeNpy, type Phantom } from '../../src/lib/index.ts';
import { keptSteps, projectScene, scene, seeded } from './support/ellipsoid-scene.ts';

const folder = mkdtempSync(join(tmpdir(), 'slices-align-'));
afterAll(() => rmSync(folder, { recursive: true }));

let [out, err] = ['', ''];
beforeEach(() => {
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += text), true));
});
afterEach(() => vi.restoreAllMocks());

const plate: Phantom = [disc(1, 0, 34, 0.02), disc(-14, -9, 7, 0.05), disc(9, 13, 6, -0.02), disc(14, -12, 4, 0.06), gaussian(-8, 16, 4, 0.03)];
const distances = { sourceToAxis: 300, sourceToDetector: 450 };
let number = 0;

/** A scan of the plate in a fan: 30 steps of 12°, of which `kept` were taken; the axis falls 3.2 mm off the middle. */
function fanScan(kept: readonly number[], changes: Record<string, unknown> = {}, { clockwise = false, mirrored = false } = {}): string {
  const path = join(folder, String(number++));
  mkdirSync(path);
  const angles = kept.map((k) => (clockwise ? -1 : 1) * equalAngles(30, 2 * Math.PI)[k]!);
  const { data } = projectPhantom(plate, fanBeam({ angles, detectors: 120, pitch: 1.1, axisOffset: 3.2, ...distances }), { cell: 'average' });
  const stored = mirrored ? data.map((_, i) => data[i - 2 * (i % 120) + 119]!) : data;
  writeFileSync(join(path, 'sinogram.npy'), writeNpy([kept.length, 120], stored));
  writeFileSync(join(path, 'scan.json'), JSON.stringify({
    format: 'scan', version: 1, title: 'A plate', beam: { shape: 'fan', ...distances }, detector: { pitch: 1.1, columns: 120, ...(mirrored ? { mirrored } : {}) },
    angles: { start: 24, step: 12, count: kept.length }, turn: clockwise ? 'clockwise' : 'counterclockwise', frames: { kind: 'line-integrals', file: 'sinogram.npy' }, ...changes,
  }));
  return join(path, 'scan.json');
}
const lostThree = [0, 1, 2, 3, 4, 6, 7, 8, 9, 10, 11, 12, 13, 15, 16, 17, 18, 19, 20, 21, 22, 23, 24, 26, 27, 28, 29];

async function json(...words: string[]) {
  out = '';
  expect(await main([...words, '--json']), err).toBe(0);
  expect(out.trim().split('\n'), '--json prints one object and nothing else').toHaveLength(1);
  return JSON.parse(out);
}

describe('slices align', () => {
  test('prints the axis and the frames that are missing, in the terms of the scan file', async () => {
    const result = await json('align', fanScan(lostThree));
    expect(result).toMatchObject({ command: 'align', beam: 'fan', views: 27, axis: { how: 'opposite views', tilt: 0 }, frames: { steps: 30, step: 12, lost: [5, 14, 25], of: lostThree } });
    expect(Math.abs(result.axis.offset - 3.2), 'mm').toBeLessThan(0.11);
    expect(result.axis.pixels).toBeCloseTo(result.axis.offset / 1.1, 4);
    expect(result.angles).toEqual(lostThree.map((k) => 24 + 12 * k));
    expect(result.frames.sure).toBeGreaterThan(0.9);
    expect(err).toBe('');
  });

  test('a mirrored detector and a scan that runs clockwise come out as the file counts them', async () => {
    const mirrored = await json('align', fanScan(lostThree, {}, { mirrored: true }));
    expect(Math.abs(mirrored.axis.offset + 3.2), 'on the frames as they are stored').toBeLessThan(0.11);
    expect(mirrored.frames.lost).toEqual([5, 14, 25]);
    const clockwise = await json('align', fanScan(lostThree, {}, { clockwise: true }));
    expect(Math.abs(clockwise.axis.offset - 3.2)).toBeLessThan(0.11);
    expect(clockwise.angles).toEqual(lostThree.map((k) => 24 + 12 * k));
  });

  test('in words; and --out writes the scan file with what was found, for another folder too', async () => {
    const path = fanScan(lostThree);
    const aligned = join(folder, 'elsewhere', 'aligned.scan.json');
    expect(await main(['align', path, '--out', aligned]), err).toBe(0);
    expect(out).toContain('27 of 30 steps of 12°; missing: 5, 14, 25 (counted from 0)');
    expect(out).toMatch(/cells to higher columns from the middle; from opposite views/);
    const scan = readScan(readFileSync(aligned, 'utf8'));
    expect(scan.angles).toEqual({ list: lostThree.map((k) => 24 + 12 * k) });
    expect(Math.abs(scan.detector.axisOffset! - 3.2)).toBeLessThan(0.11);
    expect(await main(['reconstruct', aligned, '--out', join(folder, 'slice.npy')]), err).toBe(0);
    out = '';
    expect(await json('align', aligned), 'and what it wrote is right by itself').toMatchObject({ frames: { asListed: true, lost: [5, 14, 25] } });
  });

  test('angles listed wrongly are noticed', async () => {
    const wrong = lostThree.map((k) => 12 * (k === 13 ? 14 : k));
    const result = await json('align', fanScan(lostThree, { angles: { list: wrong } }));
    expect(result.frames).toMatchObject({ asListed: false, lost: [5, 14, 25] });
    expect(result.warnings.join()).toContain('do not fit the angles that the scan file lists');
  });

  test('--steps says how many steps there were, --fix where a frame stands', async () => {
    const path = fanScan(lostThree, { angles: { list: lostThree.map((_, i) => 13 * i + (i % 2)) } });
    expect((await json('align', path, '--steps', '30')).frames.lost).toEqual([5, 14, 25]);
    const fixed = await json('align', path, '--steps=30', '--fix', '0=2,13=18');
    expect(fixed.frames.of[0]).toBe(2);
    expect(fixed.frames.of[13]).toBe(18);
    expect(fixed.frames.fixed).toEqual([[0, 2], [13, 18]]);
  });

  test('a cone beam from NPY: axis and tilt in mm and degrees', async () => {
    const path = join(folder, String(number++));
    mkdirSync(path);
    const kept = keptSteps(24, 2, seeded(1));
    const beam = { beam: 'cone', detectors: 80, rows: 48, pitch: 2.2, axisOffset: -4.4, rowOffset: 0, tilt: (1.2 * Math.PI) / 180, ...distances } as const;
    const { data } = projectScene(scene, { ...beam, angles: kept.map((k) => (k * Math.PI) / 12) });
    writeFileSync(join(path, 'frames.npy'), writeNpy([kept.length, 48, 80], data));
    writeFileSync(join(path, 'scan.json'), JSON.stringify({
      format: 'scan', version: 1, beam: { shape: 'cone', ...distances }, detector: { pitch: 2.2, columns: 80, rows: 48 }, angles: { step: 15, count: kept.length },
      frames: { kind: 'line-integrals', file: 'frames.npy' },
    }));
    const result = await json('align', join(path, 'scan.json'));
    expect(Math.abs(result.axis.offset + 4.4)).toBeLessThan(0.22);
    expect(Math.abs(result.axis.tilt - 1.2), 'degrees').toBeLessThan(0.1);
    expect(result.frames.of).toEqual(kept.map((k) => k - kept[0]!));
  });

  describe('--bead', () => {
    /** A ball 25 mm from the axis, 18 mm above the source's plane; the file says 460 mm to the detector, where it stood at 450. */
    const beadScan = (changes: Record<string, unknown> = {}, mirrored = false) => {
      const path = join(folder, String(number++));
      mkdirSync(path);
      const beam = coneBeam({ views: 24, detectors: 120, rows: 80, pitch: 0.9, axisOffset: 3.6, rowOffset: -4.5, tilt: (0.6 * Math.PI) / 180, ...distances });
      const { data } = projectSolids([{ ...ball([25, 0, 18], 2), name: 'ball', attenuation: 0.5 }], beam, { samples: 3 });
      const stored = mirrored ? data.map((_, i) => data[i - 2 * (i % 120) + 119]!) : data;
      writeFileSync(join(path, 'frames.npy'), writeNpy([24, 80, 120], stored));
      writeFileSync(join(path, 'scan.json'), JSON.stringify({
        format: 'scan', version: 1, beam: { shape: 'cone', sourceToAxis: 300, sourceToDetector: 460 }, detector: { pitch: 0.9, columns: 120, rows: 80, rowOffset: -4.5, ...(mirrored ? { mirrored } : {}) },
        angles: { step: 15, count: 24 }, frames: { kind: 'line-integrals', file: 'frames.npy' }, ...changes,
      }));
      return join(path, 'scan.json');
    };

    test('tells magnification, axis and tilt, and --out writes them into the scan file', async () => {
      const path = beadScan();
      const out = join(dirname(path), 'aligned.json');
      const { bead } = await json('align', path, '--bead', '25', '--out', out);
      expect(bead.magnification / 1.5, 'a ball that is not a point draws a path a little off that of its middle').toBeCloseTo(1, 2);
      expect(bead.sourceToDetector).toBeCloseTo(300 * bead.magnification, 2);
      expect(Math.abs(bead.offset - 3.6), 'mm').toBeLessThan(0.1);
      expect(bead.pixels).toBeCloseTo(bead.offset / 0.9, 4);
      expect(Math.abs(bead.tilt - 0.6), 'degrees').toBeLessThan(0.1);
      expect(Math.abs(bead.byFlatness - 300), 'mm; rough').toBeLessThan(15);
      const written = readScan(readFileSync(out, 'utf8'));
      expect(written.beam).toMatchObject({ sourceToAxis: 300, sourceToDetector: bead.sourceToDetector });
      expect(written.detector).toMatchObject({ axisOffset: bead.offset, tilt: bead.tilt });
    });

    test('a mirrored detector comes out as its frames are stored', async () => {
      const { bead } = await json('align', beadScan({}, true), '--bead', '25');
      expect(bead.offset).toBeCloseTo(-3.6, 0);
      expect(Math.abs(bead.tilt + 0.6)).toBeLessThan(0.1);
    });

    test('a source that stands elsewhere than the scan file says is warned of', async () => {
      const { warnings } = await json('align', beadScan({ beam: { shape: 'cone', sourceToAxis: 380, sourceToDetector: 460 } }), '--bead', '25');
      expect(warnings.join()).toContain('measure that distance again');
    });

    test.each<[string, string[], string]>([
      ['a distance that is none', ['--bead', 'far'], '--bead is far'],
      ['with missing frames', ['--bead', '25', '--steps', '30'], 'without --bead'],
      ['a bead outside the source', ['--bead', '400'], 'nearer than the bead'],
    ])('refuses %s', async (_, words, sentence) => {
      expect(await main(['align', beadScan(), ...words])).toBe(2);
      expect(err).toContain(sentence);
    });

    test('refuses a fan beam', async () => {
      expect(await main(['align', fanScan(lostThree), '--bead', '25'])).toBe(2);
      expect(err).toContain('the path of a bead is seen in a cone beam');
    });
  });

  test.each<[string, (path: string) => string[], string]>([
    ['a list of frames that is none', (path) => ['align', path, '--fix', '3:4'], '--fix has "3:4"'],
    ['a number of steps that is none', (path) => ['align', path, '--steps', 'many'], '--steps is many'],
    ['fewer steps than frames', (path) => ['align', path, '--steps', '20'], 'only 20 steps'],
    ['frames that are fixed against each other', (path) => ['align', path, '--fix', '3=9,4=9'], 'leaves no room'],
    ['to write over the scan file', (path) => ['align', path, '--out', path], 'is what the result is made from'],
    ['a scan file that is not there', (path) => ['align', `${path}x`], 'is not there'],
  ])('refuses %s, in one sentence', async (_, words, sentence) => {
    expect(await main(words(fanScan(lostThree)))).toBe(2);
    expect(err).toContain(sentence);
    expect(err.trim().split('\n')).toHaveLength(1);
  });

  test('part of a turn: the axis alone, by its sharpness, and --fix has nothing to fix', async () => {
    const path = fanScan(Array.from({ length: 18 }, (_, k) => k));
    const result = await json('align', path);
    expect(result.axis.how).toBe('sharpness');
    expect(result.frames).toBeUndefined();
    expect(await main(['align', path, '--fix', '3=4'])).toBe(2);
    expect(err).toContain('say how many there were with --steps');
  });
});
