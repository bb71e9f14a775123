import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { encode } from 'fast-png';
import { crc32, deflateSync } from 'node:zlib';
import { readPng, writePng } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const word = (value: number) => [value >>> 24, (value >> 16) & 255, (value >> 8) & 255, value & 255];

function part(type: string, data: ArrayLike<number>): number[] {
  const body = Uint8Array.from([...new TextEncoder().encode(type), ...Array.from(data)]);
  return [...word(data.length), ...body, ...word(crc32(body))];
}

/** A PNG with any header and any picture data. */
function png(width: number, height: number, depth: number, colour: number, packed: Uint8Array, interlaced = 0, between: number[] = []): Uint8Array {
  const header = part('IHDR', [...word(width), ...word(height), depth, colour, 0, 0, interlaced]);
  return Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10, ...header, ...between, ...part('IDAT', packed), ...part('IEND', [])]);
}

describe('writePng and readPng', () => {
  test('8 and 16 bits are read back as they were', async () => {
    await fc.assert(fc.asyncProperty(fc.integer({ min: 1, max: 9 }), fc.integer({ min: 1, max: 9 }), fc.constantFrom(8 as const, 16 as const), fc.infiniteStream(fc.nat(65535)), async (width, height, bits, values) => {
      const data = Float32Array.from(values.take(width * height), (value) => value % 2 ** bits);
      expect(await readPng(await writePng(width, height, data, bits))).toEqual({ width, height, pages: [data], bits, sample: 'unsigned' });
    }), { seed: 1, numRuns: 60 });
  });

  test('values are rounded and held within the range; NaN is black', async () => {
    expect([...(await readPng(await writePng(5, 1, [-4, 0.6, 254.4, 999, NaN]))).pages[0]]).toEqual([0, 1, 254, 255, 0]);
  });

  test('data that do not fill the picture are our mistake', async () => {
    await expect(writePng(2, 2, [1, 2, 3])).rejects.toThrow(RangeError);
  });

  test('a colour picture that is nearly grey becomes its luminance', async () => {
    const { pages } = await readPng(encode({ width: 2, height: 1, channels: 3, data: Uint8Array.from([100, 100, 100, 100, 101, 102]) }));
    expect(pages[0][0]).toBe(100);
    expect(pages[0][1], 'ITU-R BT.709 weights').toBeCloseTo(0.2126 * 100 + 0.7152 * 101 + 0.0722 * 102, 4);
  });

  test('a compressed comment that would unpack to gigabytes is never unpacked', async () => {
    const bomb = part('iCCP', [65, 0, 0, ...deflateSync(new Uint8Array(1e6))]);
    const bytes = png(1, 1, 8, 0, deflateSync(Uint8Array.from([0, 42])), 0, bomb);
    expect([...(await readPng(bytes)).pages[0]]).toEqual([42]);
  });
});

describe('readPng refuses with a sentence', async () => {
  const good = await writePng(4, 3, [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]);
  const colour = encode({ width: 2, height: 2, channels: 3, data: Uint8Array.from([9, 9, 9, 9, 9, 9, 200, 10, 10, 9, 9, 9]) });
  const clear = encode({ width: 1, height: 1, channels: 2, data: Uint8Array.from([9, 100]) });
  const lines = (count: number) => deflateSync(new Uint8Array(count));
  const flipped = good.slice();
  flipped[50] ^= 0xff;
  test.each([
    ['nothing', new Uint8Array(0), 'not a PNG file'],
    ['only its first bytes', good.slice(0, 8), 'cut short: it ends after 8 bytes, before its end mark'],
    ['a file cut in its picture', good.slice(0, 60), 'cut short'],
    ['a file without its end', good.slice(0, -12), 'cut short'],
    ['a flipped byte', flipped, 'damaged'],
    ['a colour photograph', colour, 'colour picture (row 2, column 1 has red 200, green 10, blue 10): a sinogram needs one grey value a pixel'],
    ['transparent pixels', clear, 'transparent'],
    ['no header', Uint8Array.from([...good.slice(0, 8), ...part('IDAT', [])]), 'does not begin with its header'],
    ['a width of 0', png(0, 4, 8, 0, lines(4)), 'which does not exist'],
    ['3 bits a pixel', png(4, 4, 3, 0, lines(20)), 'which does not exist'],
    ['4 bits a pixel, interlaced', png(4, 4, 4, 0, lines(20), 1), 'interlaced with 4 bits'],
    ['20,000² pixels, whatever it holds', png(20000, 20000, 8, 0, lines(10)), '20,000 × 20,000 pixels would take 1.6 GB of memory and at most 500 MB are allowed for'],
    ['less picture than its header promises', png(4, 4, 8, 0, lines(19)), 'its header promises 20 bytes of picture, and 19 are there'],
    ['a picture that unpacks to more than its header promises', png(4, 4, 8, 0, deflateSync(new Uint8Array(1e6))), 'longer than the 20 bytes'],
    ['a palette that is not there', png(4, 4, 8, 3, lines(20)), 'damaged'],
    ['a filter that does not exist', png(1, 1, 8, 0, deflateSync(Uint8Array.from([9, 1]))), 'damaged'],
  ])('%s', async (_, bytes, words) => {
    expect(await refusal(() => readPng(bytes))).toContain(words);
  });

  test('a bomb is measured in small steps: memory stays small', async () => {
    const bomb = png(16, 16, 8, 0, deflateSync(new Uint8Array(2e8), { level: 1 }));
    const before = process.memoryUsage().rss;
    await refusal(() => readPng(bomb));
    expect((process.memoryUsage().rss - before) / 1e6, 'MB').toBeLessThan(120);
  });
});

test('readPng on a file with bytes changed or cut anywhere: read or refused', async () => {
  const files = [
    await writePng(7, 5, Array.from({ length: 35 }, (_, i) => 7 * i)),
    await writePng(3, 3, Array.from({ length: 9 }, (_, i) => 7000 * i), 16),
    encode({ width: 5, height: 4, data: Uint8Array.from({ length: 20 }, (_, i) => i % 3), palette: [[1, 1, 1], [2, 2, 2], [3, 3, 3]], depth: 8, channels: 1 }),
    encode({ width: 3, height: 3, channels: 4, data: new Uint8Array(36).fill(255) }, { interlace: 'Adam7' }),
  ];
  const ends = { read: 0, refused: 0 };
  await fc.assert(fc.asyncProperty(fc.constantFrom(...files), fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { maxLength: 3 }), fc.nat(1e6), fc.boolean(), async (file, changes, end, cut) => {
    const bytes = file.slice(0, cut ? end % file.length : file.length);
    for (const [at, value] of changes) if (bytes.length > 0) bytes[at % bytes.length] = value;
    repairChecksums(bytes);
    ends[await outcome(() => readPng(bytes))]++;
  }), { seed: 2, numRuns: 1500 });
  expect(ends.refused).toBeGreaterThan(300);
  expect(ends.read).toBeGreaterThan(100);
});

/** Puts the checksums right where the parts can still be found, so that the changes get past them. */
function repairChecksums(bytes: Uint8Array): void {
  const view = new DataView(bytes.buffer);
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    if (at + 12 + length > bytes.length) return;
    view.setUint32(at + 8 + length, crc32(bytes.slice(at + 4, at + 8 + length)));
    at += 12 + length;
  }
}
