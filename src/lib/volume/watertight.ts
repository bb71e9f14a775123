import type { Mesh } from './mesh.ts';

export interface Tightness {
  /** Every edge lies in exactly two triangles, which run along it in opposite directions: closed, and facing one way throughout. */
  readonly watertight: boolean;
  /** Different edges. */
  readonly edges: number;
  /** Of these, the ones that spoil it: at a hole, between triangles that face different ways, or shared by more than two. */
  readonly faulty: number;
  /** Vertices that a triangle uses, less edges, plus triangles: 2 for each closed part, 2 less for each hole through it. */
  readonly euler: number;
}

/** Whether a mesh is closed and faces one way, edge by edge. Vertices count by number: merge those of one place first. An empty mesh is not. */
export function watertight({ positions, triangles }: Mesh): Tightness {
  const vertices = positions.length / 3;
  // All directed edges, grouped by their lower vertex: the other end, and the direction in the lowest bit.
  const start = new Uint32Array(vertices + 1);
  const next = (corner: number) => (corner % 3 === 2 ? corner - 2 : corner + 1);
  for (let i = 0; i < triangles.length; i++) start[Math.min(triangles[i], triangles[next(i)]) + 1]++;
  for (let v = 0; v < vertices; v++) start[v + 1] += start[v];
  const filled = start.slice(0, vertices);
  const ends = new Float64Array(triangles.length);
  const used = new Uint8Array(vertices);
  for (let i = 0; i < triangles.length; i++) {
    const a = triangles[i], b = triangles[next(i)];
    used[a] = 1;
    ends[filled[Math.min(a, b)]++] = 2 * Math.max(a, b) + (a < b ? 0 : 1);
  }
  let edges = 0, faulty = 0;
  for (let v = 0; v < vertices; v++) {
    const own = ends.subarray(start[v], start[v + 1]).sort();
    for (let i = 0; i < own.length; ) {
      const end = Math.floor(own[i] / 2);
      let upwards = 0, downwards = 0;
      for (; i < own.length && Math.floor(own[i] / 2) === end; i++) {
        if (own[i] % 2 === 0) upwards++;
        else downwards++;
      }
      edges++;
      if (upwards !== 1 || downwards !== 1 || end === v) faulty++;
    }
  }
  const points = used.reduce((sum, one) => sum + one, 0);
  return { watertight: edges > 0 && faulty === 0, edges, faulty, euler: points - edges + triangles.length / 3 };
}
