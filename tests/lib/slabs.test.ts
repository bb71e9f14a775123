/** A volume made slab by slab, from only the rows that each needs, and joined: the very file that is made in one go. */
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Ajv2020 from 'ajv/dist/2020.js';
import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { noteBeside } from '../../src/command-line/slab.ts';
import { coneBeam, fdk, readSlabNote, rowsOf, slabCuts, slabOf, volumeLayout, writeNpy, writeNrrd, writePng, writeTiffStack, type Scan, type Volume } from '../../src/lib/index.ts';

const folder = mkdtempSync(join(tmpdir(), 'slabs-'));
afterAll(() => rmSync(folder, { recursive: true }));
let [out, err] = ['', ''];
beforeEach(() => {
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += text), true));
});
afterEach(() => vi.restoreAllMocks());

/** Noise, from a seed: no part of a volume of it is like another. */
function noise(length: number, seed: number): Float32Array {
  let state = seed;
  return Float32Array.from({ length }, () => (state = (state * 48271) % 2147483647) / 2147483647);
}

const views = 24, rows = 30, columns = 40;
const frames = noise(views * rows * columns, 1);
const scan: Scan = {
  format: 'scan', version: 1, title: 'Noise', beam: { shape: 'cone', sourceToAxis: 90, sourceToDetector: 135 },
  detector: { pitch: 1, columns, rows, axisOffset: 0.7, rowOffset: -0.4 }, angles: { step: 15, count: views },
  frames: { kind: 'line-integrals', file: 'frames.npy' }, reconstruction: { method: 'fbp', size: 24, pixelSize: 0.9 },
};
let number = 0;
function scanFolder(changes: object = {}, file: Uint8Array = writeNpy([views, rows, columns], frames)): string {
  const path = join(folder, String(number++));
  mkdirSync(path);
  writeFileSync(join(path, 'scan.json'), JSON.stringify({ ...scan, ...changes }));
  writeFileSync(join(path, 'frames.npy'), file);
  return path;
}
const slices = async (...words: string[]) => {
  [out, err] = ['', ''];
  return main(words);
};
const makeSlab = async (path: string, slab: number, of: number, name = `part-${slab}.npy`) => {
  expect(await slices('reconstruct', join(path, 'scan.json'), '--slab', `${slab}/${of}`, '--engine', 'plain', '--out', join(path, name)), err).toBe(0);
  return join(path, name);
};
const makeAll = async (path: string, of: number, ending = '.npy') => {
  const made: string[] = [];
  for (let slab = 1; slab <= of; slab++) made.push(await makeSlab(path, slab, of, `part-${slab}${ending}`));
  return made;
};

