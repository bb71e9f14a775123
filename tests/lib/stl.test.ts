import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { meshVolume, readStl, surface, watertight, writeStl, type Mesh } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const tetrahedron: Mesh = { positions: Float32Array.from([0, 0, 0, 3, 0, 0, 0, 2, 0, 0, 0, 5]), triangles: Uint32Array.from([0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3]) };
const corners = ({ positions, triangles }: Mesh) => Array.from(triangles).flatMap((vertex) => Array.from(positions.subarray(3 * vertex, 3 * vertex + 3)));

describe('writeStl and readStl', () => {
  test('the bytes of a tetrahedron, one by one', () => {
    const bytes = writeStl(tetrahedron, 'nut');
    expect(bytes.length).toBe(84 + 4 * 50);
    const text = new TextDecoder('latin1').decode(bytes.subarray(0, 80));
    expect(text).toBe('nut; binary STL, mm'.padEnd(80, '\0'));
    const view = new DataView(bytes.buffer);
    expect(view.getUint32(80, true)).toBe(4);
    const triangle = (t: number) => Array.from({ length: 12 }, (_, i) => view.getFloat32(84 + 50 * t + 4 * i, true) + 0);
    expect(triangle(0), 'the bottom: normal down, then three corners').toEqual([0, 0, -1, 0, 0, 0, 0, 2, 0, 3, 0, 0]);
    const [nx, ny, nz] = triangle(3);
    const length = Math.hypot(10, 15, 6);
    [nx, ny, nz].forEach((value, k) => expect(value, 'the slanted face').toBeCloseTo([10, 15, 6][k] / length, 6));
    for (let t = 0; t < 4; t++) expect(view.getUint16(84 + 50 * t + 48, true), 'the last two bytes of a triangle are 0').toBe(0);
  });
  test('never begins as the text form, whatever the title', () => {
    fc.assert(fc.property(fc.oneof(fc.string(), fc.string().map((rest) => `solid ${rest}`), fc.constantFrom('SOLID', ' solid', 'sölid', 'solid\nfacet', 'x'.repeat(200))), (title) => {
      const bytes = writeStl(tetrahedron, title);
      const text = new TextDecoder('latin1').decode(bytes.subarray(0, 80));
      expect(text.toLowerCase().startsWith('solid'), JSON.stringify(text)).toBe(false);
      expect(text).toMatch(/^[\x20-\x7e]+; binary STL, mm\0*$/);
      expect(corners(readStl(bytes))).toEqual(corners(tetrahedron));
    }), { seed: 1 });
  });
  test('a mesh comes back with its triangles, and vertices of one place are one', () => {
    const data = Float32Array.from({ length: 8 * 7 * 6 }, (_, i) => Math.sin(i * 1.7));
    const mesh = surface({ width: 8, height: 7, depth: 6, voxelSize: 0.31, centre: [40, -50, 60], data }, 0.2);
    const back = readStl(writeStl(mesh));
    expect(corners(back)).toEqual(corners(mesh));
    expect(back.positions.length).toBe(mesh.positions.length);
    expect(watertight(back)).toEqual(watertight(mesh));
    expect(meshVolume(back)).toBe(meshVolume(mesh));
  });
  test('a triangle of no area has a normal of 0; −0 and 0 are one place', () => {
    const flat: Mesh = { positions: Float32Array.from([0, 0, 0, 1, 0, 0, 2, 0, 0, -0, 0, 0]), triangles: Uint32Array.from([0, 1, 2, 3, 1, 2]) };
    const bytes = writeStl(flat);
    expect([0, 4, 8].map((at) => new DataView(bytes.buffer).getFloat32(84 + at, true) + 0)).toEqual([0, 0, 0]);
    expect(readStl(bytes).positions.length).toBe(9);
  });
  test('no triangle is our mistake', () => expect(() => writeStl({ positions: new Float32Array(0), triangles: new Uint32Array(0) })).toThrow(RangeError));
});

describe('readStl refuses with a sentence', () => {
  const good = writeStl(tetrahedron);
  const counted = (count: number) => { const bytes = good.slice(); new DataView(bytes.buffer).setUint32(80, count, true); return bytes; };
  const broken = good.slice();
  new DataView(broken.buffer).setFloat32(84 + 50 + 12, NaN, true);
  test.each<[string, Uint8Array, string]>([
    ['nothing', new Uint8Array(0), '0 bytes, and its head alone takes 84'],
    ['one byte short', good.slice(0, -1), 'cut short: 4 triangles take 284 bytes, and it has 283'],
    ['one too many', new Uint8Array([...good, 0]), 'too long: 4 triangles take 284 bytes, and it has 285'],
    ['a count of 4 thousand million', counted(4e9), 'cut short: 4,000,000,000 triangles'],
    ['text', new TextEncoder().encode(`solid x\n${'facet normal 0 0 1\n'.repeat(9)}`), 'in its text form'],
    ['a corner that is no number', broken, 'a corner of triangle 2 lies at NaN'],
  ])('%s', async (_, bytes, words) => expect(await refusal(() => readStl(bytes))).toContain(words));

  test('bytes changed or cut anywhere: read or refused', async () => {
    await fc.assert(fc.asyncProperty(fc.array(fc.tuple(fc.nat(1e6), fc.nat(255)), { maxLength: 4 }), fc.nat(400), async (changes, end) => {
      const bytes = good.slice(0, Math.max(0, good.length - (end > 300 ? end - 300 : 0)));
      for (const [at, value] of changes) bytes[at % bytes.length] = value;
      await outcome(() => readStl(bytes));
    }), { seed: 2, numRuns: 500 });
  });
});
