import fc from 'fast-check';
import { gzipSync } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { readNrrd, readTable, voxelPosition, writeNrrd, writeNrrdGzip, writeTiffStack, readTiff, type Volume } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const ascii = (text: string) => new TextEncoder().encode(text);
function joined(...parts: Uint8Array[]): Uint8Array {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  parts.reduce((at, part) => (bytes.set(part, at), at + part.length), 0);
  return bytes;
}
/** A file with any header lines, whatever follows them. */
const nrrd = (lines: string[], data: Uint8Array = new Uint8Array(0), version = 4) => joined(ascii(`NRRD000${version}\n${lines.join('\n')}\n\n`), data);
const plain = ['type: uint8', 'dimension: 3', 'sizes: 3 2 2', 'encoding: raw'];
const twelve = Uint8Array.from({ length: 12 }, (_, i) => 10 * i);
const without = (lines: string[], name: string) => lines.filter((line) => !line.startsWith(`${name}:`));
const instead = (lines: string[], line: string) => [...without(lines, line.slice(0, line.indexOf(':'))), line];

const sizes = fc.integer({ min: 1, max: 6 });
const anyVolume = fc.tuple(sizes, sizes, sizes, fc.double({ min: 1e-3, max: 20, noNaN: true }), fc.tuple(fc.double({ min: -99, max: 99, noNaN: true }), fc.double({ min: -99, max: 99, noNaN: true }), fc.double({ min: -99, max: 99, noNaN: true })), fc.infiniteStream(fc.float()))
  .map(([width, height, depth, voxelSize, centre, values]): Volume => ({ width, height, depth, voxelSize, centre, data: Float32Array.from(values.take(width * height * depth)) }));

describe('writeNrrd and readNrrd', () => {
  test('any volume comes back to the last bit, in its place, packed or not', async () => {
    await fc.assert(fc.asyncProperty(anyVolume, fc.boolean(), async (volume, packed) => {
      const back = await readNrrd(packed ? await writeNrrdGzip(volume, 'a title') : writeNrrd(volume, 'a title'));
      expect([back.width, back.height, back.depth]).toEqual([volume.width, volume.height, volume.depth]);
      expect(back.data).toEqual(volume.data);
      expect(back.voxelSize).toBeCloseTo(volume.voxelSize, 12);
      back.centre!.forEach((value, k) => expect(value, 'centre, mm').toBeCloseTo(volume.centre![k], 9));
      expect(back.fields.content).toBe('a title');
      expect(back.sizeKnown).toBe(true);
    }), { seed: 1, numRuns: 80 });
  });

  test('16 bits: within half a step of the scale, NaN at the least', async () => {
    await fc.assert(fc.asyncProperty(anyVolume, async (given) => {
      const volume = { ...given, data: given.data.map((value) => (Number.isFinite(value) ? Math.max(-1e6, Math.min(1e6, value)) : value)) };
      const back = await readNrrd(writeNrrd(volume, '', 'uint16'));
      const finite = volume.data.filter(Number.isFinite);
      const [least, greatest] = finite.length > 0 ? [Math.min(...finite), Math.max(...finite)] : [0, 0];
      volume.data.forEach((value, i) => {
        const expected = Number.isFinite(value) ? value : value === Infinity ? greatest : least;
        expect(Math.abs(back.data[i] - expected)).toBeLessThanOrEqual(0.51 * (greatest - least) / 65535 + 1e-6 * Math.max(Math.abs(least), Math.abs(greatest)) + 1e-12);
      });
    }), { seed: 2, numRuns: 80 });
  });

  test('the header, byte by byte', () => {
    const volume: Volume = { width: 2, height: 3, depth: 1, voxelSize: 0.5, centre: [1, 2, 3], data: Float32Array.of(0, 1, 2, 3, 4, 5) };
    const bytes = writeNrrd(volume, 'two\nlines');
    const text = new TextDecoder('latin1').decode(bytes);
    expect(text.slice(0, text.indexOf('\n\n'))).toBe([
      'NRRD0004', 'content: two lines', 'type: float', 'dimension: 3', 'space: 3D-right-handed', 'sizes: 2 3 1', 'space directions: (0.5,0,0) (0,-0.5,0) (0,0,0.5)',
      'centerings: cell cell cell', 'kinds: domain domain domain', 'endian: little', 'encoding: raw', 'space units: "mm" "mm" "mm"', 'space origin: (0.75,2.5,3)', 'sample units: 1/mm',
    ].join('\n'));
    expect([...bytes.subarray(text.indexOf('\n\n') + 2)], 'float32, lowest byte first').toEqual([...new Uint8Array(Float32Array.of(0, 1, 2, 3, 4, 5).buffer)]);
    expect(() => writeNrrd({ ...volume, depth: 2 })).toThrow('needs 12 values; there are 6');
  });

  test('a volume in which nothing varies packs well', async () => {
    const empty: Volume = { width: 40, height: 40, depth: 40, voxelSize: 1, data: new Float32Array(64000) };
    expect((await writeNrrdGzip(empty)).length).toBeLessThan(2000);
  });
});

