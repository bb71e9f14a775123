import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { deflateSync } from 'node:zlib';
import { readTiff, writeTiff } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

type Entry = [tag: number, type: number, values: number | number[]];

/** A TIFF of one page with any entries; the picture stands after the directory. Values that do not fit into an entry are put behind it. */
function tiff(entries: Entry[], picture: ArrayLike<number>, { little = true, next = 0, lengths = true } = {}): Uint8Array {
  const all: Entry[] = [...entries];
  const stripAt = 8 + 2 + 12 * (entries.length + (lengths ? 2 : 0)) + 4 + 256;
  if (lengths) all.push([273, 4, stripAt], [279, 4, picture.length]);
  all.sort((a, b) => a[0] - b[0]);
  const bytes = new Uint8Array(stripAt + picture.length);
  const view = new DataView(bytes.buffer);
  bytes.set(little ? [0x49, 0x49, 42, 0] : [0x4d, 0x4d, 0, 42]);
  view.setUint32(4, 8, little);
  view.setUint16(8, all.length, little);
  let extra = 8 + 2 + 12 * all.length + 4;
  all.forEach(([tag, type, value], i) => {
    const at = 10 + 12 * i;
    const values = [value].flat();
    view.setUint16(at, tag, little);
    view.setUint16(at + 2, type, little);
    view.setUint32(at + 4, values.length, little);
    const size = type === 4 ? 4 : type === 3 ? 2 : 1;
    let to = at + 8;
    if (size * values.length > 4) {
      view.setUint32(to, extra, little);
      to = extra;
      extra += size * values.length;
    }
    values.forEach((v, k) => (size === 4 ? view.setUint32(to + 4 * k, v, little) : size === 2 ? view.setUint16(to + 2 * k, v, little) : view.setUint8(to + k, v)));
  });
  view.setUint32(10 + 12 * all.length, next, little);
  bytes.set(Uint8Array.from(picture), stripAt);
  return bytes;
}

const grey = (width: number, height: number, bits = 8, more: Entry[] = []): Entry[] => [[256, 4, width], [257, 4, height], [258, 3, bits], [262, 3, 1], ...more.map((e) => e)];
const packed = (compression: number, width: number, height: number): Entry[] => grey(width, height, 8, [[259, 3, compression]]);

describe('writeTiff and readTiff', () => {
  test('any float32 pages are read back to the last bit', async () => {
    await fc.assert(fc.asyncProperty(fc.integer({ min: 1, max: 7 }), fc.integer({ min: 1, max: 7 }), fc.integer({ min: 1, max: 4 }), fc.infiniteStream(fc.float()), async (width, height, count, values) => {
      const pages = Array.from({ length: count }, () => Float32Array.from(values.take(width * height)));
      expect(await readTiff(writeTiff(width, height, pages))).toEqual({ width, height, pages, bits: 32, sample: 'float' });
    }), { seed: 1, numRuns: 60 });
  });

  test('16 and 8 bits round, and hold values at the ends of their range', async () => {
    expect([...(await readTiff(writeTiff(4, 1, [[-1, 0.6, 70000, NaN]], 'uint16'))).pages[0]]).toEqual([0, 1, 65535, 0]);
    expect([...(await readTiff(writeTiff(3, 1, [[-1, 254.6, 999]], 'uint8'))).pages[0]]).toEqual([0, 255, 255]);
  });

  test('a description is kept, of any length', async () => {
    for (const text of ['mm', 'abcd', 'attenuation in 1/mm, pixels of 0.148 mm']) {
      const bytes = writeTiff(2, 1, [[1, 2]], 'float32', text);
      expect(new TextDecoder('latin1').decode(bytes)).toContain(`${text}\0`);
      expect([...(await readTiff(bytes)).pages[0]]).toEqual([1, 2]);
    }
  });

  test('pages that do not fill the picture are our mistake', () => {
    expect(() => writeTiff(2, 2, [[1, 2, 3]])).toThrow(RangeError);
    expect(() => writeTiff(2, 2, [])).toThrow(RangeError);
  });

  test('a thumbnail beside the picture is left out', async () => {
    const two = writeTiff(2, 1, [[1, 2], [3, 4]], 'uint8');
    const view = new DataView(two.buffer);
    // Turn the second page's tag 284 (planar configuration) into 254 (kind of page), value 1: a reduced copy.
    const second = view.getUint32(8 + 2 + 12 * 11, true);
    const at = second + 2 + 12 * 9;
    expect(view.getUint16(at, true)).toBe(284);
    view.setUint16(at, 254, true);
    expect((await readTiff(two)).pages.map((page) => [...page])).toEqual([[1, 2]]);
  });
});

