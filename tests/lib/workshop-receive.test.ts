import { expect, test } from 'vitest';
import { BadInput, readTable, writeNpy, writeScan, type Scan } from '../../src/lib/index.ts';
import { gather, namedFile } from '../../src/workshop/scan/gather.ts';
import type { Brought } from '../../src/workshop/scan/model.ts';
import { receive, receivePicture, type GivenFile } from '../../src/workshop/scan/receive.ts';
import { parsedAngles, writtenAngles } from '../../src/workshop/scan/angle-list.ts';

const file = (name: string, content: Uint8Array | string): GivenFile => {
  const bytes = typeof content === 'string' ? new TextEncoder().encode(content) : content;
  return { name, size: bytes.length, bytes: async () => bytes };
};
const read = (name: string, bytes: Uint8Array) => readTable(bytes, name);
const numbers = writeNpy([3, 4], Float32Array.from({ length: 12 }, (_, k) => k / 10));
const scan: Scan = {
  format: 'scan', version: 1, beam: { shape: 'parallel' }, detector: { pitch: 1, columns: 4 },
  angles: { start: 0, step: 60, count: 3 }, frames: { kind: 'line-integrals', file: 'data/rays.npy' },
};
const scanText = (changes: object = {}) => writeScan({ ...scan, ...changes } as Scan);
const refusal = async (files: GivenFile[], present?: Brought) => receive(files, read, present).then(
  () => expect.fail('it was taken'),
  (error) => { expect(error).toBeInstanceOf(BadInput); expect(error.message).toMatch(/\.$/); return (error as Error).message; },
);

test('receive: numbers alone', async () => {
  const { brought, scan: none } = await receive([file('rays.npy', numbers)], read);
  expect(brought).toMatchObject({ name: 'rays.npy', page: 0, unused: [], pages: [{ rows: 3, columns: 4 }] });
  expect(none).toBeUndefined();
});

test('receive: a folder with the scan file, its numbers and other things', async () => {
  const files = ['d/reference.npy', 'd/data/rays.npy', 'd/notes.md', 'd/.DS_Store'].map((name) => file(name, numbers));
  const { brought, scan: found } = await receive([...files, file('d/scan.json', scanText())], read);
  expect(brought).toMatchObject({ name: 'd/data/rays.npy', scanName: 'd/scan.json', unused: ['d/reference.npy', 'd/notes.md'] });
  expect(found).toEqual(scan);
});

test('receive: dropped side by side without folders, the last part of the name decides', async () => {
  const { brought } = await receive([file('rays.npy', numbers), file('my-scan.json', scanText())], read);
  expect(brought).toMatchObject({ name: 'rays.npy', scanName: 'my-scan.json' });
});

test('receive: a scan file alone may speak of the numbers that lie there already', async () => {
  const first = await receive([file('rays.npy', numbers)], read);
  const second = await receive([file('scan.json', scanText())], read, first.brought);
  expect(second.brought.pages).toBe(first.brought.pages);
});