describe('readNrrd reads files of others', () => {
  test('a header of the first version, without endian for single bytes', async () => {
    const { width, height, depth, voxelSize, sizeKnown, centre, data } = await readNrrd(nrrd(['# a comment', ...plain], twelve, 1));
    expect({ width, height, depth, voxelSize, sizeKnown, centre }).toEqual({ width: 3, height: 2, depth: 2, voxelSize: 1, sizeKnown: false, centre: undefined });
    expect([...data]).toEqual([...twelve]);
  });

  const types: [string, number, (view: DataView, at: number, value: number, little: boolean) => void][] = [
    ['signed char', 1, (v, at, x) => v.setInt8(at, x)], ['uint8_t', 1, (v, at, x) => v.setUint8(at, x)],
    ['short', 2, (v, at, x, l) => v.setInt16(at, x, l)], ['unsigned short int', 2, (v, at, x, l) => v.setUint16(at, x, l)],
    ['signed int', 4, (v, at, x, l) => v.setInt32(at, x, l)], ['uint', 4, (v, at, x, l) => v.setUint32(at, x, l)],
    ['longlong', 8, (v, at, x, l) => v.setBigInt64(at, BigInt(x), l)], ['uint64_t', 8, (v, at, x, l) => v.setBigUint64(at, BigInt(x), l)],
    ['float', 4, (v, at, x, l) => v.setFloat32(at, x, l)], ['double', 8, (v, at, x, l) => v.setFloat64(at, x, l)],
  ];
  test.each(types)('samples of type %s, either byte order, raw, gzip, after a skip', async (type, size, set) => {
    const values = [1, 2, 3, 100, 7, 0];
    for (const little of [true, false]) {
      const data = new Uint8Array(6 * size);
      values.forEach((value, i) => set(new DataView(data.buffer), i * size, value, little));
      const lines = [`type: ${type}`, 'dimension: 3', 'sizes: 1 2 3', `endian: ${little ? 'little' : 'big'}`];
      const read = async (more: string[], bytes: Uint8Array) => [...(await readNrrd(nrrd([...lines, ...more], bytes))).data];
      expect(await read(['encoding: raw'], data)).toEqual(values);
      expect(await read(['encoding: gzip'], new Uint8Array(gzipSync(data)))).toEqual(values);
      expect(await read(['encoding: raw', 'byte skip: 5'], joined(new Uint8Array(5), data))).toEqual(values);
      expect(await read(['encoding: raw', 'byte skip: -1'], joined(new Uint8Array(9), data))).toEqual(values);
      expect(await read(['encoding: raw', 'line skip: 2'], joined(ascii('two\nlines\n'), data))).toEqual(values);
      expect(await read(['encoding: gz', 'byteskip: 3'], new Uint8Array(gzipSync(joined(new Uint8Array(3), data))))).toEqual(values);
    }
  });

  test('numbers as text', async () => {
    expect([...(await readNrrd(nrrd(['type: float', 'dimension: 3', 'sizes: 2 1 2', 'encoding: text'], ascii('0.5 -1e3\n 7, 4\n')))).data]).toEqual([0.5, -1000, 7, 4]);
  });

  test('Windows line ends, and spacings of one length, in cm', async () => {
    const text = ['NRRD0003', ...plain, 'spacings: 0.05 0.05 0.05', 'units: "cm" "cm" "cm"', '', ''].join('\r\n');
    const { voxelSize, sizeKnown, data } = await readNrrd(joined(ascii(text), twelve));
    expect(voxelSize).toBeCloseTo(0.5, 12);
    expect(sizeKnown).toBe(true);
    expect([...data]).toEqual([...twelve]);
  });

  test('whichever way a file counts its voxels, each comes to its place', async () => {
    // Each of the 48 ways to lay three axes along x, y and z: a voxel's value is made from its place.
    const orders = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]];
    const value = (x: number, y: number, z: number) => Math.round(100 + 3 * x + 11 * y + 29 * z);
    for (const order of orders) {
      for (let signs = 0; signs < 8; signs++) {
        const size = [4, 3, 2];
        const sign = [0, 1, 2].map((axis) => (signs & (1 << axis) ? -1 : 1));
        const origin = [5, -3, 1]; // of the first sample, mm
        const place = (at: number[]) => { const p = [...origin]; at.forEach((n, axis) => { p[order[axis]] += 2 * sign[axis] * n; }); return p as unknown as [number, number, number]; };
        const data = new Int16Array(24);
        for (let i = 0; i < 24; i++) data[i] = value(...place([i % 4, Math.floor(i / 4) % 3, Math.floor(i / 12)]));
        const direction = (axis: number) => `(${[0, 1, 2].map((w) => (w === order[axis] ? 2 * sign[axis] : 0)).join(',')})`;
        const file = nrrd(['type: short', 'endian: little', 'dimension: 3', `sizes: ${size.join(' ')}`, 'encoding: raw', 'space dimension: 3', `space directions: ${[0, 1, 2].map(direction).join(' ')}`, `space origin: (${origin.join(',')})`], new Uint8Array(data.buffer));
        const volume = await readNrrd(file);
        for (let i = 0; i < 24; i++) {
          const where = voxelPosition(volume, i % volume.width, Math.floor(i / volume.width) % volume.height, Math.floor(i / (volume.width * volume.height)));
          expect(volume.data[i], `axes ${order}, signs ${sign}, at (${where.join(', ')}) mm`).toBe(value(...(where as unknown as [number, number, number])));
        }
      }
    }
  });

  test('a left-handed space is mirrored in x', async () => {
    const lines = [...plain, 'space: left-anterior-superior', 'space directions: (1,0,0) (0,1,0) (0,0,1)', 'space origin: (10,0,0)'];
    const volume = await readNrrd(nrrd(lines, twelve));
    expect(volume.centre![0]).toBe(-11);
    expect([...volume.data].slice(0, 6), 'columns and rows run the other way').toEqual([50, 40, 30, 20, 10, 0]);
    const upright = await readNrrd(nrrd(instead(lines, 'space: left-posterior-superior'), twelve));
    expect(upright.centre![0]).toBe(11);
    expect([...upright.data].slice(0, 6)).toEqual([30, 40, 50, 0, 10, 20]);
  });

  test('old min and old max: a sample stands for the middle of its cell', async () => {
    const { data } = await readNrrd(nrrd([...plain, 'old min: -1', 'old max: 1'], twelve));
    expect(data[3]).toBeCloseTo(-1 + (2 * 30.5) / 256, 6);
    const scaled = await readNrrd(nrrd([...plain, 'old min: -1', 'old max: 1', 'scale:=2', 'offset:=5'], twelve));
    expect(scaled.data[3], 'scale and offset are surer').toBe(65);
  });

  test('two dimensions are one slice', async () => {
    const { width, height, depth } = await readNrrd(nrrd(['type: uint8', 'dimension: 2', 'sizes: 4 3', 'encoding: raw', 'spacings: 0.2 0.2'], twelve));
    expect([width, height, depth]).toEqual([4, 3, 1]);
  });
});

