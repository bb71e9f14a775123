import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { readNpy, writeNpy, type NpyType } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

/** An NPY file with any header, true or not. */
function npy(header: string, data: Uint8Array | number[] = [], version = 1): Uint8Array {
  const text = new TextEncoder().encode(header);
  const length = version === 1 ? [text.length & 255, text.length >> 8] : [text.length & 255, text.length >> 8, 0, 0];
  return Uint8Array.from([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, version, 0, ...length, ...text, ...data]);
}
const header = (descr: string, shape: string, fortran = 'False') => `{'descr': ${descr}, 'fortran_order': ${fortran}, 'shape': ${shape}, }`;

describe('readNpy and writeNpy', () => {
  test('what is written is read back, for any shape of float32', () => {
    fc.assert(fc.property(fc.array(fc.integer({ min: 0, max: 5 }), { maxLength: 4 }), fc.infiniteStream(fc.float()), (shape, values) => {
      const count = shape.reduce((a, b) => a * b, 1);
      const data = Float32Array.from(values.take(count));
      const back = readNpy(writeNpy(shape, data));
      expect(back.shape).toEqual(shape);
      expect(back.dtype).toBe('<f4');
      expect(back.data).toEqual(data);
    }), { seed: 1 });
  });

  test('integer types round, and hold values at the ends of their range', () => {
    expect([...readNpy(writeNpy([5], [-3, 0.4, 0.6, 254.7, 300], '|u1')).data]).toEqual([0, 0, 1, 255, 255]);
    expect([...readNpy(writeNpy([3], [-1, 65535.2, 1e9], '<u2')).data]).toEqual([0, 65535, 65535]);
    expect([...readNpy(writeNpy([3], [0, 2, NaN], '|b1')).data]).toEqual([0, 1, 0]);
    expect([...readNpy(writeNpy([1], [0.1], '<f8')).data]).toEqual([Math.fround(0.1)]);
  });

  test('data begin at a multiple of 64 bytes, however long the shape', () => {
    for (const shape of [[1], [1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1]]) {
      for (const dtype of ['<f4', '|u1'] as NpyType[]) {
        const bytes = writeNpy(shape, [7], dtype);
        expect((10 + bytes[8] + 256 * bytes[9]) % 64, 'the offset of the data').toBe(0);
        expect(bytes[9 + bytes[8] + 256 * bytes[9]], 'the header ends with a line feed').toBe(10);
      }
    }
  });

  test('a shape that does not fit the data is our mistake, not bad input', () => {
    expect(() => writeNpy([2, 3], [1, 2, 3])).toThrow(RangeError);
  });

  test('keys in another order, double quotes and Python 2 longs are read', () => {
    const bytes = npy(`{"shape": (2L, 1L), "fortran_order": True, "descr": "|u1"}`, [3, 4], 2);
    expect(readNpy(bytes)).toEqual({ shape: [2, 1], dtype: '|u1', data: new Float32Array([3, 4]) });
  });

  test('a view into a larger buffer is read from where it begins', () => {
    const file = writeNpy([2], [5, 6]);
    const padded = new Uint8Array(file.length + 13);
    padded.set(file, 13);
    expect([...readNpy(padded.subarray(13)).data]).toEqual([5, 6]);
  });
});

describe('readNpy refuses with a sentence', () => {
  test.each([
    ['an empty file', new Uint8Array(0), 'not an NPY file'],
    ['another kind of file', new TextEncoder().encode('1,2,3'), 'not an NPY file'],
    ['only the magic bytes', writeNpy([2], [1, 2]).slice(0, 6), 'cut short'],
    ['a file that ends in its header', writeNpy([2], [1, 2]).slice(0, 40), 'cut short'],
    ['a file that lost its last byte', writeNpy([2, 3], [1, 2, 3, 4, 5, 6]).slice(0, -1), "shape (2, 3) and dtype '<f4' take 24 bytes, and 23 follow"],
    ['a file with a byte too many', Uint8Array.from([...writeNpy([2], [1, 2]), 0]), 'too long for its shape'],
    ['a shape larger than its data', npy(header(`'<f4'`, '(100, 100)'), [0, 0, 0, 0]), 'take 40,000 bytes, and 4 follow'],
    ['Python objects', npy(header(`'|O'`, '(2,)'), [0, 0]), 'Python objects (dtype object)'],
    ['complex numbers', npy(header(`'<c8'`, '(1,)'), [0, 0, 0, 0, 0, 0, 0, 0]), 'complex numbers; save the real part or the magnitude'],
    ['text', npy(header(`'<U3'`, '(1,)'), []), 'holds text'],
    ['dates', npy(header(`'<M8[ns]'`, '(1,)'), []), 'holds dates'],
    ['records', npy(header(`[('a', '<f4')]`, '(1,)'), []), 'records'],
    ['a float of 16 bytes', npy(header(`'<f16'`, '(1,)'), []), "dtype '<f16', which is not one we know"],
    ['an unknown version', npy(header(`'<f4'`, '(1,)'), [0, 0, 0, 0], 9), 'version 9'],
    ['no dtype', npy(`{'fortran_order': False, 'shape': (1,)}`), "at 'descr'"],
    ['no shape', npy(`{'descr': '<f4', 'fortran_order': False}`), "at 'shape'"],
    ['a negative size', npy(header(`'<f4'`, '(-1,)')), "at 'shape'"],
    ['a size with spaces in it', npy(header(`'<f4'`, '(1 2,)')), 'not a list of sizes'],
    ['20,000² floats', npy(header(`'<f4'`, '(20000, 20000)')), 'would take 1.6 GB of memory and at most 500 MB'],
    ['a size beyond all numbers', npy(header(`'<f4'`, `(${'9'.repeat(15)}, ${'9'.repeat(15)})`)), 'memory'],
  ])('%s', async (_, bytes, words) => {
    expect(await refusal(() => readNpy(bytes))).toContain(words);
  });
});

describe('readNpy on anything at all', () => {
  const file = writeNpy([4, 5], Array.from({ length: 20 }, (_, i) => i / 3));

  test('random bytes are refused, never worse', async () => {
    await fc.assert(fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (bytes) => {
      expect(await outcome(() => readNpy(bytes))).toBe('refused');
      expect(await outcome(() => readNpy(Uint8Array.from([...file.subarray(0, 8), ...bytes])))).toBe('refused');
    }), { seed: 2, numRuns: 500 });
  });

  test('a file with bytes changed, or cut anywhere, is read or refused', async () => {
    let read = 0;
    await fc.assert(fc.asyncProperty(fc.array(fc.tuple(fc.nat(file.length - 1), fc.nat(255)), { maxLength: 4 }), fc.nat(file.length), async (changes, end) => {
      const bytes = file.slice(0, changes.length % 2 ? end : file.length);
      for (const [at, value] of changes) bytes[at] = value;
      if ((await outcome(() => readNpy(bytes))) === 'read') read++;
    }), { seed: 3, numRuns: 2000 });
    expect(read, 'changing data alone leaves the file readable').toBeGreaterThan(100);
  });
});
