import type { Mesh } from '../volume/mesh.ts';

/**
 * Writes a mesh as binary STL: 80 bytes of text, the count, and of each triangle its normal and three corners as 32-bit floats,
 * little-endian. The format has no unit; these are mm, as printers take them, and the text says so. The normals are the triangles' own, or 0
 * where one has no area.
 * title: begins the text, ASCII; what is too long is cut. A title that begins with "solid", which marks the format's text form, is preceded
 * by "the ".
 * Throws RangeError: no triangle.   Source: the format's common description, three's reader (tests/outside).
 */
export function writeStl({ positions, triangles }: Mesh, title = 'surface'): Uint8Array {
  const count = triangles.length / 3;
  if (!(count >= 1)) throw new RangeError('a mesh needs at least one triangle to be written');
  const bytes = new Uint8Array(84 + 50 * count);
  const words = title.replace(/\s+/g, ' ').trim().replace(/[^\x20-\x7e]/g, '?');
  const text = `${/^solid/i.test(words) ? 'the ' : ''}${words || 'surface'}`.slice(0, 60);
  bytes.set(new TextEncoder().encode(`${text}; binary STL, mm`));
  const view = new DataView(bytes.buffer);
  view.setUint32(80, count, true);
  const corner = new Float64Array(9);
  for (let t = 0, at = 84; t < triangles.length; t += 3, at += 50) {
    for (let i = 0; i < 9; i++) corner[i] = positions[3 * triangles[t + Math.floor(i / 3)] + (i % 3)];
    const ux = corner[3] - corner[0], uy = corner[4] - corner[1], uz = corner[5] - corner[2];
    const vx = corner[6] - corner[0], vy = corner[7] - corner[1], vz = corner[8] - corner[2];
    const nx = uy * vz - uz * vy, ny = uz * vx - ux * vz, nz = ux * vy - uy * vx;
    const length = Math.sqrt(nx * nx + ny * ny + nz * nz) || 1;
    view.setFloat32(at, nx / length, true);
    view.setFloat32(at + 4, ny / length, true);
    view.setFloat32(at + 8, nz / length, true);
    for (let i = 0; i < 9; i++) view.setFloat32(at + 12 + 4 * i, corner[i], true);
  }
  return bytes;
}
