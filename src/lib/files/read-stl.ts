import type { Mesh } from '../volume/mesh.ts';
import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';

/**
 * Reads a mesh from binary STL; corners at the very same place become one vertex. The file's normals are left aside.
 * Throws BadInput: text STL, too short or too long for its count, a corner that is not a finite number, too big for memoryLimit.
 */
export function readStl(bytes: Uint8Array): Mesh {
  if (bytes.length < 84) throw new BadInput(`This is not a binary STL file, or it is cut short: it has ${bytes.length} bytes, and its head alone takes 84.`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const count = view.getUint32(80, true);
  const expected = 84 + 50 * count;
  if (bytes.length !== expected) {
    const begins = String.fromCharCode(...bytes.subarray(0, 5));
    if (/^solid/i.test(begins)) throw new BadInput('This STL file is in its text form (it begins with "solid"): save it as binary STL.');
    throw new BadInput(`This STL file is ${bytes.length < expected ? 'cut short' : 'too long'}: ${grouped(count)} triangles take ${grouped(expected)} bytes, and it has ${grouped(bytes.length)}.`);
  }
  checkMemory(12 * count, `An STL file of ${grouped(count)} triangles`);
  const triangles = new Uint32Array(3 * count);
  const corners = new Float32Array(9 * count);
  for (let i = 0; i < corners.length; i++) {
    corners[i] = view.getFloat32(84 + 50 * Math.floor(i / 9) + 12 + 4 * (i % 9), true) + 0; // −0 is 0
    if (!Number.isFinite(corners[i])) throw new BadInput(`This STL file is damaged: a corner of triangle ${grouped(Math.floor(i / 9) + 1)} lies at ${corners[i]}.`);
  }

  // Vertices are found again by a table over their bits, open addressing.
  const bits = new Uint32Array(corners.buffer);
  const size = 2 ** Math.ceil(Math.log2(6 * count + 1));
  const table = new Int32Array(size).fill(-1);
  const firstCorner: number[] = [];
  for (let c = 0; c < 3 * count; c++) {
    let slot = (Math.imul(bits[3 * c], 0x9e3779b1) ^ Math.imul(bits[3 * c + 1], 0x85ebca6b) ^ Math.imul(bits[3 * c + 2], 0xc2b2ae35)) >>> 0;
    slot = (slot ^ (slot >>> 15)) & (size - 1);
    for (;;) {
      const vertex = table[slot];
      if (vertex < 0) {
        table[slot] = firstCorner.length;
        triangles[c] = firstCorner.length;
        firstCorner.push(c);
        break;
      }
      const other = 3 * firstCorner[vertex];
      if (bits[other] === bits[3 * c] && bits[other + 1] === bits[3 * c + 1] && bits[other + 2] === bits[3 * c + 2]) {
        triangles[c] = vertex;
        break;
      }
      slot = (slot + 1) & (size - 1);
    }
  }
  const positions = new Float32Array(3 * firstCorner.length);
  firstCorner.forEach((c, vertex) => { for (let k = 0; k < 3; k++) positions[3 * vertex + k] = corners[3 * c + k]; });
  return { positions, triangles };
}