describe('readNrrd refuses with a sentence', () => {
  const directions = 'space directions: (1,0,0) (0,1,0) (0,0,1)';
  test.each<[string, Uint8Array, string]>([
    ['nothing', new Uint8Array(0), 'not a NRRD file'],
    ['version 9', nrrd(plain, twelve, 9), 'format version 9'],
    ['a file cut in its header', nrrd(plain, twelve).slice(0, 30), 'cut short: it ends inside its header'],
    ['a file that lost its last byte', nrrd(plain, twelve).slice(0, -1), 'cut short: 3 × 2 × 2 samples of type uint8 take 12 bytes, and 11 follow the header'],
    ['packed data cut', nrrd(instead(plain, 'encoding: gzip'), new Uint8Array(gzipSync(twelve)).slice(0, -9)), 'cut short'],
    ['packed data that are no gzip', nrrd(instead(plain, 'encoding: gzip'), twelve), 'cannot be unpacked'],
    ['a gzip bomb', nrrd(instead(plain, 'encoding: gzip'), new Uint8Array(gzipSync(new Uint8Array(1e7)))), 'more than the 12 bytes'],
    ['data in another file', nrrd([...plain, 'data file: voxels.raw']), 'keeps its data in another file (voxels.raw)'],
    ['data in another file, header alone', ascii(['NRRD0004', ...plain, 'datafile: a.raw', ''].join('\n')), 'another file (a.raw)'],
    ['bzip2', nrrd(instead(plain, 'encoding: bzip2'), twelve), 'packed with "bzip2"'],
    ['blocks', nrrd(instead(plain, 'type: block'), twelve), 'samples of type "block"'],
    ['four dimensions', nrrd(instead(plain, 'dimension: 4'), twelve), '4 dimensions'],
    ['no sizes', nrrd(without(plain, 'sizes'), twelve), 'the line "sizes: …" is missing'],
    ['sizes that do not fit', nrrd(instead(plain, 'sizes: 3 2'), twelve), 'its sizes are "3 2" and should be 3 whole numbers'],
    ['a size of 0', nrrd(instead(plain, 'sizes: 3 0 2'), twelve), 'whole numbers from 1'],
    ['no byte order', nrrd(instead(instead(plain, 'type: short'), 'sizes: 3 2 1'), twelve), 'in which order its bytes stand'],
    ['too large for memory', nrrd(instead(plain, 'sizes: 2000 2000 2000'), twelve), 'would take 32 GB of memory'],
    ['flat voxels', nrrd([...plain, 'spacings: 0.5 0.5 2'], twelve), '0.5 × 0.5 × 2 mm: cubes are needed'],
    ['voxels of no size', nrrd([...plain, 'spacings: 0 0 0'], twelve), 'longer than 0'],
    ['voxels askew', nrrd([...plain, 'space dimension: 3', 'space directions: (0.8,0.6,0) (-0.6,0.8,0) (0,0,1)'], twelve), 'stand askew'],
    ['two axes along x', nrrd([...plain, 'space dimension: 3', 'space directions: (1,0,0) (1,0,0) (0,0,1)'], twelve), 'stand askew'],
    ['directions that are none', nrrd([...plain, 'space dimension: 3', 'space directions: none (1,0,0) (0,1,0)'], twelve), 'space directions are'],
    ['an origin of two numbers', nrrd([...plain, 'space dimension: 3', directions, 'space origin: (1,2)'], twelve), 'its space origin is "(1,2)"'],
    ['lengths in hours', nrrd([...plain, 'space dimension: 3', directions, 'space units: "h" "h" "h"'], twelve), 'gives its lengths in "h"'],
    ['lengths in two units', nrrd([...plain, 'space dimension: 3', directions, 'space units: "mm" "mm" "cm"'], twelve), 'in different units'],
    ['a line that is no field', nrrd([...plain, 'what is this'], twelve), '"what is this" should be a field'],
    ['too few numbers as text', nrrd(instead(plain, 'encoding: text'), ascii('1 2 3')), '12 in all, and holds 3 numbers'],
    ['a byte skip of −7', nrrd([...plain, 'byte skip: -7'], twelve), 'byte skip is "-7"'],
    ['lines that are not there', nrrd([...plain, 'line skip: 9'], twelve), 'after 9 lines'],
  ])('%s', async (_, bytes, words) => expect(await refusal(() => readNrrd(bytes))).toContain(words));

  test('bytes changed or cut anywhere: read or refused', async () => {
    const volume: Volume = { width: 3, height: 2, depth: 2, voxelSize: 1, data: Float32Array.from(twelve) };
    const files = [writeNrrd(volume, 'x'), writeNrrd(volume, 'x', 'uint16'), await writeNrrdGzip(volume), nrrd(instead(plain, 'encoding: text'), ascii('1 2 3 4 5 6 7 8 9 10 11 12'))];
    const ends = { read: 0, refused: 0 };
    await fc.assert(fc.asyncProperty(fc.constantFrom(...files), fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { maxLength: 3 }), fc.nat(1e6), fc.boolean(), async (file, changes, end, cut) => {
      const bytes = file.slice(0, cut ? end % file.length : file.length);
      for (const [at, value] of changes) if (bytes.length > 0) bytes[at % bytes.length] = value;
      ends[await outcome(() => readNrrd(bytes))]++;
    }), { seed: 3, numRuns: 2000 });
    expect(ends.refused).toBeGreaterThan(400);
    expect(ends.read).toBeGreaterThan(200);
  });
});

