/**
 * Files that we write, read by NumPy, tifffile and Pillow as they are installed on this machine; skipped where they are not.
 * The other direction, files of theirs that we read, is among the checks (O1 to O13).
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, test } from 'vitest';
import { writeDelimited, writeNpy, writePng, writeTiff } from '../../src/lib/index.ts';

const python = ['/usr/bin/python3', 'python3'].find((path) => spawnSync(path, ['-c', 'import numpy, tifffile, PIL']).status === 0);
const folder = mkdtempSync(join(tmpdir(), 'slices-formats-'));
afterAll(() => rmSync(folder, { recursive: true }));

/** What a line of Python makes of the file f: its shape, dtype and values. */
function readByPython(name: string, bytes: Uint8Array | string, read: string): { shape: number[]; dtype: string; values: number[] } {
  writeFileSync(join(folder, name), bytes);
  const script = `import numpy as np, json, sys\nf = sys.argv[1]\n${read.includes('tifffile') ? 'import tifffile\n' : ''}${read.includes('Image') ? 'from PIL import Image\n' : ''}a = np.asarray(${read})\nprint(json.dumps(dict(shape=a.shape, dtype=a.dtype.str, values=a.astype('f8').ravel().tolist())))`;
  return JSON.parse(execFileSync(python!, ['-c', script, join(folder, name)], { encoding: 'utf8' }));
}

describe.skipIf(!python)('files we write (skipped where Python with NumPy, tifffile and Pillow is not installed)', () => {
  const data = Float32Array.from({ length: 24 }, (_, i) => Math.fround((i - 5) / 7));
  const whole = Float32Array.from({ length: 24 }, (_, i) => 10 * i);
  const floats = Array.from(data);

  test('NPY of every type, by NumPy', () => {
    expect(readByPython('a.npy', writeNpy([2, 3, 4], data), 'np.load(f)')).toEqual({ shape: [2, 3, 4], dtype: '<f4', values: floats });
    expect(readByPython('b.npy', writeNpy([24], data, '<f8'), 'np.load(f)')).toEqual({ shape: [24], dtype: '<f8', values: floats });
    for (const dtype of ['<u2', '|u1'] as const) expect(readByPython('c.npy', writeNpy([4, 6], whole, dtype), 'np.load(f)')).toEqual({ shape: [4, 6], dtype, values: Array.from(whole) });
    expect(readByPython('d.npy', writeNpy([], [3]), 'np.load(f)')).toEqual({ shape: [], dtype: '<f4', values: [3] });
    expect(readByPython('e.npy', writeNpy([2], [0, 1], '|b1'), 'np.load(f)')).toEqual({ shape: [2], dtype: '|b1', values: [0, 1] });
  });

  test('TIFF of floats, of several pages, by tifffile and by Pillow', () => {
    expect(readByPython('a.tif', writeTiff(6, 4, [data], 'float32', 'attenuation in 1/mm'), 'tifffile.imread(f)')).toEqual({ shape: [4, 6], dtype: '<f4', values: floats });
    expect(readByPython('a.tif', writeTiff(6, 4, [data]), 'Image.open(f)')).toEqual({ shape: [4, 6], dtype: '<f4', values: floats });
    expect(readByPython('b.tif', writeTiff(4, 3, [data.slice(0, 12), data.slice(12)]), 'tifffile.imread(f)')).toEqual({ shape: [2, 3, 4], dtype: '<f4', values: floats });
    expect(readByPython('c.tif', writeTiff(6, 4, [whole], 'uint16'), 'tifffile.imread(f)')).toEqual({ shape: [4, 6], dtype: '<u2', values: Array.from(whole) });
    expect(readByPython('d.tif', writeTiff(3, 3, [whole.slice(0, 9)], 'uint8'), 'Image.open(f)')).toEqual({ shape: [3, 3], dtype: '|u1', values: Array.from(whole.slice(0, 9)) });
  });

  test('PNG of 8 and 16 bits, by Pillow', async () => {
    expect(readByPython('a.png', await writePng(6, 4, whole), 'Image.open(f)')).toEqual({ shape: [4, 6], dtype: '|u1', values: Array.from(whole) });
    const { shape, values } = readByPython('b.png', await writePng(6, 4, whole.map((v) => 100 * v), 16), 'Image.open(f)');
    expect({ shape, values }).toEqual({ shape: [4, 6], values: Array.from(whole, (v) => 100 * v) });
  });

  test('text, by NumPy, to the last bit of a 32-bit float', () => {
    expect(readByPython('a.csv', writeDelimited({ rows: 4, columns: 6, data }), "np.loadtxt(f, delimiter=',', dtype='f4')")).toEqual({ shape: [4, 6], dtype: '<f4', values: floats });
  });
});
