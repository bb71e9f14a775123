import { finish, part, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { grouped } from '../files/memory-limit.ts';
import type { Volume } from '../types.ts';
import { cubeCases } from './cube-cases.ts';
import type { Mesh } from './mesh.ts';
import { smoothMeshSteps } from './smooth-mesh.ts';
import { voxelPosition } from './voxel-position.ts';

export interface SurfaceOptions {
  /** Passes of smoothMesh; none when left out. */
  readonly smooth?: number;
}

/** More triangles than this are refused: an STL of half a gigabyte. */
export const mostTriangles = 10_000_000;

/** How near to a voxel's middle, as a share of the way to the next, a vertex may come: no two vertices fall together. */
const nearest = 1 / 512;

/**
 * The surface that parts the voxels of at least `threshold` (1/mm) from the rest, by marching cubes: a vertex on every line between
 * neighbouring voxels of which one lies inside, where the value between them, taken as linear, is the threshold.
 * Closed, without holes or edges of more than two triangles, and facing outwards, whatever the values (cube-cases.ts says why). Where
 * the object reaches the end of the volume the surface closes at the outer faces of the voxels. NaN counts as outside.
 * Hollows inside the object have surfaces of their own, which face into the hollow; connectedParts tells them apart.
 * Error: half a voxel at most where the object is larger than a voxel; a ball with a radius of r voxels has its volume to 0.6/r² (tests).
 * Throws BadInput: a threshold that is no number or that no voxel reaches, an empty volume, more than mostTriangles.
 */
export function surface(volume: Volume, threshold: number, options: SurfaceOptions = {}): Mesh {
  return finish(surfaceSteps(volume, threshold, options));
}

/** The same as steps that can be followed and stopped. */
export function* surfaceSteps(volume: Volume, threshold: number, { smooth = 0 }: SurfaceOptions = {}): Steps<Mesh> {
  if (!Number.isFinite(threshold)) throw new BadInput(`The threshold of the surface is ${threshold} and has to be a number, in 1/mm.`);
  const mesh = yield* part(march(volume, threshold), 0, smooth > 0 ? 0.5 : 1);
  return smooth > 0 ? yield* part(smoothMeshSteps(mesh, smooth), 0.5, 1) : mesh;
}

function* march(volume: Volume, threshold: number): Steps<Mesh> {
  const { width, height, depth, voxelSize, data } = volume;
  // Points are voxels and a layer of air about them, i, j, k = 0 being air; j counts rows from the bottom, so that i, j, k run along x, y, z.
  const across = width + 2, up = height + 2, layer = across * up;
  const [x0, y0, z0] = voxelPosition(volume, -1, height, -1);
  let positions = new Float32Array(1 << 17), triangles = new Uint32Array(1 << 18);
  let vertices = 0, corners = 0;

  let below = new Float32Array(layer), above = new Float32Array(layer); // values less the threshold; NaN outside
  let insideBelow = new Uint8Array(layer), insideAbove = new Uint8Array(layer);
  const load = (k: number) => {
    above.fill(NaN);
    insideAbove.fill(0);
    if (k < 1 || k > depth) return;
    for (let j = 1; j <= height; j++) {
      const row = ((k - 1) * height + (height - j)) * width;
      for (let i = 1, at = j * across + 1; i <= width; i++, at++) {
        above[at] = data[row + i - 1] - threshold;
        insideAbove[at] = data[row + i - 1] >= threshold ? 1 : 0;
      }
    }
  };

  // The vertex on the edge from a point along each axis, −1 where there is none yet; for x and y of the layer below and the one above.
  let xBelow = new Int32Array(layer).fill(-1), yBelow = new Int32Array(layer).fill(-1), xAbove = new Int32Array(layer).fill(-1), yAbove = new Int32Array(layer).fill(-1);
  const zBetween = new Int32Array(layer);
  const vertex = (from: number, to: number, i: number, j: number, k: number, axis: 0 | 1 | 2): number => {
    const share = from / (from - to);
    const t = Number.isFinite(share) ? Math.min(1 - nearest, Math.max(nearest, share)) : 0.5; // air, NaN or infinity on one side
    positions[3 * vertices] = x0 + (i + (axis === 0 ? t : 0)) * voxelSize;
    positions[3 * vertices + 1] = y0 + (j + (axis === 1 ? t : 0)) * voxelSize;
    positions[3 * vertices + 2] = z0 + (k + (axis === 2 ? t : 0)) * voxelSize;
    return vertices++;
  };
  const onEdge = new Int32Array(12);

  for (let k = -1; k <= depth; k++) {
    [below, above, insideBelow, insideAbove] = [above, below, insideAbove, insideBelow];
    [xBelow, xAbove, yBelow, yAbove] = [xAbove, xBelow, yAbove, yBelow];
    load(k + 1);
    if (k < 0) continue;
    xAbove.fill(-1);
    yAbove.fill(-1);
    zBetween.fill(-1);
    for (let j = 0; j < up - 1; j++) {
      positions = withRoom(positions, 3 * (vertices + 12 * across)); // a cube has 12 edges and at most 5 triangles
      triangles = withRoom(triangles, corners + 15 * across);
      let p = j * across;
      let left = insideBelow[p] + 4 * insideBelow[p + across] + 16 * insideAbove[p] + 64 * insideAbove[p + across];
      for (let i = 0; i < across - 1; i++, p++) {
        const q = p + across;
        const right = insideBelow[p + 1] + 4 * insideBelow[q + 1] + 16 * insideAbove[p + 1] + 64 * insideAbove[q + 1];
        const inside = left + 2 * right;
        left = right;
        if (inside === 0 || inside === 255) continue;
        // Where the two ends of an edge differ, its vertex is looked up, or made.
        const c0 = inside & 1, c1 = (inside >> 1) & 1, c2 = (inside >> 2) & 1, c3 = (inside >> 3) & 1, c4 = (inside >> 4) & 1, c5 = (inside >> 5) & 1, c6 = (inside >> 6) & 1, c7 = inside >> 7;
        if (c0 !== c1) onEdge[0] = xBelow[p] < 0 ? (xBelow[p] = vertex(below[p], below[p + 1], i, j, k, 0)) : xBelow[p];
        if (c2 !== c3) onEdge[1] = xBelow[q] < 0 ? (xBelow[q] = vertex(below[q], below[q + 1], i, j + 1, k, 0)) : xBelow[q];
        if (c4 !== c5) onEdge[2] = xAbove[p] < 0 ? (xAbove[p] = vertex(above[p], above[p + 1], i, j, k + 1, 0)) : xAbove[p];
        if (c6 !== c7) onEdge[3] = xAbove[q] < 0 ? (xAbove[q] = vertex(above[q], above[q + 1], i, j + 1, k + 1, 0)) : xAbove[q];
        if (c0 !== c2) onEdge[4] = yBelow[p] < 0 ? (yBelow[p] = vertex(below[p], below[q], i, j, k, 1)) : yBelow[p];
        if (c4 !== c6) onEdge[5] = yAbove[p] < 0 ? (yAbove[p] = vertex(above[p], above[q], i, j, k + 1, 1)) : yAbove[p];
        if (c1 !== c3) onEdge[6] = yBelow[p + 1] < 0 ? (yBelow[p + 1] = vertex(below[p + 1], below[q + 1], i + 1, j, k, 1)) : yBelow[p + 1];
        if (c5 !== c7) onEdge[7] = yAbove[p + 1] < 0 ? (yAbove[p + 1] = vertex(above[p + 1], above[q + 1], i + 1, j, k + 1, 1)) : yAbove[p + 1];
        if (c0 !== c4) onEdge[8] = zBetween[p] < 0 ? (zBetween[p] = vertex(below[p], above[p], i, j, k, 2)) : zBetween[p];
        if (c1 !== c5) onEdge[9] = zBetween[p + 1] < 0 ? (zBetween[p + 1] = vertex(below[p + 1], above[p + 1], i + 1, j, k, 2)) : zBetween[p + 1];
        if (c2 !== c6) onEdge[10] = zBetween[q] < 0 ? (zBetween[q] = vertex(below[q], above[q], i, j + 1, k, 2)) : zBetween[q];
        if (c3 !== c7) onEdge[11] = zBetween[q + 1] < 0 ? (zBetween[q + 1] = vertex(below[q + 1], above[q + 1], i + 1, j + 1, k, 2)) : zBetween[q + 1];
        const edges = cubeCases[inside];
        for (let t = 0; t < edges.length; t++) triangles[corners++] = onEdge[edges[t]];
      }
    }
    if (corners > 3 * mostTriangles) {
      throw new BadInput(`The surface at ${threshold}/mm has more than ${grouped(mostTriangles)} triangles, as one through noise has: move the threshold away from the noise, or make the volume coarser.`);
    }
    yield (k + 1) / (depth + 1);
  }
  if (corners === 0) throw new BadInput(nothingAbove(volume, threshold));
  return { positions: positions.slice(0, 3 * vertices), triangles: triangles.slice(0, corners) };
}

function nothingAbove({ data }: Volume, threshold: number): string {
  let greatest = -Infinity;
  for (let i = 0; i < data.length; i++) if (data[i] > greatest) greatest = data[i];
  return greatest === -Infinity
    ? 'There is no surface to find: the volume holds no number.'
    : `There is no surface at ${threshold}/mm: the greatest value of the volume is ${Number(greatest.toPrecision(4))}/mm, so the threshold has to lie below that.`;
}

/** The same numbers, in an array twice as long where it has no room for `needed`. */
function withRoom<T extends Float32Array<ArrayBuffer> | Uint32Array<ArrayBuffer>>(array: T, needed: number): T {
  if (needed <= array.length) return array;
  const larger = new (array.constructor as new (length: number) => T)(Math.max(needed, 2 * array.length));
  larger.set(array);
  return larger;
}