describe('slabs joined are the undivided volume, bit for bit', () => {
  test.each([
    ['.npy', '.nrrd', {}],
    ['.nrrd', '.tif', { detector: { ...scan.detector, mirrored: true } }],
    ['.tif', '.npy', { detector: { ...scan.detector, tilt: 2.5 } }],
  ])('slabs as %s, the volume as %s', async (ending, kind, changes) => {
    const path = scanFolder(changes);
    expect(await slices('reconstruct', join(path, 'scan.json'), '--engine', 'plain', '--out', join(path, `whole${kind}`)), err).toBe(0);
    const made = await makeAll(path, 5, ending);
    expect(await slices('join', ...made.reverse(), '--out', join(path, `joined${kind}`), '--json'), err).toBe(0);
    expect(JSON.parse(out)).toMatchObject({ command: 'join', slabs: 5, width: 24, height: 24, engines: ['plain'], notes: [] });
    expect(readFileSync(join(path, `joined${kind}`)).equals(readFileSync(join(path, `whole${kind}`)))).toBe(true);
  });

  test('from photographs, the axis looked for', async () => {
    const path = scanFolder();
    const names = await Promise.all(Array.from({ length: views }, async (_, view) => {
      const middle = columns / 2 + 8 * Math.cos((2 * Math.PI * view) / views);
      const light = Float32Array.from({ length: rows * columns }, (_, k) => 65535 * 0.9 * Math.exp(-1.5 * Math.exp(-(((k % columns) - middle) ** 2 + (Math.floor(k / columns) - 14) ** 2) / 20)));
      writeFileSync(join(path, `${view}.png`), await writePng(columns, rows, light, 16));
      return `${view}.png`;
    }));
    const { axisOffset: _, ...detector } = scan.detector;
    writeFileSync(join(path, 'scan.json'), JSON.stringify({ ...scan, detector, frames: { kind: 'photographs', files: names, encoding: 'linear' } }));
    expect(await slices('reconstruct', join(path, 'scan.json'), '--engine', 'plain', '--out', join(path, 'whole.nrrd')), err).toBe(0);
    const made = await makeAll(path, 3);
    expect(await slices('join', ...made, '--out', join(path, 'joined.nrrd')), err).toBe(0);
    expect(readFileSync(join(path, 'joined.nrrd')).equals(readFileSync(join(path, 'whole.nrrd')))).toBe(true);
  });

  test('of frames that are not filtered in one go: where a scan of more than 24 MB is cut, and by which row, leaves no trace', () => {
    const size = 96;
    const geometry = coneBeam({ views: 400, detectors: size, rows: size, pitch: 1, axisOffset: 1.1, rowOffset: 0.3, sourceToAxis: 380, sourceToDetector: 570, tilt: 0.01 });
    const projections = { views: 400, rows: size, columns: size, data: noise(400 * size * size, 5) };
    const grid = { width: 32, height: 32, depth: 64, voxelSize: 0.83, centre: [3, -2, 0.4] } as const;
    const whole = fdk(projections, geometry, { window: 'ramp', grid });
    const cuts = slabCuts(64, 3);
    for (let k = 0; k < 3; k++) {
      const slab = slabOf(geometry, grid, cuts[k], cuts[k + 1]);
      const part = fdk(rowsOf(projections, slab), slab.geometry, { window: 'ramp', grid: slab.grid, slab });
      expect(part.data).toEqual(whole.data.subarray(cuts[k] * 32 * 32, cuts[k + 1] * 32 * 32));
    }
  });

  test('every slab reads its rows and little more of the file', async () => {
    const path = scanFolder();
    expect(await slices('reconstruct', join(path, 'scan.json'), '--slab', '1/6', '--out', join(path, 'part.npy'), '--json'), err).toBe(0);
    const { firstRow, endRow, bytesRead, firstSlice, endSlice } = JSON.parse(out);
    expect([firstSlice, endSlice]).toEqual([0, 4]);
    expect(endRow - firstRow).toBeLessThan(rows / 2);
    expect(bytesRead).toBe(128 + 4 * views * (endRow - firstRow) * columns);
    // The rest of the file may hold what it likes: it is not read.
    const spoilt = frames.map((value, k) => { const row = Math.floor(k / columns) % rows; return row >= firstRow && row < endRow ? value : NaN; });
    writeFileSync(join(path, 'frames.npy'), writeNpy([views, rows, columns], spoilt));
    expect(await slices('reconstruct', join(path, 'scan.json'), '--slab', '1/6', '--out', join(path, 'again.npy')), err).toBe(0);
    expect(readFileSync(join(path, 'again.npy')).equals(readFileSync(join(path, 'part.npy')))).toBe(true);
  });

  test('frames of 16-bit integers, high byte first', async () => {
    const bytes = writeNpy([views, rows, columns], frames.map((value) => 100 * value), '<u2');
    const swapped = bytes.slice();
    swapped.set(new TextEncoder().encode("'>u2'"), new TextDecoder('latin1').decode(bytes).indexOf("'<u2'"));
    for (let at = 128; at < bytes.length; at += 2) swapped.set([bytes[at + 1], bytes[at]], at);
    const [little, big] = [await makeSlab(scanFolder({}, bytes), 2, 3), await makeSlab(scanFolder({}, swapped), 2, 3)];
    expect(readFileSync(big).equals(readFileSync(little))).toBe(true);
  });

  test.each([false, true])('frames in Fortran order, as numpy.asfortranarray leaves them, give the same slab and the same volume; mirrored: %s', async (mirrored) => {
    // The first index runs fastest.
    const turned = frames.map((_, k) => frames[((k % views) * rows + (Math.floor(k / views) % rows)) * columns + Math.floor(k / (views * rows))]);
    const fortran = writeNpy([views, rows, columns], turned);
    fortran.set(new TextEncoder().encode('True, '), new TextDecoder('latin1').decode(fortran).indexOf('False,'));
    const changes = { detector: { ...scan.detector, mirrored } }, [one, other] = [scanFolder(changes), scanFolder(changes, fortran)];
    expect(readFileSync(await makeSlab(other, 2, 3)).equals(readFileSync(await makeSlab(one, 2, 3))), 'slab 2 of 3').toBe(true);
    for (const path of [one, other]) expect(await slices('reconstruct', join(path, 'scan.json'), '--out', join(path, 'whole.npy')), err).toBe(0);
    expect(readFileSync(join(other, 'whole.npy')).equals(readFileSync(join(one, 'whole.npy'))), 'the whole').toBe(true);
  });
});

