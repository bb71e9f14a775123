import type { Mesh } from './mesh.ts';

/**
 * What a closed mesh encloses, mm³: Σ a · (b × c)/6 over its triangles, reckoned from the first triangle's first corner. Below 0 where it faces inwards,
 * as the surface of a hollow does. Of a mesh that is not closed the number means nothing.
 * Source: Gauss's theorem.
 */
export function meshVolume({ positions: p, triangles }: Mesh): number {
  const first = 3 * triangles[0];
  const x = p[first], y = p[first + 1], z = p[first + 2];
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t], b = 3 * triangles[t + 1], c = 3 * triangles[t + 2];
    const ax = p[a] - x, ay = p[a + 1] - y, az = p[a + 2] - z, bx = p[b] - x, by = p[b + 1] - y, bz = p[b + 2] - z, cx = p[c] - x, cy = p[c + 1] - y, cz = p[c + 2] - z;
    sum += ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx);
  }
  return sum / 6;
}

/** The area of all triangles, mm². */
export function meshArea({ positions: p, triangles }: Mesh): number {
  let sum = 0;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t], b = 3 * triangles[t + 1], c = 3 * triangles[t + 2];
    const ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2], vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
    sum += Math.sqrt((uy * vz - uz * vy) ** 2 + (uz * vx - ux * vz) ** 2 + (ux * vy - uy * vx) ** 2);
  }
  return sum / 2;
}
