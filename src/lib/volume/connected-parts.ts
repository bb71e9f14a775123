import { meshVolume } from './mesh-volume.ts';
import type { Mesh } from './mesh.ts';

/** A mesh of one piece, and what it encloses: below 0 where it is the wall of a hollow. */
export interface MeshPart extends Mesh {
  /** mm³ */
  readonly volume: number;
}

/**
 * The pieces of a mesh that hang together through shared vertices, the largest first by the volume that they enclose; hollows, whose
 * volume is below 0, come last, the largest hollow at the very end. Of the surface of a scan the first is usually the object, and the
 * many small ones are specks of noise.
 * least: pieces and hollows that enclose less (mm³) are left out; 0 when left out. joinMeshes makes one mesh of what is kept.
 */
export function connectedParts(mesh: Mesh, least = 0): MeshPart[] {
  const { positions, triangles } = mesh;
  const parent = Uint32Array.from({ length: positions.length / 3 }, (_, v) => v);
  const root = (v: number): number => {
    while (parent[v] !== v) {
      parent[v] = parent[parent[v]]; // halve the way for the next who asks
      v = parent[v];
    }
    return v;
  };
  for (let t = 0; t < triangles.length; t += 3) {
    const a = root(triangles[t]);
    parent[root(triangles[t + 1])] = a;
    parent[root(triangles[t + 2])] = a;
  }

  // Parts are numbered in the order of their first triangles, and the triangles sorted by part.
  const partOfRoot = new Int32Array(parent.length).fill(-1);
  const part = new Uint32Array(triangles.length / 3);
  let parts = 0;
  for (let t = 0; t < part.length; t++) {
    const r = root(triangles[3 * t]);
    if (partOfRoot[r] < 0) partOfRoot[r] = parts++;
    part[t] = partOfRoot[r];
  }
  const start = new Uint32Array(parts + 1);
  for (let t = 0; t < part.length; t++) start[part[t] + 1]++;
  for (let k = 0; k < parts; k++) start[k + 1] += start[k];
  const sorted = new Uint32Array(triangles.length);
  const filled = start.slice(0, parts);
  for (let t = 0; t < part.length; t++) {
    const at = 3 * filled[part[t]]++;
    for (let corner = 0; corner < 3; corner++) sorted[at + corner] = triangles[3 * t + corner];
  }

  const number = new Int32Array(parent.length).fill(-1); // no vertex belongs to two parts
  const found: MeshPart[] = [];
  for (let k = 0; k < parts; k++) {
    const own = sorted.subarray(3 * start[k], 3 * start[k + 1]);
    const volume = meshVolume({ positions, triangles: own });
    if (Math.abs(volume) >= least) found.push({ ...numberedAnew(positions, own, number), volume });
  }
  return found.sort((a, b) => b.volume - a.volume);
}

function numberedAnew(positions: Float32Array, triangles: Uint32Array, number: Int32Array): Mesh {
  const vertices: number[] = [];
  const own = new Uint32Array(triangles.length);
  for (let i = 0; i < own.length; i++) {
    const vertex = triangles[i];
    if (number[vertex] < 0) number[vertex] = vertices.push(vertex) - 1;
    own[i] = number[vertex];
  }
  const kept = new Float32Array(3 * vertices.length);
  for (let v = 0; v < vertices.length; v++) {
    for (let axis = 0; axis < 3; axis++) kept[3 * v + axis] = positions[3 * vertices[v] + axis];
  }
  return { positions: kept, triangles: own };
}
