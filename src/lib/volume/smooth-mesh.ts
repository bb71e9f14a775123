import { finish, type Steps } from '../engine/steps.ts';
import type { Mesh } from './mesh.ts';

/** Shares of the way towards the mean of its neighbours by which a vertex goes in, and out again. */
const inward = 0.5, outward = -0.53;

/**
 * A mesh with its steps and its noise smoothed away while its size is kept: in each pass every vertex moves half of the way to the mean of
 * its neighbours, and then 0.53 of the way out again, which undoes the shrinking of what is larger than a few triangles.
 * A smoothed surface no longer lies where the measured threshold does: by about a tenth of a voxel on smooth faces, more at sharp edges,
 * which become round. passes: 10 takes away the terraces of a coarse volume.
 * Throws RangeError unless passes is a whole number from 0.
 * Source: G. Taubin, A signal processing approach to fair surface design, SIGGRAPH 1995, 351 (λ and μ from memory).
 */
export function smoothMesh(mesh: Mesh, passes: number): Mesh {
  return finish(smoothMeshSteps(mesh, passes));
}

/** The same as steps that can be followed and stopped. */
export function* smoothMeshSteps({ positions, triangles }: Mesh, passes: number): Steps<Mesh> {
  if (!(Number.isInteger(passes) && passes >= 0)) throw new RangeError(`The number of smoothing passes is ${passes} and should be a whole number from 0.`);
  let from = new Float64Array(positions), to = new Float64Array(positions.length);
  // In a closed mesh each neighbour of a vertex follows it in exactly one triangle, so counting the one that follows counts each once.
  const neighbours = new Uint32Array(positions.length / 3);
  for (let i = 0; i < triangles.length; i++) neighbours[triangles[i]]++;
  for (let pass = 0; pass < 2 * passes; pass++) {
    const share = pass % 2 === 0 ? inward : outward;
    to.fill(0);
    for (let t = 0; t < triangles.length; t += 3) {
      for (let corner = 0; corner < 3; corner++) {
        const a = 3 * triangles[t + corner], b = 3 * triangles[t + ((corner + 1) % 3)];
        to[a] += from[b];
        to[a + 1] += from[b + 1];
        to[a + 2] += from[b + 2];
      }
    }
    for (let v = 0; v < neighbours.length; v++) {
      for (let i = 3 * v; i < 3 * v + 3; i++) to[i] = neighbours[v] === 0 ? from[i] : from[i] + share * (to[i] / neighbours[v] - from[i]);
    }
    [from, to] = [to, from];
    yield (pass + 1) / (2 * passes);
  }
  return { positions: new Float32Array(from), triangles };
}