describe('readTiff refuses with a sentence', () => {
  const good = writeTiff(4, 3, [Array.from({ length: 12 }, (_, i) => i)]);
  const loop = writeTiff(2, 1, [[1, 2]], 'uint8');
  new DataView(loop.buffer).setUint32(8 + 2 + 12 * 11, 8, true);
  test.each<[string, Uint8Array, string]>([
    ['nothing', new Uint8Array(0), 'not a TIFF file'],
    ['only its first bytes', good.slice(0, 4), 'cut short'],
    ['a file cut in its directory', good.slice(0, 40), 'cut short: the directory of page 1 should reach byte'],
    ['a file that lost its last byte', good.slice(0, -1), 'cut short: the picture of page 1 should reach byte 194, and the file ends at 193'],
    ['a list of pages that leads back', loop, 'leads back to an earlier one'],
    ['a BigTIFF', Uint8Array.from([0x49, 0x49, 43, 0, 8, 0, 0, 0]), 'BigTIFF'],
    ['a colour photograph', tiff([[256, 4, 1], [257, 4, 1], [258, 3, [8, 8, 8]], [262, 3, 2], [277, 3, 3]], [200, 10, 10]), 'colour picture (row 1, column 1 has red 200'],
    ['a palette', tiff(grey(1, 1).map((e) => (e[0] === 262 ? [262, 3, 3] : e) as Entry), [1]), 'colour picture (photometric 3)'],
    ['JPEG inside', tiff(packed(7, 1, 1), [1]), 'compressed with JPEG'],
    ['12 bits', tiff(grey(2, 1, 12), [1, 2, 3]), 'samples of 12 bits'],
    ['20,000² pixels', tiff(grey(20000, 20000), [1]), '20,000 × 20,000 pixels would take 1.6 GB of memory'],
    ['tiles larger than memory', tiff([...grey(4, 4), [322, 4, 60000], [323, 4, 60000], [324, 4, 300], [325, 4, 1]], [1], { lengths: false }), 'tiles of 60,000 × 60,000 pixels'],
    ['too few strips', tiff(grey(4, 4, 8, [[278, 4, 1]]), new Uint8Array(16)), 'needs 4 pieces of picture, and its directory lists 1'],
    ['a strip that is too short', tiff(grey(4, 4), new Uint8Array(15)), 'cut short or damaged'],
    ['a width of 0', tiff(grey(0, 4), [1]), 'is 0 × 4 pixels'],
    ['an entry that points outside', tiff(grey(1, 1, 8, [[270, 2, new Array(200).fill(65)]]), [1]).slice(0, 150), 'cut short: entry 270 of page 1'],
    ['a deflate bomb', tiff(packed(8, 4, 4), deflateSync(new Uint8Array(1e6))), 'longer than the 16 bytes'],
    ['a PackBits bomb', tiff(packed(32773, 4, 4), new Array(5000).fill([129, 7]).flat()), 'longer than the 16 bytes'],
    ['LZW codes that do not exist', tiff(packed(5, 4, 4), [0x80, 0x3f, 0xff, 0xff, 0xff]), 'LZW data cannot be unpacked'],
    ['turned pixels', tiff(grey(1, 1, 8, [[274, 3, 6]]), [1]), 'orientation 6'],
    ['big-endian with a predictor', tiff(packed(8, 1, 1).concat([[317, 3, 2]]), deflateSync(new Uint8Array(1)), { little: false }), 'predictor'],
    ['white as zero in floats', tiff(grey(1, 1, 32, [[339, 3, 3]]).map((e) => (e[0] === 262 ? [262, 3, 0] : e) as Entry), [0, 0, 0, 0]), 'white is zero'],
    ['pages of two sizes', joined(), 'pages of different sizes: page 1 is 2 × 1 pixels and page 2 is 1 × 2'],
  ])('%s', async (_, bytes, words) => {
    expect(await refusal(() => readTiff(bytes))).toContain(words);
  });

  function joined(): Uint8Array {
    const two = writeTiff(2, 1, [[1, 2], [3, 4]], 'uint8');
    const view = new DataView(two.buffer);
    const second = view.getUint32(8 + 2 + 12 * 11, true);
    view.setUint32(second + 2 + 8, 1, true);
    view.setUint32(second + 2 + 12 + 8, 2, true);
    view.setUint32(second + 2 + 12 * 7 + 8, 2, true);
    return two;
  }
});

test('readTiff on a file with bytes changed or cut anywhere: read or refused, quickly', async () => {
  const bits = (values: number[]) => values.map((v) => v.toString(2).padStart(9, '0')).join('').match(/.{1,8}/g)!.map((b) => parseInt(b.padEnd(8, '0'), 2));
  const files = [
    writeTiff(5, 4, [Array.from({ length: 20 }, (_, i) => i)]),
    writeTiff(3, 2, [[1, 2, 3, 4, 5, 6], [6, 5, 4, 3, 2, 1]], 'uint16', 'two pages'),
    tiff(packed(8, 8, 8), deflateSync(Uint8Array.from({ length: 64 }, (_, i) => i))),
    tiff(packed(5, 4, 4), bits([256, 1, 2, 258, 260, 3, 261, 4, 259, 5, 257])),
    tiff(packed(32773, 4, 4), [241, 7]),
    tiff([...grey(20, 20), [322, 3, 16], [323, 3, 16], [324, 4, [400, 400, 400, 400]], [325, 4, [256, 256, 256, 256]]], new Uint8Array(400), { lengths: false, little: false }),
  ];
  for (const file of files) expect(await outcome(() => readTiff(file)), 'the file itself').toBe('read');
  const ends = { read: 0, refused: 0 };
  await fc.assert(fc.asyncProperty(fc.constantFrom(...files), fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { maxLength: 3 }), fc.nat(1e6), fc.boolean(), async (file, changes, end, cut) => {
    const bytes = file.slice(0, cut ? end % file.length : file.length);
    for (const [at, value] of changes) if (bytes.length > 0) bytes[at % bytes.length] = value;
    const before = performance.now();
    ends[await outcome(() => readTiff(bytes))]++;
    expect(performance.now() - before, 'milliseconds').toBeLessThan(10_000);
  }), { seed: 2, numRuns: 2500 });
  expect(ends.refused).toBeGreaterThan(500);
  expect(ends.read).toBeGreaterThan(200);
});
