import { spawn } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { encode } from 'fast-png';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { parse } from '../../src/command-line/command.ts';
import { reconstruct } from '../../src/command-line/reconstruct.ts';
import { disc, fbp, parallelBeam, projectPhantom, readNpy, readTiff, scanGeometry, writeDelimited, writeNpy, writePng, writeScan, writeTiff, type FlatBeam, type Scan } from '../../src/lib/index.ts';

const root = new URL('../../', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'slices-'));
afterAll(() => rmSync(folder, { recursive: true }));

let [out, err] = ['', ''];
beforeEach(() => {
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += text), true));
});
afterEach(() => vi.restoreAllMocks());

/** The command line as its own process, as a reader runs it. */
function slices(words: string[], { command = process.execPath, entry = 'src/cli.ts', cwd = root, during = (_: ReturnType<typeof spawn>) => {} } = {}) {
  return new Promise<{ code: number | null; stdout: string; stderr: string }>((resolve) => {
    const child = spawn(command, [join(root, entry), ...words], { cwd });
    let [stdout, stderr] = ['', ''];
    child.stdout.on('data', (data) => (stdout += data));
    child.stderr.on('data', (data) => (stderr += data));
    child.on('close', (code) => resolve({ code, stdout, stderr }));
    during(child);
  });
}

/** A disc of 0.02/mm, off centre, and the scan file that describes it. */
const beam = parallelBeam({ views: 60, detectors: 64, pitch: 1 });
const { data } = projectPhantom([disc(6, -4, 14, 0.02)], beam, { cell: 'average' });
const scan: Scan = {
  format: 'scan', version: 1, title: 'A disc', beam: { shape: 'parallel' }, detector: { pitch: 1, columns: 64 },
  angles: { step: 3, count: 60 }, frames: { kind: 'line-integrals', file: 'sinogram.npy' }, reconstruction: { method: 'fbp', size: 64, pixelSize: 1 },
};
let number = 0;
function scanFolder(changes: Record<string, unknown> = {}, files: Record<string, Uint8Array | string> = { 'sinogram.npy': writeNpy([60, 64], data) }): string {
  const path = join(folder, String(number++));
  mkdirSync(path);
  writeFileSync(join(path, 'scan.json'), JSON.stringify({ ...scan, ...changes }));
  for (const [name, content] of Object.entries(files)) writeFileSync(join(path, name), content);
  return path;
}