test.each([
  ['nothing', [], 'Nothing that could be opened'],
  ['an empty file', [file('rays.npy', '')], 'rays.npy is empty'],
  ['a truncated NPY file', [file('rays.npy', numbers.slice(0, -5))], 'rays.npy: This NPY file is cut short'],
  ['an NPY file of Python objects', [file('rays.npy', withDtype("'|O'"))], 'dtype object'],
  ['a shape that does not match', [file('rays.npy', new Uint8Array([...numbers, 0, 0, 0, 0]))], 'too long for its shape'],
  ['a value that is no number', [file('rays.npy', writeNpy([2, 2], Float32Array.of(1, NaN, 2, 3)))], 'rays.npy has a value that is not a number (NaN) in row 1, column 2'],
  ['an infinite value', [file('rays.npy', writeNpy([2, 2], Float32Array.of(1, 0, 2, Infinity)))], 'infinite'],
  ['one view', [file('rays.npy', writeNpy([1, 4], Float32Array.of(1, 2, 3, 4)))], 'rays.npy holds 1 × 4 numbers'],
  ['a ragged row', [file('rays.csv', '1,2,3\n4,5\n')], 'Line 2 has 2 cells'],
  ['a word among the numbers', [file('rays.csv', '1,2,3\n4,five,6\n')], 'Line 2, cell 2 is "five"'],
  ['two files that could be it', [file('a.npy', numbers), file('b.csv', '1')], 'a.npy and b.csv could each be the sinogram'],
  ['a scan file without its numbers', [file('scan.json', scanText())], 'scan.json names data/rays.npy, which was not dropped with it'],
  ['a scan file with an unknown key', [file('scan.json', scanText().replace('"pitch"', '"pich"')), file('rays.npy', numbers)], 'scan.json: detector.pich is not a key that is known'],
  ['a scan file that is not JSON', [file('scan.json', '{"format": '), file('rays.npy', numbers)], 'scan.json: This scan file is not JSON'],
  ['angles that do not match', [file('scan.json', scanText({ angles: { start: 0, step: 60, count: 4 } })), file('rays.npy', numbers)], 'scan.json gives 4 angles and rays.npy has 3 rows'],
  ['columns that do not match', [file('scan.json', scanText({ detector: { pitch: 1, columns: 5 } })), file('rays.npy', numbers)], 'scan.json gives a detector of 5 columns and rays.npy has 4'],
  ['a detector before the axis', [file('scan.json', scanText().replace('"shape": "parallel"', '"shape": "fan", "sourceToAxis": 100, "sourceToDetector": 90')), file('rays.npy', numbers)], 'The detector lies before the axis'],
  ['photographs', [file('scan.json', scanText({ frames: { kind: 'photographs', files: ['a.png', 'b.png', 'c.png'], encoding: 'srgb' } })), file('rays.npy', numbers)], 'describes photographs'],
  ['a cone beam', [file('scan.json', scanText({ beam: { shape: 'cone', sourceToAxis: 100, sourceToDetector: 200 }, detector: { pitch: 1, columns: 4, rows: 9 } })), file('rays.npy', numbers)], 'cone beam with 9 rows'],
  ['a JPEG', [file('rays.jpg', new Uint8Array([0xff, 0xd8, 0xff, 0xe0]))], 'rays.jpg: This is a JPEG picture'],
] as const)('receive refuses %s with a sentence', async (_, files, words) => {
  expect(await refusal([...files])).toContain(words);
});

test('receive refuses a file too large to open, with the memory it would take, and does not open it', async () => {
  const huge: GivenFile = { name: 'huge.tif', size: 3.2e9, bytes: () => expect.fail('it was opened') };
  expect(await refusal([huge])).toContain('6.4 GB of memory');
});

test('receivePicture: one at a time', async () => {
  await expect(receivePicture([file('a.npy', numbers), file('b.npy', numbers)], read)).rejects.toThrow('2 files dropped');
  expect(await receivePicture([file('a.npy', numbers)], read)).toMatchObject({ name: 'a.npy', table: { rows: 3 } });
});

test('gather and namedFile: hidden files are not there, and the file beside the scan file is preferred', () => {
  const files = ['._rays.npy', 'a/rays.npy', 'b/rays.npy', 'b/scan.json'].map((name) => ({ name }));
  const { scan: found, candidates } = gather(files);
  expect(found!.name).toBe('b/scan.json');
  expect(candidates.map(({ name }) => name)).toEqual(['a/rays.npy', 'b/rays.npy']);
  expect(namedFile(candidates, 'b/scan.json', './rays.npy')!.name).toBe('b/rays.npy');
  expect(namedFile(candidates, 'b/scan.json', 'others.npy')).toBeUndefined();
});

test('parsedAngles: any separator, a true minus; a word is named', () => {
  expect(parsedAngles('0, 1.5; 3°\n−4')).toEqual([0, 1.5, 3, -4]);
  expect(parsedAngles('0 one 2')).toContain('Entry 2, “one”');
  expect(parsedAngles('  ')).toContain('empty');
  expect(parsedAngles(writtenAngles([0, 0.1, 359.5]))).toEqual([0, 0.1, 359.5]);
});

/** The header of the good file with another dtype, padded to the same length. */
function withDtype(dtype: string): Uint8Array {
  const text = String.fromCharCode(...numbers).replace("'<f4'", dtype.padEnd(5));
  return Uint8Array.from(text, (letter) => letter.charCodeAt(0));
}