test('volumeLayout tells where the slices lie in what writeNpy, writeNrrd and writeTiffStack write', () => {
  const volume: Volume = { width: 3, height: 5, depth: 4, voxelSize: 0.3, centre: [1, -2, 0.5], data: noise(60, 3) };
  const files = { '.npy': writeNpy([4, 5, 3], volume.data), '.nrrd': writeNrrd(volume, 'a title'), '.tif': writeTiffStack(volume) };
  for (const [ending, file] of Object.entries(files)) {
    const { before, first, apart, bytes } = volumeLayout(ending as '.npy', volume, 'a title');
    expect(bytes, ending).toBe(file.length);
    const built = Buffer.concat([0, 1, 2, 3].flatMap((slice) => [before(slice), new Uint8Array(volume.data.buffer, 60 * slice, 60)]));
    expect(built.equals(file), ending).toBe(true);
    for (let slice = 0; slice < 4; slice++) expect(new DataView(file.buffer, file.byteOffset).getFloat32(first + slice * apart, true)).toBe(volume.data[15 * slice]);
  }
});

test('the note beside a slab is what its schema says, by an independent validator (ajv), and readSlabNote reads it', async () => {
  const path = scanFolder();
  const note = readFileSync(noteBeside(await makeSlab(path, 2, 3)), 'utf8');
  const schema = JSON.parse(readFileSync(new URL('../../src/lib/files/slab.schema.json', import.meta.url), 'utf8'));
  const validate = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false }).compile(schema);
  expect(validate(JSON.parse(note)), JSON.stringify(validate.errors)).toBe(true);
  expect(readSlabNote(note)).toMatchObject({ slab: 2, of: 3, firstSlice: 7, endSlice: 15, title: 'Noise', engine: 'plain', volume: { width: 24, height: 24, depth: 22, voxelSize: 0.9 } });
  expect(validate({ ...JSON.parse(note), slab: 0 })).toBe(false);
  expect(() => readSlabNote(note.replace('"slab": 2', '"slab": 4'))).toThrow('slab is 4 and should be at most of, 3');
  expect(() => readSlabNote(note.replace('"endSlice": 15', '"endSlice": 23'))).toThrow('Slices 7 to 23 (firstSlice, endSlice) are not some of a volume with 22');
});

test('what a slab that was killed left unfinished goes when it is made again, and nothing else', async () => {
  const path = scanFolder();
  for (const name of ['.part-1.npy.4711.unfinished', '.part-2.npy.4711.unfinished']) writeFileSync(join(path, name), 'half');
  await makeSlab(path, 1, 3);
  expect(readdirSync(path).sort()).toEqual(['.part-2.npy.4711.unfinished', 'frames.npy', 'part-1.json', 'part-1.npy', 'scan.json']);
});

describe('slices reconstruct --slab refuses, with exit 2 and one sentence', () => {
  const of = (words: string, changes: object = {}, file?: Uint8Array) => async () => {
    const path = scanFolder(changes, file);
    return [path, await slices('reconstruct', join(path, 'scan.json'), '--slab', words, '--out', join(path, 'part.npy'))] as const;
  };
  const { axisOffset: _, ...without } = scan.detector;
  test.each<[string, () => Promise<readonly [string, number]>, string]>([
    ['slab 0', of('0/4'), '--slab is 0/4; slabs are counted from 1, so that the first number has to be from 1 to 4'],
    ['a slab beyond the last', of('5/4'), '--slab is 5/4; slabs are counted from 1, so that the first number has to be from 1 to 4'],
    ['half a slab', of('1.5/4'), '--slab is 1.5/4; it has to be two whole numbers with a stroke between, 3/8'],
    ['a word', of('x'), '--slab is x; it has to be two whole numbers'],
    ['of none', of('1/0'), '--slab is 1/0; slabs are counted from 1'],
    ['more slabs than slices', of('1/25'), 'the volume has 22 slices: it can be cut into 22 slabs at most'],
    ['a fan', of('1/2', { beam: { shape: 'fan', sourceToAxis: 90, sourceToDetector: 135 }, detector: { pitch: 1, columns } }), 'beam.shape is "fan", and --slab 1/2 divides the volume of a cone beam'],
    ['an iterative method', of('1/2', { reconstruction: { method: 'sirt', size: 24, pixelSize: 0.9 } }), 'the method is sirt, which guesses at the whole volume at once'],
    ['no axis', of('1/2', { detector: without }), 'detector.axisOffset is left out, and the axis is found in whole frames only, which a slab does not read: slices align'],
    ['a file cut short', of('1/2', {}, writeNpy([views, rows, columns], frames).slice(0, 9999)), 'frames.npy: This NPY file is cut short'],
    ['frames of another shape', of('1/2', {}, writeNpy([views, columns, rows], frames)), 'frames.npy holds 24 × 40 × 30 numbers, and the scan file asks for 24 × 30 × 40'],
    ['a value that is none', of('1/2', {}, writeNpy([views, rows, columns], frames.map((value, k) => (k === 2 * rows * columns + 9 * columns ? NaN : value)))), 'frames.npy holds NaN in view 2'],
    ['what fits into no memory', of('1/4', { reconstruction: { method: 'fbp', size: 20000, pixelSize: 0.001 } }), 'of memory are free here'],
  ])('%s', async (_, run, words) => {
    const [path, code] = await run();
    expect(code, out).toBe(2);
    expect(err).toContain(words);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(readdirSync(path).sort()).toEqual(['frames.npy', 'scan.json']);
  });

  test('a result whose note would stand on the scan file', async () => {
    const path = scanFolder();
    expect(await slices('reconstruct', join(path, 'scan.json'), '--slab', '1/2', '--out', join(path, 'scan.npy'))).toBe(2);
    expect(err).toContain('scan.json is what the result is made from');
  });
});