describe('slices reconstruct', () => {
  test('writes the very slice that the library makes, as NPY and as TIFF', async () => {
    const path = scanFolder();
    const expected = fbp({ views: 60, detectors: 64, data }, scanGeometry(scan) as FlatBeam, { window: 'ramp', grid: { width: 64, height: 64, pixelSize: 1 } });
    expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'new/folder/slice.npy')])).toBe(0);
    const npy = readNpy(readFileSync(join(path, 'new/folder/slice.npy')));
    expect(npy).toEqual({ shape: [64, 64], dtype: '<f4', data: expected.data });
    expect(await main(['reconstruct', join(path, 'scan.json'), `--out=${join(path, 'slice.tif')}`, '--json'])).toBe(0);
    expect((await readTiff(new Uint8Array(readFileSync(join(path, 'slice.tif'))))).pages).toEqual([expected.data]);
    expect(npy.data[(32 + 4) * 64 + 38], 'the middle of the disc, 1/mm').toBeCloseTo(0.02, 3);
    expect(out).toContain('64 × 64 pixels of 1 mm');
    expect(out).toContain('parallel beam, 60 views of 64 cells over 180° (half)');
  });

  test('--json prints one object and nothing else', async () => {
    const path = scanFolder();
    expect(await main(['reconstruct', join(path, 'scan.json'), '--json', '--out', join(path, 'slice.npy')])).toBe(0);
    expect(out.trim().split('\n')).toHaveLength(1);
    expect(JSON.parse(out)).toMatchObject({ command: 'reconstruct', engine: 'plain', width: 64, height: 64, pixelSize: 1, views: 60, detectors: 64, window: 'ramp', cutoff: 1, coverage: { kind: 'half', span: expect.closeTo(180, 6) }, warnings: [], notes: [] });
    expect(JSON.parse(out).greatest).toBeGreaterThan(0.019);
    expect(err).toBe('');
  });

  test('the same sinogram as TIFF, text or turned on its side gives the same slice', async () => {
    const rows = { rows: 60, columns: 64, data };
    const turnedData = Float32Array.from({ length: data.length }, (_, i) => data[(i % 60) * 64 + Math.floor(i / 60)]);
    const plain = scanFolder();
    await main(['reconstruct', join(plain, 'scan.json'), '--out', join(plain, 'slice.npy')]);
    const expected = readFileSync(join(plain, 'slice.npy'));
    for (const [name, content] of [['s.tif', writeTiff(64, 60, [data])], ['s.csv', writeDelimited(rows)], ['s.npy', writeNpy([64, 60], turnedData)]] as const) {
      const path = scanFolder({ frames: { kind: 'line-integrals', file: name } }, { [name]: content });
      err = '';
      expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy')]), err).toBe(0);
      expect(readFileSync(join(path, 'slice.npy')).equals(expected), name).toBe(true);
      if (name === 's.npy') expect(err).toMatch(/^Note: .*s\.npy has a view in each column, so it was turned to fit the scan's 60 angles\.\n$/);
      else expect(err).toBe('');
    }
  });

  test('a window typed as a formula gives what the window of that name gives', async () => {
    const slice = async (reconstruction: object) => {
      const path = scanFolder({ reconstruction: { method: 'fbp', size: 64, pixelSize: 1, ...reconstruction } });
      expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy')]), err).toBe(0);
      return readNpy(readFileSync(join(path, 'slice.npy'))).data;
    };
    const hann = await slice({ window: 'hann' });
    const typed = await slice({ window: 'formula', formula: '(1 + cos(pi f / fc)) / 2' });
    expect(Math.max(...hann.map((value, i) => Math.abs(value - typed[i])))).toBeLessThan(1e-8);
  });

  test('--engine simd makes the slice that --engine plain makes, to 1e-5, and says who made it', async () => {
    const path = scanFolder();
    const made = async (engine: string) => {
      out = '';
      expect(await main(['reconstruct', join(path, 'scan.json'), '--engine', engine, '--json', '--out', join(path, `${engine}.npy`)]), err).toBe(0);
      return { ...JSON.parse(out), data: readNpy(readFileSync(join(path, `${engine}.npy`))).data };
    };
    const plain = await made('plain'), simd = await made('simd');
    expect([plain.engine, simd.engine]).toEqual(['plain', 'simd']);
    expect(simd.doneBy).toMatch(/WebAssembly/);
    expect(Math.max(...simd.data.map((value: number, k: number) => Math.abs(value - plain.data[k])))).toBeLessThan(1e-5 * plain.greatest);
  });

  test.each(['sirt', 'os-sart', 'cgls', 'tv'])('--method %s tells what was chosen for it and how the misfit fell', async (method) => {
    const path = scanFolder();
    expect(await main(['reconstruct', join(path, 'scan.json'), '--method', method, '--iterations', '5', '--json', '--out', join(path, 'slice.npy')]), err).toBe(0);
    const said = JSON.parse(out);
    expect(said).toMatchObject({ method, iterations: 5, stopped: 'iterations', nonNegative: method !== 'cgls', weights: 'equal' });
    expect(said.residuals).toHaveLength(6);
    expect(said.residual).toBeLessThan(0.5 * said.residuals[0]);
    expect('window' in said, 'there is no filter to tell of').toBe(false);
  });

  test('a square sinogram that lies on its side is taken as it lies, with a note', async () => {
    const square = parallelBeam({ views: 64, detectors: 64, pitch: 1 });
    const upright = projectPhantom([disc(6, -4, 14, 0.02)], square).data;
    const lying = upright.map((_, i) => upright[(i % 64) * 64 + Math.floor(i / 64)]);
    for (const [values, note] of [[upright, /^$/], [lying, /^Note: .* looks as if its views lay in columns/]] as const) {
      const path = scanFolder({ angles: { step: 180 / 64, count: 64 } }, { 'sinogram.npy': writeNpy([64, 64], values) });
      err = '';
      expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy')])).toBe(0);
      expect(err).toMatch(note);
    }
  });

  test('views that leave rays out are reconstructed, with a warning', async () => {
    const path = scanFolder({ angles: { step: 1, count: 60 } });
    expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy'), '--json'])).toBe(0);
    expect(err).toMatch(/^Warning: the views leave rays out \(they span 60° and 180° are needed\)/);
    expect(JSON.parse(out).warnings).toHaveLength(1);
  });
});

