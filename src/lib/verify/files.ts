import { readNpy } from '../files/read-npy.ts';
import { readPng } from '../files/read-png.ts';
import { readTable } from '../files/read-table.ts';
import { readTiff } from '../files/read-tiff.ts';
import { writeNpy } from '../files/write-npy.ts';
import { writePng } from '../files/write-png.ts';
import { writeTiff } from '../files/write-tiff.ts';
import type { Check, LoadFixture } from './check.ts';

/** Bytes of files, held against the files that NumPy, tifffile and Pillow write and read: check values O1 to O13. */

interface Formats {
  readonly npy: Record<string, { hex: string }>;
  readonly tiff: Record<string, { hex: string; values?: number[]; displayed?: number[] }>;
  readonly png: Record<string, { hex: string; pixels?: number[] }>;
}
interface NumbersInFiles {
  readonly files: Record<string, { by: string; shape: number[]; values: number[]; base64: string }>;
}

const formats = async (load: LoadFixture) => (await load('formats')) as Formats;
const numpy = 'NumPy 1.24.2';
const tifffile = 'tifffile 2023.2.3';
const pillow = 'Pillow 9.4.0';

function bytesOfHex(hex: string): Uint8Array {
  return Uint8Array.from(hex.match(/../g) ?? [], (pair) => parseInt(pair, 16));
}

function bytesOfBase64(text: string): Uint8Array {
  return Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
}

/** How many places of two lists differ; a missing place differs. */
function differing(ours: ArrayLike<number>, expected: ArrayLike<number>): number {
  let count = Math.abs(ours.length - expected.length);
  for (let i = 0; i < Math.min(ours.length, expected.length); i++) if (ours[i] !== expected[i]) count++;
  return count;
}

/** A check that nothing differs. */
function same(id: string, what: string, unit: string, source: string, ours: Check['ours']): Check {
  return { id, what, expected: 0, tolerance: 0, kind: 'absolute', unit, source, ours };
}

/** A check of a whole number. */
function exactly(id: string, what: string, expected: number, source: string, ours: Check['ours']): Check {
  return { id, what, expected, tolerance: 0, kind: 'absolute', source, ours };
}

const npyValues = async (load: LoadFixture, name: string) => readNpy(bytesOfHex((await formats(load)).npy[name].hex));
const sixFloats = [0, 1, 2, 3, 4, 5];
const twelve = (step: number) => Array.from({ length: 12 }, (_, i) => step * i);
const numpyFormat = "NumPy's NPY format description";
const tiff6 = 'TIFF 6.0 (Adobe 1992)';
const pngSpecification = 'PNG specification, W3C';

const npyChecks: Check[] = [
  same('O1', 'an NPY file we write begins 93 4E 55 4D 50 59 01 00 (magic, version 1.0)', 'bytes', numpyFormat, () =>
    differing(writeNpy([2, 3], sixFloats).subarray(0, 8), [0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0])),
  exactly('O2.1', 'bytes of the NPY file of float32 [[0,1,2],[3,4,5]]', 152, numpy, () => writeNpy([2, 3], sixFloats).length),
  exactly('O2.2', 'header length of that NPY file, as written in its bytes 8 and 9', 118, numpy, () => {
    const bytes = writeNpy([2, 3], sixFloats);
    return bytes[8] + 256 * bytes[9];
  }),
  same('O2.3', "float32 [[0,1,2],[3,4,5]] saved by NumPy's save: bytes that differ from ours", 'bytes', numpy, async (load) =>
    differing(writeNpy([2, 3], sixFloats), bytesOfHex((await formats(load)).npy.f4_2x3.hex))),
  same('O3.1', 'an old NPY file padded to 16 bytes, read', 'values', numpy, async (load) => differing((await npyValues(load, 'f4_2x3_pad16_old_style')).data, sixFloats)),
  same('O3.2', 'an NPY file of version 2.0, read', 'values', numpy, async (load) => differing((await npyValues(load, 'f4_2x3_version2')).data, sixFloats)),
  same('O4.1', 'NPY of shape (), uint8 7, read as one element', 'values', numpy, async (load) => differing((await npyValues(load, 'u1_scalar')).data, [7])),
  same('O4.2', 'NPY in Fortran order, uint16 [[1,2],[3,4]], read row by row', 'values', numpy, async (load) => differing((await npyValues(load, 'u2_2x2_fortran')).data, [1, 2, 3, 4])),
  same('O4.3', 'NPY of big-endian int16 [1, −2]', 'values', numpy, async (load) => differing((await npyValues(load, 'be_i2_2')).data, [1, -2])),
  exactly('O4.4', 'values in an NPY file of shape (0, 4)', 0, numpy, async (load) => (await npyValues(load, 'f4_empty_0x4')).data.length),
  same('O4.5', 'NPY of float64 [1.5, −2, 1e300]: the last is beyond 32 bits', 'values', numpy, async (load) => differing((await npyValues(load, 'f8_3')).data, [1.5, -2, Infinity])),
];

const tiffValues = async (load: LoadFixture, name: string) => (await readTiff(bytesOfHex((await formats(load)).tiff[name].hex))).pages[0];

