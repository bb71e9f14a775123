import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { encode as encodePng } from 'fast-png';
import jpeg from 'jpeg-js';
import { photographOf, readPhotograph, upright, writePng, writeTiff } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

/** A JPEG of what `colour` gives at each pixel. */
function jpegOf(width: number, height: number, colour: (x: number, y: number) => [number, number, number], quality = 100): Uint8Array {
  const data = new Uint8Array(4 * width * height);
  for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) data.set([...colour(x, y), 255], 4 * (y * width + x));
  return new Uint8Array(jpeg.encode({ width, height, data }, quality).data);
}

/** The same JPEG with an Exif part that states an orientation. */
function turnedJpeg(file: Uint8Array, orientation: number, little: boolean): Uint8Array {
  const word = (value: number) => (little ? [value & 255, value >> 8] : [value >> 8, value & 255]);
  const long = (value: number) => (little ? [...word(value), 0, 0] : [0, 0, ...word(value)]);
  const tiff = [...(little ? [0x49, 0x49] : [0x4d, 0x4d]), ...word(42), ...long(8), ...word(2), ...word(0x010f), ...word(2), ...long(2), 65, 0, 0, 0, ...word(0x0112), ...word(3), ...long(1), ...word(orientation), 0, 0, ...long(0)];
  const body = [...new TextEncoder().encode('Exif\0\0'), ...tiff];
  return Uint8Array.from([0xff, 0xd8, 0xff, 0xe1, (body.length + 2) >> 8, (body.length + 2) & 255, ...body, ...file.subarray(2)]);
}

const ramp = (x: number, y: number): [number, number, number] => [40, 20 + 6 * x + 3 * y, 90];