describe('writeTiffStack', () => {
  const volume: Volume = { width: 4, height: 3, depth: 5, voxelSize: 0.25, centre: [1, 2, 3], data: Float32Array.from({ length: 60 }, (_, i) => Math.sin(i) / 50) };
  test('a page a slice, the lowest first', async () => {
    const { pages, width, height, bits } = await readTiff(writeTiffStack(volume));
    expect([pages.length, width, height, bits]).toEqual([5, 4, 3, 32]);
    pages.forEach((page, slice) => expect(page).toEqual(volume.data.slice(slice * 12, slice * 12 + 12)));
    expect((await readTable(writeTiffStack(volume), 'a.tif')).length).toBe(5);
  });
  test('16 bits: scale and offset in the description carry the samples back', async () => {
    const bytes = writeTiffStack(volume, 'uint16');
    const text = new TextDecoder('latin1').decode(bytes);
    const [scale, offset] = ['scale', 'offset'].map((name) => Number(new RegExp(`${name}=(\\S+)`).exec(text)![1]));
    const { pages } = await readTiff(bytes);
    pages.forEach((page, slice) => page.forEach((sample, i) => expect(Math.abs(offset + scale * sample - volume.data[slice * 12 + i])).toBeLessThan(0.51 * scale)));
    expect(Math.max(...pages.flatMap((page) => [...page])), 'all 16 bits are used').toBe(65535);
    expect(text).toContain('voxel=0.25 mm');
    expect(text).toContain(`first voxel=${voxelPosition(volume, 0, 0, 0).join(' ')} mm`);
  });
  test('sizes of a pixel from a nanometre to a metre can be said', async () => {
    for (const voxelSize of [1e-6, 0.0123, 0.3, 7, 1000]) {
      const bytes = writeTiffStack({ ...volume, voxelSize });
      const view = new DataView(bytes.buffer);
      const at = view.getUint32(4, true);
      const entry = Array.from({ length: view.getUint16(at, true) }, (_, i) => at + 2 + 12 * i).find((e) => view.getUint16(e, true) === 282)!;
      const ratio = view.getUint32(entry + 8, true);
      expect(10 / (view.getUint32(ratio, true) / view.getUint32(ratio + 4, true)) / voxelSize).toBeCloseTo(1, 6);
      expect((await readTiff(bytes)).pages.length).toBe(5);
    }
  });
});