describe('slices refuses, with exit 2 and one sentence', async () => {
  const sinogram = writeNpy([60, 64], data);
  const put = (at: number, value: number) => writeNpy([60, 64], data.slice().fill(value, at, at + 1));
  const png = await writePng(64, 60, data.map((value) => value * 200));
  const tif = writeTiff(64, 60, [data]);
  const colour = encode({ width: 64, height: 60, channels: 3, data: Uint8Array.from({ length: 64 * 60 * 3 }, (_, i) => (i * 37) % 256) });
  const huge = png.slice();
  new DataView(huge.buffer, huge.byteOffset).setUint32(16, 20000);
  new DataView(huge.buffer, huge.byteOffset).setUint32(20, 20000);
  const text = writeDelimited({ rows: 60, columns: 64, data });
  const object = new TextEncoder().encode("\u0001\u0000v\u0000{'descr': '|O', 'fortran_order': False, 'shape': (60, 64), }".padEnd(121) + '\n');
  const asObject = Uint8Array.from([0x93, ...new TextEncoder().encode('NUMPY'), ...object, 1, 2, 3]);
  const asShape = sinogram.slice();
  asShape.set(new TextEncoder().encode('61'), new TextDecoder('latin1').decode(sinogram).indexOf('60, 64'));

  const inFile = (name: string, content: Uint8Array | string) => () => scanFolder({ frames: { kind: 'line-integrals', file: name } }, { [name]: content });
  const inScan = (changes: Record<string, unknown>) => () => scanFolder(changes);
  const cone = { beam: { shape: 'cone', sourceToAxis: 400, sourceToDetector: 500 }, detector: { pitch: 1, columns: 64, rows: 8 } };
  const cases: [what: string, make: () => string, words: string][] = [
    ['an empty file', inFile('s.npy', new Uint8Array(0)), 's.npy: This file is empty'],
    ['an NPY cut short', inFile('s.npy', sinogram.slice(0, 5000)), 's.npy: This NPY file is cut short, or its shape is wrong: shape (60, 64)'],
    ['a PNG cut short', inFile('s.png', png.slice(0, 500)), 's.png: This PNG is cut short'],
    ['a TIFF cut short', inFile('s.tif', tif.slice(0, 5000)), 's.tif: This TIFF is cut short'],
    ['an NPY of objects', inFile('s.npy', asObject), 'Python objects'],
    ['an NPY whose shape does not match its length', inFile('s.npy', asShape), "shape (61, 64) and dtype '<f4' take 15,616 bytes, and 15,360 follow"],
    ['NaN', inFile('s.npy', put(70, NaN)), 'has a value that is not a number (NaN) in row 2, column 7'],
    ['infinity', inFile('s.npy', put(0, Infinity)), 'has a value that is infinite'],
    ['a sinogram of one view', inFile('s.npy', writeNpy([1, 64], data.slice(0, 64))), 'has one view'],
    ['a CSV with a ragged row', inFile('s.csv', text.replace(/,[^,\n]*\n/, '\n')), 's.csv: Line 2 has 64 cells and line 1 has 63'],
    ['a CSV with a word in it', inFile('s.csv', text.replace('\n', '\n1.5x,')), 's.csv: Line 2'],
    ['a colour photograph', inFile('s.png', colour), 's.png: This PNG is a colour picture'],
    ['a picture of 20,000²', inFile('s.png', huge), 's.png: A PNG of 20,000 × 20,000 pixels would take 1.6 GB of memory'],
    ['a slice of 20,000²', inScan({ reconstruction: { method: 'fbp', size: 20000, pixelSize: 1 } }), '20,000 × 20,000 pixels (reconstruction.size) would take 1.6 GB'],
    ['an unknown key', inScan({ detektor: {} }), 'scan.json: detektor is not a key that is known: did you mean detector?'],
    ['a sinogram that is not there', inScan({ frames: { kind: 'line-integrals', file: 'lost.npy' } }), 'lost.npy is not there'],
    ['a folder for a sinogram', inScan({ frames: { kind: 'line-integrals', file: '.' } }), 'is a folder'],
    ['a device for a sinogram', inScan({ frames: { kind: 'line-integrals', file: '/dev/zero' } }), '/dev/zero is a device or a pipe, not a file'],
    ['a detector before the axis', inScan({ beam: { shape: 'fan', sourceToAxis: 500, sourceToDetector: 400 } }), 'scan.json: The detector lies before the axis'],
    ['angles that do not match the rows', inScan({ angles: { step: 3, count: 61 } }), 'sinogram.npy has 60 rows and the scan has 61 angles'],
    ['cells that do not match the columns', inScan({ detector: { pitch: 1, columns: 65 } }), 'sinogram.npy has 64 columns and detector.columns is 65'],
    ['a formula that is none', inScan({ reconstruction: { method: 'fbp', window: 'formula', formula: 'cos(' } }), 'scan.json: '],
    ['photographs of a fan', inScan({ beam: { shape: 'fan', sourceToAxis: 400, sourceToDetector: 500 }, angles: { list: [0, 90] }, frames: { kind: 'photographs', files: ['a.png', 'b.png'], encoding: 'srgb' } }), 'a volume is made of a cone beam'],
    ['photographs that are not there', inScan({ ...cone, angles: { step: 45, count: 8 }, frames: { kind: 'photographs', files: [...'abcdefgh'].map((name) => `${name}.png`), encoding: 'srgb' } }), 'a.png is not there'],
    ['two photographs', inScan({ ...cone, angles: { list: [0, 90] }, frames: { kind: 'photographs', files: ['a.png', 'b.png'], encoding: 'srgb' } }), 'There are 2 photographs of views'],
    ['a sinogram for a cone beam', inScan({ ...cone, frames: { kind: 'line-integrals', file: 'sinogram.npy' } }), 'sinogram.npy holds 60 × 64 numbers, and the scan file asks for 60 × 8 × 64: view, row from the bottom, column'],
    ['two rows of cells', inScan({ detector: { pitch: 1, columns: 64, rows: 2 } }), 'one row of cells makes a slice'],
  ];
  test.each(cases)('%s', async (_, make, words) => {
    const path = make();
    writeFileSync(join(path, 'slice.npy'), 'made before');
    const before = readdirSync(path);
    for (const json of [[], ['--json']]) {
      [out, err] = ['', ''];
      expect(await main(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy'), ...json]), err || out).toBe(2);
      expect(err.trim().split('\n'), 'one sentence').toHaveLength(1);
      expect(err).toMatch(/^slices: .*[.?]\n$/);
      expect(err).toContain(words);
      if (json.length) expect(JSON.parse(out)).toEqual({ command: 'reconstruct', error: err.trim().slice('slices: '.length) });
      else expect(out).toBe('');
    }
    expect(readFileSync(join(path, 'slice.npy'), 'utf8'), 'what was there before').toBe('made before');
    expect(readdirSync(path), 'nothing is left behind').toEqual(before);
  });

  test.each<[string, (path: string) => string[], string]>([
    ['no command', () => [], ''],
    ['an unknown command', () => ['reconstrukt'], 'reconstrukt is not a command: verify, reconstruct, join, align, compare, rehearse are'],
    ['no scan file', () => ['reconstruct', '--out', 'a.npy'], 'The scan file is missing'],
    ['two scan files', (path) => ['reconstruct', join(path, 'scan.json'), 'b.json', '--out', 'a.npy'], 'b.json is one file too many'],
    ['no --out', (path) => ['reconstruct', join(path, 'scan.json')], '--out is missing'],
    ['--out without its value', (path) => ['reconstruct', join(path, 'scan.json'), '--out', '--json'], '--out needs a value'],
    ['an unknown option', (path) => ['reconstruct', join(path, 'scan.json'), '--outt', 'a.npy'], '--outt is not an option'],
    ['a scan file that is not there', (path) => ['reconstruct', join(path, 'skan.json'), '--out', 'a.npy'], 'skan.json is not there'],
    ['another kind of result', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.jpg'], 'must end in .npy or .tif'],
    ['NRRD', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.nrrd'], 'NRRD is for volumes'],
    ['an engine that does not exist', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--engine', 'steam'], 'steam is not an engine: plain, simd, gpu are, and auto takes the fastest here'],
    ['a method that does not exist', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--method', 'magic'], 'magic is not a method: fbp, sirt, os-sart, cgls, tv are'],
    ['iterations of filtered backprojection', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--iterations', '5'], '--iterations belongs to an iterative method'],
    ['no iterations at all', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--method', 'sirt', '--iterations', '0'], '--iterations is 0; it has to be a whole number from 1'],
    ['a strength that is no number', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--method', 'tv', '--strength', 'much'], '--strength is much; it has to be a number from 0'],
    ['a strength without total variation', (path) => ['reconstruct', join(path, 'scan.json'), '--out', 'a.npy', '--method', 'sirt', '--strength', '1'], '--strength belongs to --method tv'],
    ['the sinogram as result', (path) => ['reconstruct', join(path, 'scan.json'), '--out', join(path, '../', path.split('/').at(-1)!, 'sinogram.npy')], 'is what the result is made from'],
    ['a folder as result', (path) => { mkdirSync(join(path, 'x.npy')); return ['reconstruct', join(path, 'scan.json'), '--out', join(path, 'x.npy')]; }, 'is a folder'],
    ['a file as folder of the result', (path) => ['reconstruct', join(path, 'scan.json'), '--out', join(path, 'sinogram.npy/x.npy')], 'is a file where a folder should be'],
    ['pictures of two sizes', (path) => { writeFileSync(join(path, 'b.csv'), '1,2\n3,4'); return ['compare', join(path, 'sinogram.npy'), join(path, 'b.csv')]; }, 'has 64 × 60 pixels and'],
    ['a stack to compare', (path) => { writeFileSync(join(path, 'b.npy'), writeNpy([2, 2, 2], [1, 2, 3, 4, 5, 6, 7, 8])); return ['compare', join(path, 'b.npy'), join(path, 'b.npy')]; }, 'has 2 pages'],
  ])('%s', async (_, words, sentence) => {
    const path = scanFolder();
    expect(await main(words(path))).toBe(2);
    expect(err).toContain(sentence);
    if (sentence) expect(err.trim().split('\n')).toHaveLength(1);
  });
});

describe('slices compare', () => {
  const pair = async (a: number[], b: number[], width: number) => {
    const path = join(folder, String(number++));
    mkdirSync(path);
    writeFileSync(join(path, 'a.npy'), writeNpy([a.length / width, width], a));
    writeFileSync(join(path, 'b.npy'), writeNpy([b.length / width, width], b));
    out = '';
    expect(await main(['compare', join(path, 'a.npy'), join(path, 'b.npy'), '--json']), err).toBe(0);
    return JSON.parse(out);
  };
  const ramp = Array.from({ length: 256 }, (_, i) => 16 * Math.floor(i / 16));

  test('figures of pair D of the check values (N1 to N5: scikit-image 0.19.3), with the range of the reference', async () => {
    const found = await pair(ramp.map((value) => value + 8), ramp, 16);
    expect(found).toMatchObject({ width: 16, height: 16, range: 240, rmse: 8, mae: 8, identical: false, slope: expect.closeTo(1, 12), intercept: expect.closeTo(8, 10), correlation: expect.closeTo(1, 12) });
    expect(found.psnr).toBeCloseTo(30.0690039 - 20 * Math.log10(255 / 240), 6);
    expect(found.matthews).toBeUndefined();
  });

  test('equal pictures: psnr is infinite, so null in JSON', async () => {
    expect(await pair(ramp, ramp, 16)).toMatchObject({ rmse: 0, psnr: null, identical: true, ssim: { wang2004: 1, uniform7: 1 } });
  });

  test('pictures smaller than a window, and a reference of one value: null, not a crash', async () => {
    expect(await pair([1, 2, 3, 4], [1, 2, 3, 5], 2)).toMatchObject({ ssim: { wang2004: null, uniform7: null }, range: 4 });
    expect(await pair([1, 2, 3, 4], [1, 1, 1, 1], 2)).toMatchObject({ psnr: null, slope: null, correlation: null, range: 0 });
  });

  test('against a mask, the picture is parted by Otsu’s threshold', async () => {
    const mask = ramp.map((value) => (value >= 128 ? 255 : 0));
    expect((await pair(ramp, mask, 16)).matthews).toBeCloseTo(1, 12);
    expect((await pair(mask, ramp, 16)).matthews).toBeCloseTo(1, 12);
    expect((await pair(ramp.map((value) => -value), mask, 16)).matthews).toBeCloseTo(-1, 12);
  });
});

test('parse: options before and after files, = and spaces, and -- before a name that begins with a dash', () => {
  expect(parse(reconstruct, ['--out', 'a.npy', 's.json', '--json'])).toEqual({ files: ['s.json'], options: { out: 'a.npy' } });
  expect(parse(reconstruct, ['s.json', '--out=a=b.npy'])).toEqual({ files: ['s.json'], options: { out: 'a=b.npy' } });
  expect(parse(reconstruct, ['--', '-s.json'])).toEqual({ files: ['-s.json'], options: {} });
  expect(() => parse(reconstruct, ['s.json', '--out', 'a', '--out', 'b'])).toThrow('--out is given twice');
});

test('help says what each command does, and goes to standard output', async () => {
  expect(await main(['--help'])).toBe(0);
  for (const words of ['slices verify', 'slices reconstruct <scan.json>', 'slices join', 'slices align', 'slices compare', 'slices rehearse <plan.json>']) expect(out).toContain(words);
  for (const words of [['help', 'compare'], ['compare', '--help']]) {
    out = '';
    expect(await main(words)).toBe(0);
    expect(out).toContain('Otsu');
  }
});

describe('as a process of its own', () => {
  test('Ctrl+C stops it: exit 130, a sentence, and no trace of a result; the one from before is untouched', async () => {
    // Long enough to be stopped in the middle; the warning about its missing views says that the work is about to begin.
    const path = scanFolder({ angles: { step: 0.1, count: 720 }, reconstruction: { method: 'fbp', size: 3000, pixelSize: 0.02 } }, { 'sinogram.npy': writeNpy([720, 64], new Float32Array(720 * 64).fill(1)) });
    writeFileSync(join(path, 'slice.npy'), 'made before');
    for (const entry of ['src/cli.ts', 'scripts/slices.mjs']) {
      const { code, stdout, stderr } = await slices(['reconstruct', join(path, 'scan.json'), '--out', join(path, 'slice.npy')], {
        entry, during: (child) => child.stderr!.once('data', () => setTimeout(() => child.kill('SIGINT'), 300)),
      });
      expect(code, stderr).toBe(130);
      expect(stderr).toMatch(/^Warning: the views leave rays out .*\nslices: Stopped; nothing was written\.\n$/);
      expect(stdout).toBe('');
      expect(readdirSync(path).sort()).toEqual(['scan.json', 'sinogram.npy', 'slice.npy']);
      expect(readFileSync(join(path, 'slice.npy'), 'utf8')).toBe('made before');
    }
  });

  test('exit codes and streams are the process’s own; nothing shows progress where nobody watches', async () => {
    const path = scanFolder();
    const good = await slices(['reconstruct', 'scan.json', '--out', 'slice.npy', '--json'], { cwd: path });
    expect(good).toMatchObject({ code: 0, stderr: '' });
    expect(JSON.parse(good.stdout)).toMatchObject({ scan: 'scan.json', out: 'slice.npy' });
    const bad = await slices(['reconstruct', 'scam.json', '--out', 'slice.npy'], { cwd: path });
    expect(bad).toEqual({ code: 2, stdout: '', stderr: 'slices: scam.json is not there: check the name and the folder.\n' });
  });

  test.skipIf(!existsSync('/usr/bin/script'))('progress shows on a terminal (skipped where there is no script(1))', async () => {
    const path = scanFolder({ reconstruction: { method: 'fbp', size: 700, pixelSize: 0.1 } });
    const command = `${process.execPath} ${join(root, 'src/cli.ts')} reconstruct scan.json --out slice.npy --json > /dev/null`;
    const { stdout } = await new Promise<{ stdout: string }>((resolve) => {
      const child = spawn('script', ['-qec', command, '/dev/null'], { cwd: path });
      let stdout = '';
      child.stdout.on('data', (data) => (stdout += data));
      child.on('close', () => resolve({ stdout }));
    });
    expect(stdout).toMatch(/\rReconstructing █*░* +\d+ %/);
    expect(stdout.endsWith('\r\u001b[K'), 'the line is wiped at the end').toBe(true);
  });

  const olderNode = ['/usr/local/bin/node', '/usr/bin/node'].find((path) => existsSync(path) && path !== process.execPath);
  test.skipIf(!olderNode)('the bin runs on the machine’s own Node, whatever its age (skipped where there is no other Node)', async () => {
    const { code, stdout, stderr } = await slices(['--help'], { command: olderNode, entry: 'scripts/slices.mjs' });
    expect(code, stderr).toBe(0);
    expect(stdout).toContain('slices reconstruct');
    expect((await slices(['compare', 'nothing', 'nothing'], { command: olderNode, entry: 'scripts/slices.mjs' })).code).toBe(2);
  });

  test('a reader that stops listening is no mistake', async () => {
    const { code, stderr } = await slices(['--help'], { during: (child) => child.stdout!.destroy() });
    expect(code).toBe(0);
    expect(stderr).toBe('');
  });

  test('what writeScan writes, the command line reads', async () => {
    const path = scanFolder();
    writeFileSync(join(path, 'scan.json'), writeScan(scan));
    expect((await slices(['reconstruct', 'scan.json', '--out', 'slice.npy'], { cwd: path })).code).toBe(0);
  });
});