const tiffChecks: Check[] = [
  same('O5', 'a TIFF file we write begins 49 49 2A 00 (II, 42)', 'bytes', tiff6, () => differing(writeTiff(4, 3, [twelve(1)]).subarray(0, 4), [0x49, 0x49, 0x2a, 0])),
  same('O6', 'tags of a grey TIFF that are missing from one we write, or out of order', 'tags', tiff6, () => missingTags(writeTiff(4, 3, [twelve(1)]))),
  same('O7.1', '8-bit TIFF, read', 'values', `${tifffile} and ${pillow}`, async (load) => differing(await tiffValues(load, 'u8_le'), twelve(20))),
  same('O7.2', '16-bit little-endian TIFF, read', 'values', `${tifffile} and ${pillow}`, async (load) => differing(await tiffValues(load, 'u16_le'), twelve(5000))),
  same('O7.3', '16-bit big-endian TIFF, read', 'values', `${tifffile} and ${pillow}`, async (load) => differing(await tiffValues(load, 'u16_be'), twelve(5000))),
  same('O7.4', '32-bit float TIFF, read', 'values', `${tifffile} and ${pillow}`, async (load) =>
    differing(await tiffValues(load, 'f32_le'), (await formats(load)).tiff.f32_le.values!)),
  same('O7.5', 'TIFF with white as zero, turned round as it is displayed', 'values', pillow, async (load) =>
    differing(await tiffValues(load, 'u8_le_white_is_zero'), (await formats(load)).tiff.u8_le_white_is_zero.displayed!)),
];

/** Of the tags that TIFF 6.0 requires of a grey picture without resolution, and SampleFormat. */
function missingTags(bytes: Uint8Array): number {
  const view = new DataView(bytes.buffer);
  const at = view.getUint32(4, true);
  const tags = Array.from({ length: view.getUint16(at, true) }, (_, i) => view.getUint16(at + 2 + 12 * i, true));
  const missing = [256, 257, 258, 259, 262, 273, 278, 279, 339].filter((tag) => !tags.includes(tag)).length;
  return missing + tags.filter((tag, i) => i > 0 && tag <= tags[i - 1]).length;
}

const pngValues = async (load: LoadFixture, name: string) => (await readPng(bytesOfHex((await formats(load)).png[name].hex))).pages[0];

const pngChecks: Check[] = [
  same('O8.1', 'a PNG we write begins 89 50 4E 47 0D 0A 1A 0A', 'bytes', pngSpecification, async () =>
    differing((await writePng(1, 1, [0])).subarray(0, 8), [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a])),
  same('O8.2', 'a PNG we write ends 00000000 49454E44 AE426082 (IEND)', 'bytes', pngSpecification, async () =>
    differing((await writePng(1, 1, [0])).slice(-12), bytesOfHex('0000000049454e44ae426082'))),
  exactly('O9.1', 'checksum of the header of a 1 × 1 8-bit grey PNG we write', 0x3a7e9b55, pillow, async () => {
    const bytes = await writePng(1, 1, [0]);
    return new DataView(bytes.buffer, bytes.byteOffset).getUint32(29);
  }),
  same('O9.2', 'the smallest PNG, one black pixel, read', 'values', pillow, async (load) => differing(await pngValues(load, 'g8_1x1_0'), [0])),
  same('O10', '16-bit PNG, read', 'values', pillow, async (load) => differing(await pngValues(load, 'g16_3x4'), twelve(5000))),
  ...['None', 'Sub', 'Up', 'Average', 'Paeth'].map((filter, type) =>
    same(`O11.${type}`, `PNG with filter ${filter} (${type}) on every row, read`, 'values', pillow, async (load) =>
      differing(await pngValues(load, `filter_${type}`), [10, 20, 40, 80, 160, 13, 29, 35, 99, 200, 255, 0, 128, 7, 9]))),
  exactly('O12.1', 'CRC-32 of "123456789", by the library that unpacks for us', 0xcbf43926, 'zlib', async () => {
    const { gzipSync } = await import('fflate');
    return trailer(gzipSync(ascii('123456789')), -8, true);
  }),
  exactly('O12.2', 'Adler-32 of "Wikipedia"', 0x11e60398, 'zlib', async () => {
    const { zlibSync } = await import('fflate');
    return trailer(zlibSync(ascii('Wikipedia')), -4, false);
  }),
  exactly('O12.3', 'Adler-32 of nothing', 1, 'zlib', async () => {
    const { zlibSync } = await import('fflate');
    return trailer(zlibSync(ascii('')), -4, false);
  }),
];

const ascii = (text: string) => new TextEncoder().encode(text);

function trailer(bytes: Uint8Array, from: number, little: boolean): number {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(bytes.length + from, little);
}

/** Kinds of file by how their names begin or end in numbers_in_files. */
const kinds: [id: string, what: string, belongs: (name: string) => boolean, source: string][] = [
  ['O13.1', 'interlaced PNG (Adam7), 8 and 16 bits: values that differ', (name) => name.endsWith('interlaced.png'), `by hand after the ${pngSpecification}, read back by ${pillow}`],
  ['O4.6', 'NPY of every dtype, order and version: values that differ', (name) => name.endsWith('.npy'), numpy],
  ['O7.6', 'TIFF of every kind of sample, both byte orders, strips, tiles, pages, packings: values that differ', (name) => name.endsWith('.tif'), `${tifffile} and ${pillow}`],
  ['O13.2', 'other PNG: 1 to 16 bits, palette, grey as colour: values that differ', (name) => name.endsWith('.png') && !name.includes('interlaced'), pillow],
];

const manyFiles: Check[] = kinds.map(([id, what, belongs, source]) =>
  same(id, what, 'values', source, async (load) => {
    const chosen = Object.entries(((await load('numbers_in_files')) as NumbersInFiles).files).filter(([name]) => belongs(name));
    if (chosen.length === 0) throw new Error('There is no such file among the check values.');
    let count = 0;
    for (const [name, { base64, values }] of chosen) {
      const tables = await readTable(bytesOfBase64(base64), name);
      const ours = tables.flatMap(({ data }) => Array.from(data));
      count += differing(ours, values.map(Math.fround));
    }
    return count;
  }));

export const fileChecks: readonly Check[] = [...npyChecks, ...tiffChecks, ...pngChecks, ...manyFiles];
