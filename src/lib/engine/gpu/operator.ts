import type { GridOf } from '../../reconstruct/iterate.ts';
import type { Numbers, Operator } from '../../reconstruct/operator.ts';
import type { Geometry, Work } from '../../types.ts';
import { waitFor } from '../steps.ts';
import { newStore, runJob, type Job } from './job.ts';
import type { Card } from './open-card.ts';
import { projectPicture, spreadCells } from './ray-stage.ts';

/**
 * What the iterative methods work with, on the card: pictures and rays are the caller's, in memory, and travel at each step; tables and buffers
 * stay on the card until it is disposed of. Slices are in double precision here, as with the plain engine, and in single precision there.
 */
export function operatorOn<G extends Geometry>(card: Card, geometry: G, grid: GridOf<G>, mask?: ArrayLike<number>): Operator {
  const cone = geometry.beam === 'cone';
  const size = [grid.width, grid.height, ...('depth' in grid ? [grid.depth] : [])];
  const cells = geometry.detectors * (cone ? geometry.rows : 1);
  const all = geometry.angles.map((_, view) => view);
  const store = newStore(card);
  const taskOf = (rays: Numbers, views: readonly number[]) => ({ geometry, grid, views, cells: (k: number) => rays.subarray(views[k] * cells, (views[k] + 1) * cells) });
  const step = (task: (job: Job) => Promise<void>) => waitFor((work: Work) => runJob(card, work, task, store));
  return {
    size, pixels: size.reduce((a, b) => a * b), views: all.length, cells,
    numbers: (length) => (cone ? new Float32Array(length) : new Float64Array(length)),
    applySteps: (picture, rays, views = all) => step((job) => projectPicture(job, taskOf(rays, views), picture)),
    *transposeSteps(rays, picture, views = all) {
      yield* step((job) => spreadCells(job, taskOf(rays, views), picture));
      if (mask) for (let k = 0; k < picture.length; k++) if (!mask[k]) picture[k] = 0;
    },
    dispose: () => store.empty(),
  };
}
