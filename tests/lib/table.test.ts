import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { checkFinite, readDelimited, readTable, writeDelimited, writeNpy, writePng, writeTiff } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const bytesOf = (text: string) => new TextEncoder().encode(text);
const grid = ({ rows, columns, data }: { rows: number; columns: number; data: Float32Array }) =>
  Array.from({ length: rows }, (_, row) => [...data.subarray(row * columns, (row + 1) * columns)]);

describe('readDelimited', () => {
  test.each([
    ['commas', '1,2.5,-3\n4,5e-1,+6', [[1, 2.5, -3], [4, 0.5, 6]]],
    ['semicolons', '1;2;3\n4;5;6\n', [[1, 2, 3], [4, 5, 6]]],
    ['tabs', '1\t2\t3\r\n4\t5\t6\r\n', [[1, 2, 3], [4, 5, 6]]],
    ['spaces, as NumPy writes them', '1.000e+00 2.000e+00\n3.000e+00 4.000e+00\n', [[1, 2], [3, 4]]],
    ['old Macintosh line ends', '1,2\r3,4\r', [[1, 2], [3, 4]]],
    ['a byte-order mark, quotes and a row of words', '\uFEFF"left","right"\n"1","2"\n', [[1, 2]]],
    ['comments and empty lines', '# t = 0\n\n1,2\n\n# the end\n3,4\n\n', [[1, 2], [3, 4]]],
    ['a comma after every row', '1,2,\n3,4,\n', [[1, 2], [3, 4]]],
    ['decimal commas between semicolons', '0,5;1,5\n2;2,25\n', [[0.5, 1.5], [2, 2.25]]],
    ['decimal commas between tabs', '0,5\t1\n2,5\t3', [[0.5, 1], [2.5, 3]]],
    ['decimal commas between spaces', '0,5 1,5\n2,5 3,5', [[0.5, 1.5], [2.5, 3.5]]],
    ['commas with spaces are separators', '1, 2, 3\n4, 5, 6', [[1, 2, 3], [4, 5, 6]]],
    ['"0,5" alone is two cells', '0,5\n1,5', [[0, 5], [1, 5]]],
    ['one column', '1\n2\n3', [[1], [2], [3]]],
    ['NaN and infinities are let through', 'nan,inf\n-inf,NaN', [[NaN, Infinity], [-Infinity, NaN]]],
    ['points without a digit on one side', '.5,1.\n-.5,2', [[0.5, 1], [-0.5, 2]]],
  ])('%s', (_, text, expected) => {
    expect(grid(readDelimited(text))).toEqual(expected);
  });

  test.each([
    ['nothing', '', 'no numbers'],
    ['only comments', '# one\n# two', 'no numbers'],
    ['only words', 'left,right\n', 'no numbers below'],
    ['a ragged row', '1,2,3\n4,5\n', 'Line 2 has 2 cells and line 1 has 3'],
    ['a word among the numbers', '1,2\n3,four\n', 'Line 2, cell 2 is "four"'],
    ['a second row of words', 'x,y\nmm,mm\n1,2', 'Line 2, cell 1 is "mm"'],
    ['an empty cell', '1,2\n3,\n', 'Line 2, cell 2 is empty'],
    ['a decimal comma among decimal points', '1.5;2\n2,5;3', 'Line 2, cell 1 is "2,5", which is not a number with a decimal point'],
    ['a thousands separator', '1.234,5;2\n', 'Line 1, cell 1 is "1.234,5"'],
    ['a number in hexadecimal', '0x10,2\n', 'Line 1, cell 1'],
    ['a name that every object has', 'constructor,1\n2,3', 'Line 1, cell 1 is "constructor"'],
  ])('refuses %s', async (_, text, words) => {
    expect(await refusal(() => readDelimited(text))).toContain(words);
  });

  test('what is written is read back to the last bit, with either separator', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 6 }), fc.infiniteStream(fc.float()), fc.constantFrom(',', ';', '\t', ' '), (rows, columns, values, separator) => {
      const table = { rows, columns, data: Float32Array.from(values.take(rows * columns), (value) => value + 0) };
      expect(readDelimited(writeDelimited(table, separator))).toEqual(table);
    }), { seed: 4, numRuns: 500 });
  });

  test('numbers are written short: 0.1, not 0.10000000149011612', () => {
    expect(writeDelimited({ rows: 1, columns: 3, data: new Float32Array([0.1, 1 / 3, 1e-8]) })).toBe('0.1,0.33333334,1e-8\n');
  });

  test('a row of a hundred thousand separators takes no time', () => {
    const before = performance.now();
    for (const separator of ['\t', ' ', ',', ';']) expect(() => readDelimited(`${separator.repeat(1e5)}x\n${'1,'.repeat(1e5)}`)).toThrow();
    expect(performance.now() - before, 'milliseconds').toBeLessThan(10_000);
  });
});

