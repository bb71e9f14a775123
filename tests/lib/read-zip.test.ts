import { constants, deflateRawSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { zipSync } from 'fflate';
import { isZip, unpackZip } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const noise = Uint8Array.from({ length: 900 }, (_, i) => (i * i * 31) >> 3);
const plain = Uint8Array.from({ length: 5000 }, (_, i) => i & 15);
const archive = () => zipSync({ 'scan/IMG_2.jpg': [noise, { level: 0 }], 'scan/IMG_10.jpg': plain, 'scan/empty/': new Uint8Array(0), 'größe.txt': new Uint8Array(0) });

/** Changes a number in the list of files, entry by entry (offset within the entry; see APPNOTE 4.3.12). */
function relisted(bytes: Uint8Array, entry: number, offset: number, value: number, size: 2 | 4 = 4): Uint8Array {
  const changed = bytes.slice();
  const view = new DataView(changed.buffer);
  let at = view.getUint32(changed.length - 22 + 16, true);
  for (let i = 0; i < entry; i++) at += 46 + view.getUint16(at + 28, true) + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  if (size === 4) view.setUint32(at + offset, value, true);
  else view.setUint16(at + offset, value, true);
  return changed;
}

describe('unpackZip(bytes)', () => {
  test('lists the files, stored or deflated, and gives their bytes back', async () => {
    expect(isZip(archive())).toBe(true);
    const entries = unpackZip(archive());
    expect(entries.map(({ name, size }) => [name, size])).toEqual([['scan/IMG_2.jpg', 900], ['scan/IMG_10.jpg', 5000], ['größe.txt', 0]]);
    expect(await entries[0].read()).toEqual(noise);
    expect(await entries[1].read()).toEqual(plain);
    expect((await entries[2].read()).length).toBe(0);
  });

  test('an archive without files is an empty list', () => {
    expect(unpackZip(zipSync({}))).toEqual([]);
  });

  test.each([
    ['not a ZIP', new TextEncoder().encode('hello, this is text and nothing else'), 'not a ZIP archive'],
    ['cut short', archive().slice(0, -30), 'cut short'],
    ['a file said to be larger than memory', relisted(archive(), 1, 24, 3e9), 'would take 3 GB of memory'],
    ['encrypted', relisted(archive(), 1, 8, 1, 2), 'is encrypted: pack it without a password'],
    ['another way of packing', relisted(archive(), 1, 10, 14, 2), 'packed with method 14'],
    ['two files made from the same bytes', relisted(archive(), 1, 42, 0), 'are made from the same bytes'],
    ['a file beyond the end', relisted(archive(), 1, 20, 1e6), 'should reach byte'],
    ['ZIP64', relisted(archive(), 1, 24, 0xffffffff), 'ZIP64'],
  ])('refuses %s', async (_, bytes, words) => {
    expect(await refusal(() => unpackZip(bytes))).toContain(words);
  });

  test('files that would unpack to more than 4 GB together are refused before any is unpacked', async () => {
    const many = zipSync(Object.fromEntries(Array.from({ length: 12 }, (_, i) => [`${i}.png`, plain])));
    let changed: Uint8Array = many;
    for (let i = 0; i < 12; i++) changed = relisted(changed, i, 24, 4e8);
    expect(await refusal(() => unpackZip(changed))).toBe('This ZIP would unpack to 4,800 MB, and at most 4,000 MB can be taken: split it.');
  });

  test('a bomb that says it is small stops where it said, in little memory', async () => {
    // A thousand zeros a byte: the packed form of a million zeros, up to a flush, repeated. 3 GB in all.
    const million = deflateRawSync(new Uint8Array(1e6), { finishFlush: constants.Z_FULL_FLUSH });
    const packed = new Uint8Array(3000 * million.length).map((_, i) => million[i % million.length]);
    const bomb = relisted(relisted(zipSync({ 'a.png': packed }, { level: 0 }), 0, 10, 8, 2), 0, 24, 1000);
    const before = process.memoryUsage().rss;
    expect(await refusal(() => unpackZip(bomb)[0].read())).toBe('a.png in this ZIP is damaged: it unpacks to more than the 1,000 bytes that it is said to have.');
    expect((process.memoryUsage().rss - before) / 1e6, 'MB').toBeLessThan(100);
  });

  test('a flipped bit is found by the checksum', async () => {
    const bytes = archive();
    bytes[60] ^= 1;
    expect(await refusal(() => unpackZip(bytes)[0].read())).toContain('checksum');
  });

  test('bytes changed or cut anywhere: read or refused', async () => {
    const file = archive();
    const ends = { read: 0, refused: 0 };
    await fc.assert(fc.asyncProperty(fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { maxLength: 3 }), fc.nat(1e6), fc.boolean(), async (changes, end, cut) => {
      const bytes = file.slice(0, cut ? end % file.length : file.length);
      for (const [at, value] of changes) if (bytes.length > 0) bytes[at % bytes.length] = value;
      ends[await outcome(async () => { for (const entry of unpackZip(bytes)) await entry.read(); })]++;
    }), { seed: 4, numRuns: 1500 });
    expect(ends.refused).toBeGreaterThan(400);
    expect(ends.read).toBeGreaterThan(50);
  });
});