describe('slices join refuses, with exit 2 and one sentence that names the files', () => {
  const cases: [string, (path: string) => Promise<string[]>, string][] = [
    ['a missing slab', async (path) => (await makeAll(path, 4)).filter((_, k) => k !== 2), 'Slab 3 of 4 is missing: slices reconstruct … --slab 3/4 makes it'],
    ['two missing slabs', async (path) => (await makeAll(path, 4)).slice(1, 3), 'Slabs 1 and 4 of 4 are missing'],
    ['the same slab twice', async (path) => [...(await makeAll(path, 2)), await makeSlab(path, 2, 2, 'copy.npy')], 'part-2.npy and '],
    ['a slab of another count', async (path) => [await makeSlab(path, 1, 2), await makeSlab(path, 2, 3)], 'part-1.npy is slab 1 of 2 and '],
    ['slabs of different scans', async (path) => [await makeSlab(path, 1, 2), await makeSlab(scanFolder({}, writeNpy([views, rows, columns], noise(frames.length, 2))), 2, 2)], 'are of different scans, or of one scan reconstructed in different ways'],
    ['slabs of different filters', async (path) => [await makeSlab(path, 1, 2), await makeSlab(scanFolder({ reconstruction: { ...scan.reconstruction, window: 'hann' } }), 2, 2)], 'are of different scans, or of one scan reconstructed in different ways'],
    ['a slab without its note', async (path) => { const made = await makeAll(path, 2); rmSync(noteBeside(made[1])); return made; }, 'beside it, which says which slab it is'],
    ['a note that is none', async (path) => { const made = await makeAll(path, 2); writeFileSync(noteBeside(made[0]), '{"format": "slab"}'); return made; }, 'part-1.json: version is missing'],
    ['a slab cut short', async (path) => { const made = await makeAll(path, 2); writeFileSync(made[0], readFileSync(made[0]).subarray(0, 1000)); return made; }, 'part-1.npy has 1,000 bytes, and by '],
    ['a slab with a bit changed', async (path) => { const made = await makeAll(path, 2); const bytes = readFileSync(made[1]); bytes[5000] ^= 1; writeFileSync(made[1], bytes); return made; }, 'part-2.npy is not as it was made'],
    ['a note for a slab', async (path) => { await makeAll(path, 2); return [join(path, 'part-1.json')]; }, 'part-1.json: the name of a slab must end in .nrrd, .tif or .npy'],
    ['a slab that is not there', async (path) => [join(path, 'lost.npy')], 'lost.npy is not there'],
  ];
  test.each(cases)('%s', async (_, make, words) => {
    const path = scanFolder();
    const files = await make(path);
    const before = readdirSync(path);
    expect(await slices('join', ...files, '--out', join(path, 'volume.nrrd'), '--json'), out).toBe(2);
    expect(err).toContain(words);
    expect(err.trim().split('\n')).toHaveLength(1);
    expect(JSON.parse(out)).toEqual({ command: 'join', error: err.trim().slice('slices: '.length) });
    expect(readdirSync(path)).toEqual(before);
  });

  test('a slab as the result, no slab, no --out', async () => {
    const path = scanFolder();
    const made = await makeAll(path, 2);
    expect(await slices('join', ...made, '--out', made[0])).toBe(2);
    expect(err).toContain('is what the result is made from');
    expect(await slices('join', '--out', 'volume.nrrd')).toBe(2);
    expect(err).toContain('A slab is missing');
    expect(await slices('join', ...made)).toBe(2);
    expect(err).toContain('--out is missing');
    expect(await slices('join', ...made, '--out', 'volume.png')).toBe(2);
    expect(err).toContain('must end in .nrrd, .tif or .npy');
  });
});