describe('readTable', () => {
  const values = [1, 2, 3, 4, 5, 6];

  test('every kind of file gives the same table, whatever its name', async () => {
    const files = {
      npy: writeNpy([2, 3], values), csv: bytesOf('1,2,3\n4,5,6\n'), tsv: bytesOf('1\t2\t3\n4\t5\t6\n'),
      png: await writePng(3, 2, values), tif: writeTiff(3, 2, [values]), 'tif of 16 bits': writeTiff(3, 2, [values], 'uint16'),
      'utf-16': Uint8Array.from([0xff, 0xfe, ...[...'1 2 3\n4 5 6'].flatMap((c) => [c.charCodeAt(0), 0])]),
    };
    for (const [kind, bytes] of Object.entries(files)) {
      const tables = await readTable(bytes, 'numbers');
      expect(tables, kind).toEqual([{ rows: 2, columns: 3, data: new Float32Array(values) }]);
    }
  });

  test('pages of a TIFF and slices of a 3-D NPY come as tables of their own', async () => {
    const stack = await readTable(writeTiff(3, 1, [[1, 2, 3], [4, 5, 6]]), 'stack.tif');
    const cube = await readTable(writeNpy([2, 1, 3], values), 'cube.npy');
    expect(stack.map(grid)).toEqual([[[1, 2, 3]], [[4, 5, 6]]]);
    expect(cube).toEqual(stack);
  });

  test('one dimension is one row', async () => {
    expect((await readTable(writeNpy([6], values), 'row.npy')).map(grid)).toEqual([[values]]);
  });

  test.each([
    ['an empty file', new Uint8Array(0), 'scan.npy: This file is empty (0 bytes).'],
    ['a cut NPY', writeNpy([2, 3], values).slice(0, -3), 'scan.npy: This NPY file is cut short'],
    ['a single number', writeNpy([], [1]), '0 dimensions'],
    ['no numbers', writeNpy([0, 4], []), 'holds no numbers: its shape is (0, 4)'],
    ['four dimensions', writeNpy([1, 1, 2, 3], values), '4 dimensions'],
    ['a JPEG', Uint8Array.from([0xff, 0xd8, 0xff, 0xe0, 0, 16]), 'a JPEG picture'],
    ['an archive', bytesOf('PK\x03\x04…'), 'a ZIP archive (NPZ'],
    ['a web page', bytesOf('<!doctype html><p>Not found'), 'a web page'],
    ['a scan file', bytesOf('{"format": "scan"}'), 'JSON, not rows of numbers'],
    ['a spreadsheet row of words', bytesOf('apples,pears'), 'one row of words'],
    ['zeros', new Uint8Array(64), 'not an NPY file, whatever its name says'],
    ['bytes that are no text', Uint8Array.from([0xc3, 0x28, 0xa0, 0xa1]), 'not an NPY file, whatever its name says'],
  ])('refuses %s, beginning with the name', async (_, bytes, words) => {
    const sentence = await refusal(() => readTable(bytes, 'scan.npy'));
    expect(sentence).toMatch(/^scan\.npy: /);
    expect(sentence).toContain(words);
  });

  test('random bytes and random text are read or refused', async () => {
    await fc.assert(fc.asyncProperty(fc.oneof(fc.uint8Array({ maxLength: 200 }), fc.string({ unit: fc.constantFrom(...'0123456789.,;-+e \t\n\r#"nai') , maxLength: 200 }).map(bytesOf)), async (bytes) => {
      await outcome(() => readTable(bytes, 'anything'));
    }), { seed: 5, numRuns: 1500 });
  });
});

describe('checkFinite', () => {
  const table = (values: number[]) => ({ rows: 2, columns: 3, data: new Float32Array(values) });

  test('finite numbers pass', () => expect(() => checkFinite(table([0, -1, 3e38, 1e-45, 2, 3]), 'a.npy')).not.toThrow());

  test('the sentence counts them and says where the first is', async () => {
    expect(await refusal(() => checkFinite(table([0, 1, 2, 3, NaN, 5]), 'a.npy'))).toBe(
      'a.npy has a value that is not a number (NaN) in row 2, column 2 (counted from 1): every value must be a finite number, so replace it, by the mean of the neighbours say.');
    expect(await refusal(() => checkFinite(table([0, 1, Infinity, 3, NaN, -Infinity]), 'b.npy'))).toMatch(/^b\.npy has 3 values that are not finite numbers, the first infinite, or beyond 3\.4e38, in row 1, column 3/);
  });
});