describe('readPhotograph(bytes, name)', () => {
  test('a JPEG: the green channel as a share of 255, row 0 at the top, and the means of the three', async () => {
    const photograph = await readPhotograph(jpegOf(24, 16, ramp), 'a.jpg');
    expect(photograph).toMatchObject({ width: 24, height: 16, bits: 8, encoding: 'srgb', saturated: 0 });
    for (let i = 0; i < photograph.data.length; i++) {
      const stored = ramp(i % 24, Math.floor(i / 24))[1];
      expect(Math.abs(photograph.data[i] * 255 - stored), `row ${Math.floor(i / 24)}, column ${i % 24}`).toBeLessThanOrEqual(3);
    }
    expect(photograph.channels!.red * 255).toBeCloseTo(40, 0);
    expect(photograph.channels!.blue * 255).toBeCloseTo(90, 0);
  });

  test('another channel may be asked for', async () => {
    const { data } = await readPhotograph(jpegOf(16, 16, ramp), 'a.jpg', { channel: 'blue' });
    for (const value of data) expect(Math.abs(value * 255 - 90)).toBeLessThanOrEqual(2);
  });

  test('PNG of 8 and 16 bits and TIFF of 16 bits give the stored values over full scale', async () => {
    const values = [0, 1, 100, 255];
    expect([...(await readPhotograph(await writePng(4, 1, values), 'a.png')).data]).toEqual(values.map((v) => Math.fround(v / 255)));
    const deep = [0, 257, 30000, 65535];
    const png = await readPhotograph(await writePng(4, 1, deep, 16), 'a.png');
    expect(png).toMatchObject({ bits: 16, encoding: 'unknown', saturated: 1 });
    expect([...png.data]).toEqual(deep.map((v) => Math.fround(v / 65535)));
    const tiff = await readPhotograph(writeTiff(4, 1, [deep], 'uint16'), 'a.tif');
    expect(tiff).toMatchObject({ bits: 16, saturated: 1 });
    expect([...tiff.data]).toEqual([...png.data]);
  });

  test('a float TIFF is taken as it is, and as linear', async () => {
    const photograph = await readPhotograph(writeTiff(3, 1, [[0, 0.25, 7.5]]), 'a.tif');
    expect(photograph).toMatchObject({ encoding: 'linear', saturated: 0 });
    expect([...photograph.data]).toEqual([0, 0.25, 7.5]);
  });

  test('a colour PNG is a photograph: its green is taken', async () => {
    const { data } = await readPhotograph(encodePng({ width: 2, height: 1, channels: 3, data: Uint8Array.from([9, 51, 3, 0, 102, 200]) }), 'a.png');
    expect([...data]).toEqual([Math.fround(51 / 255), Math.fround(102 / 255)]);
  });

  test('pixels at full scale are counted', async () => {
    const { saturated } = await readPhotograph(jpegOf(32, 16, (x) => (x < 16 ? [255, 255, 255] : [50, 50, 50])), 'a.jpg');
    expect(saturated).toBe(16 * 16);
  });

  // Exif 2.3, tag 0112: which side of the picture row 0 and column 0 of the file are.
  test.each([
    [1, 'abcdef', 3], [2, 'cbafed', 3], [3, 'fedcba', 3], [4, 'defabc', 3],
    [5, 'adbecf', 2], [6, 'daebfc', 2], [7, 'fcebda', 2], [8, 'cfbead', 2],
  ] as const)('orientation %i puts abc/def upright as %s', (orientation, expected, width) => {
    const letters = Float32Array.from('abcdef', (letter) => letter.charCodeAt(0));
    const turned = upright(3, 2, letters, orientation);
    expect(turned.width).toBe(width);
    expect(String.fromCharCode(...turned.data)).toBe(expected);
  });

  test.each([[6, true], [6, false], [3, true], [1, false]])('a JPEG of orientation %i (little-endian: %s) is put upright', async (orientation, little) => {
    const file = jpegOf(24, 16, ramp);
    const plain = await readPhotograph(file, 'a.jpg');
    const turned = await readPhotograph(turnedJpeg(file, orientation, little), 'a.jpg');
    const expected = upright(24, 16, plain.data, orientation as 1);
    expect([turned.width, turned.height]).toEqual([expected.width, expected.height]);
    expect(turned.data).toEqual(expected.data);
  });

  test('what the page decodes itself comes in by options.decode', async () => {
    const webp = Uint8Array.from([...new TextEncoder().encode('RIFF'), 4, 0, 0, 0, ...new TextEncoder().encode('WEBPVP8 ')]);
    const decode = async () => ({ width: 1, height: 1, data: Uint8Array.from([1, 51, 3, 255]) });
    expect([...(await readPhotograph(webp, 'a.webp', { decode })).data]).toEqual([Math.fround(0.2)]);
    expect(await refusal(() => readPhotograph(webp, 'a.webp', { decode: () => Promise.reject(new Error('no such codec')) }))).toBe('a.webp: This picture cannot be decoded here (no such codec): save it as JPEG or PNG.');
  });

  test('photographOf takes the frame of a video', () => {
    expect(photographOf({ width: 1, height: 2, data: Uint8Array.from([0, 102, 0, 255, 9, 255, 9, 255]) })).toMatchObject({ width: 1, height: 2, saturated: 1, bits: 8 });
  });
});

const ascii = (text: string) => new TextEncoder().encode(text);
const box = (brand: string) => Uint8Array.from([0, 0, 0, 24, ...ascii(`ftyp${brand}`), 0, 0, 0, 0]);

describe('readPhotograph refuses with a sentence', () => {
  const good = jpegOf(24, 16, ramp);
  const without = (marker: number, change: (bytes: Uint8Array, at: number) => void) => {
    const bytes = good.slice();
    for (let i = 2; i < bytes.length - 1; i++) if (bytes[i] === 0xff && bytes[i + 1] === marker) { change(bytes, i); return bytes; }
    throw new Error('no such marker');
  };
  test.each([
    ['nothing', 'a.jpg', new Uint8Array(0), 'a.jpg: This file is empty (0 bytes).'],
    ['HEIC', 'IMG_1.HEIC', box('heic'), 'HEIC photograph, which cannot be read: export it as JPEG'],
    ['HEIC under another name', 'IMG_1.jpg', box('mif1'), 'HEIC'],
    ['a raw file by its ending', 'a.NEF', writeTiff(1, 1, [[1]], 'uint16'), 'develop it to a 16-bit linear TIFF or PNG'],
    ['a raw file by its beginning', 'a.bin', box('crx '), 'raw file'],
    ['WebP, on the command line', 'a.webp', Uint8Array.from([...ascii('RIFF'), 0, 0, 0, 0, ...ascii('WEBP')]), 'only a browser can read'],
    ['a video', 'a.mp4', box('isom'), 'This is a video, not a photograph'],
    ['text', 'a.jpg', ascii('hello'), 'not a photograph that can be read: JPEG, PNG and TIFF can'],
    ['a JPEG cut in its picture', 'a.jpg', good.slice(0, -40), 'cut short'],
    ['a JPEG cut in its header', 'a.jpg', good.slice(0, 100), 'cut short'],
    ['a JPEG of only its first bytes', 'a.jpg', good.slice(0, 3), 'cut short'],
    ['a JPEG of 65,500² pixels', 'a.jpg', without(0xc0, (bytes, at) => bytes.set([0xff, 0xdc, 0xff, 0xdc], at + 5)), '65,500 × 65,500 pixels would take'],
    ['a JPEG of width 0', 'a.jpg', without(0xc0, (bytes, at) => bytes.set([0, 0], at + 7)), '0 × 16 pixels'],
    ['a JPEG of 12 bits', 'a.jpg', without(0xc0, (bytes, at) => bytes.set([12], at + 4)), '12 bits a sample'],
    ['an arithmetic JPEG', 'a.jpg', without(0xc0, (bytes, at) => bytes.set([0xc9], at + 1)), 'arithmetic coding'],
    ['a JPEG in print colours', 'a.jpg', without(0xc0, (bytes, at) => bytes.set([4], at + 9)), '4 channels'],
    ['a TIFF of two pages', 'a.tif', writeTiff(1, 1, [[1], [2]], 'uint16'), '2 pages, and a photograph has one'],
    ['a TIFF with NaN', 'a.tif', writeTiff(2, 1, [[1, NaN]]), 'NaN in row 1, column 2'],
  ])('%s', async (_, name, bytes, words) => {
    expect(await refusal(() => readPhotograph(bytes, name))).toContain(words);
  });
});

test('readPhotograph on a file with bytes changed or cut anywhere: read or refused, in time and in memory', { timeout: 60_000 }, async () => {
  const small = jpegOf(33, 18, ramp, 60);
  const files = [small, small, turnedJpeg(small, 6, true), await writePng(7, 5, Array.from({ length: 35 }, (_, i) => 7 * i)), writeTiff(5, 4, [Array.from({ length: 20 }, (_, i) => 900 * i)], 'uint16')];
  const ends = { read: 0, refused: 0 };
  const memory = process.memoryUsage().rss;
  let longest = 0;
  await fc.assert(fc.asyncProperty(fc.constantFrom(...files), fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { minLength: 0, maxLength: 4 }), fc.nat(1e6), fc.boolean(), async (file, changes, end, cut) => {
    const bytes = file.slice(0, cut ? end % file.length : file.length);
    for (const [at, value] of changes) if (bytes.length > 0) bytes[at % bytes.length] = value;
    const begun = performance.now();
    ends[await outcome(() => readPhotograph(bytes, 'a'))]++;
    longest = Math.max(longest, performance.now() - begun);
  }), { seed: 3, numRuns: 2000 });
  expect(ends.refused).toBeGreaterThan(500);
  expect(ends.read).toBeGreaterThan(200);
  expect((process.memoryUsage().rss - memory) / 1e6, 'MB more than before').toBeLessThan(600);
  expect(longest, 'ms for the slowest').toBeLessThan(6000);
});

test('a JPEG that repeats its scan without end is refused, not decoded for minutes', async () => {
  const good = jpegOf(16, 16, ramp);
  let sos = 2;
  while (!(good[sos] === 0xff && good[sos + 1] === 0xda)) sos += 2 + ((good[sos + 2] << 8) | good[sos + 3]);
  const scan = good.subarray(sos, good.length - 2);
  const many = Uint8Array.from([...good.subarray(0, sos), ...Array.from({ length: 300 }, () => [...scan]).flat(), 0xff, 0xd9]);
  expect(await refusal(() => readPhotograph(many, 'a.jpg'))).toContain('more than 200 scans');
});

test('a PNG bomb behind a photograph’s name is measured before it is unpacked', async () => {
  const bomb = (await writePng(16, 16, new Uint8Array(256))).slice();
  const view = new DataView(bomb.buffer);
  view.setUint32(16, 20000);
  view.setUint32(20, 20000);
  expect(await refusal(() => readPhotograph(bomb, 'a.png'))).toContain('20,000 × 20,000');
});
