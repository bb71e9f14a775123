import type { Numbers } from '../../reconstruct/operator.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, VolumeGrid } from '../../types.ts';
import { coneProjectCode, coneSpreadCode } from './cone-ray-code.ts';
import { flatProjectCode, flatSpreadCode } from './flat-ray-code.ts';
import { inParts } from './in-parts.ts';
import type { Job } from './job.ts';
import { coneAxes, coneRays, flatPlaces, flatRays } from './ray-tables.ts';
import { words } from './words.ts';

/** Rays of some views of a scan through a picture. The tables are made once for a store. */
export interface RayTask {
  readonly geometry: Geometry;
  readonly grid: Grid | VolumeGrid;
  /** Which views, by number. */
  readonly views: readonly number[];
  /** The cells of view k of these. */
  cells(k: number): Numbers;
}

/** Writes the line integrals of the picture into the cells of the views. */
export async function projectPicture(job: Job, task: RayTask, picture: Numbers): Promise<void> {
  const { geometry, views } = task, inView = cellsOf(geometry);
  const slabs = slabsOf(job, task.grid);
  for (const [first, end] of batches(job, views.length, inView)) {
    const cells = job.store.get('rays', 4 * (end - first) * inView);
    for (const [s, slab] of slabs.entries()) {
      const pixels = job.store.get('picture', 4 * slab.pixels);
      if (first === 0 || slabs.length > 1) await job.upload(pixels, [picture.subarray(slab.from, slab.from + slab.pixels)]);
      const list = await listOf(job, views.slice(first, end));
      const told = (done: number) => job.progress((first + (end - first) * ((s + done) / slabs.length)) / views.length);
      if (geometry.beam === 'cone') await projectCone(job, geometry, slab.grid as VolumeGrid, s, list, end - first, pixels, cells, s > 0, told);
      else await projectFlat(job, geometry, slab.grid as Grid, list, end - first, pixels, cells, told);
    }
    await job.download(cells, Array.from({ length: end - first }, (_, k) => task.cells(first + k)));
  }
}

/** Writes what the cells of the views spread back over the picture. */
export async function spreadCells(job: Job, task: RayTask, picture: Numbers): Promise<void> {
  const { geometry, views } = task, inView = cellsOf(geometry);
  if (views.length === 0) picture.fill(0);
  const slabs = slabsOf(job, task.grid), parts = batches(job, views.length, inView);
  for (const [s, slab] of slabs.entries()) {
    const pixels = job.store.get('picture', 4 * slab.pixels);
    for (const [first, end] of parts) {
      const cells = job.store.get('rays', 4 * (end - first) * inView);
      if (s === 0 || parts.length > 1) await job.upload(cells, Array.from({ length: end - first }, (_, k) => task.cells(first + k)));
      const list = await listOf(job, views.slice(first, end));
      const told = (done: number) => job.progress((s + (first + (end - first) * done) / views.length) / slabs.length);
      if (geometry.beam === 'cone') await spreadCone(job, geometry, slab.grid as VolumeGrid, s, list, end - first, cells, pixels, first > 0, told);
      else await spreadFlat(job, geometry, slab.grid as Grid, list, end - first, cells, pixels, first > 0, told);
    }
    if (views.length > 0) await job.download(pixels, [picture.subarray(slab.from, slab.from + slab.pixels)]);
  }
}

function cellsOf(geometry: Geometry): number {
  return geometry.detectors * (geometry.beam === 'cone' ? geometry.rows : 1);
}

/** The views, as many at a time as one buffer can hold. */
function batches(job: Job, views: number, inView: number): [first: number, end: number][] {
  const atOnce = Math.max(1, Math.floor(job.card.largestBuffer / (4 * inView)));
  return Array.from({ length: Math.ceil(views / atOnce) }, (_, k) => [k * atOnce, Math.min(views, (k + 1) * atOnce)]);
}

interface Part { readonly grid: Grid | VolumeGrid; readonly from: number; readonly pixels: number }

/** The picture in as few pieces as one buffer can hold each. What a ray meets in two slabs adds up: each voxel is met on its own. */
function slabsOf(job: Job, grid: Grid | VolumeGrid): Part[] {
  if (!('depth' in grid)) return [{ grid, from: 0, pixels: grid.width * grid.height }];
  const area = grid.width * grid.height, atOnce = Math.max(1, Math.floor(job.card.largestBuffer / (4 * area)));
  const [x, y, z] = grid.centre ?? [0, 0, 0];
  return Array.from({ length: Math.ceil(grid.depth / atOnce) }, (_, k) => {
    const first = k * atOnce, depth = Math.min(grid.depth, first + atOnce) - first;
    return { grid: { ...grid, depth, centre: [x, y, z + (first + depth / 2 - grid.depth / 2) * grid.voxelSize] as const }, from: first * area, pixels: depth * area };
  });
}

async function listOf(job: Job, views: readonly number[]): Promise<GPUBuffer> {
  const buffer = job.store.get('list', 4 * views.length);
  await job.upload(buffer, [new Float32Array(Uint32Array.from(views).buffer)]);
  return buffer;
}

async function table(job: Job, name: string, make: () => Float32Array | Uint32Array): Promise<GPUBuffer> {
  if (job.store.once(name)) return job.store.get(name, 0);
  const list = make(), buffer = job.store.get(name, 4 * list.length);
  await job.upload(buffer, [new Float32Array(list.buffer)]);
  return buffer;
}

type Told = (done: number) => void;

async function projectFlat(job: Job, geometry: FlatBeam, grid: Grid, list: GPUBuffer, views: number, pixels: GPUBuffer, cells: GPUBuffer, told: Told): Promise<void> {
  const rays = await table(job, 'flat-rays', () => flatRays(geometry, grid));
  const pipeline = await job.pipeline(flatProjectCode), count = views * geometry.detectors, steps = Math.max(grid.width, grid.height);
  for (let first = 0; first < count;) {
    const end = Math.min(count, first + Math.max(64, Math.min(64 * 65535, Math.floor(job.card.pace.units('project') / steps))));
    const task = words('iiiu uuuu', grid.width, grid.height, geometry.detectors, views, first, end, 0, 0);
    await job.dispatch('project', (end - first) * steps, pipeline, [task, rays, list, pixels, cells], [Math.ceil((end - first) / 64), 1, 1]);
    told(end / count);
    first = end;
  }
}

async function spreadFlat(job: Job, geometry: FlatBeam, grid: Grid, list: GPUBuffer, views: number, cells: GPUBuffer, pixels: GPUBuffer, add: boolean, told: Told): Promise<void> {
  const rays = await table(job, 'flat-rays', () => flatRays(geometry, grid)), places = await table(job, 'flat-places', () => flatPlaces(geometry, grid));
  const pipeline = await job.pipeline(flatSpreadCode);
  await inParts(job, 'spread', { count: grid.height, least: 8, cells: grid.width }, views, async (firstView, shown, first, end, units) => {
    const task = words('iiiu uuuu', grid.width, grid.height, geometry.detectors, shown, first, end, firstView, add || firstView > 0 ? 1 : 0);
    await job.dispatch('spread', units, pipeline, [task, rays, list, cells, pixels, places], [Math.ceil(grid.width / 8), Math.ceil((end - first) / 8), 1]);
  }, told);
}

async function coneTables(job: Job, geometry: ConeBeam, grid: VolumeGrid, slab: number): Promise<GPUBuffer[]> {
  const both = () => coneAxes(geometry);
  let made: ReturnType<typeof both> | undefined;
  return [
    await table(job, `cone-rays ${slab}`, () => coneRays(geometry, grid)),
    await table(job, 'cone-axes', () => (made ??= both()).axes), await table(job, 'cone-ties', () => (made ??= both()).ties),
  ];
}

async function projectCone(
  job: Job, geometry: ConeBeam, grid: VolumeGrid, slab: number, list: GPUBuffer, views: number, voxels: GPUBuffer, cells: GPUBuffer, add: boolean, told: Told,
): Promise<void> {
  const tables = await coneTables(job, geometry, grid, slab), pipeline = await job.pipeline(coneProjectCode);
  const { rows, detectors } = geometry, steps = Math.max(grid.width, grid.height, grid.depth);
  await inParts(job, 'project', { count: rows, least: 8, cells: detectors * steps }, views, async (firstView, shown, first, end, units) => {
    const task = coneTask(geometry, grid, shown, first, end, firstView, add);
    await job.dispatch('project', units, pipeline, [task, ...tables, list, voxels, cells], [Math.ceil(detectors / 8), Math.ceil((end - first) / 8), shown]);
  }, told);
}

async function spreadCone(
  job: Job, geometry: ConeBeam, grid: VolumeGrid, slab: number, list: GPUBuffer, views: number, cells: GPUBuffer, voxels: GPUBuffer, add: boolean, told: Told,
): Promise<void> {
  const tables = await coneTables(job, geometry, grid, slab), pipeline = await job.pipeline(coneSpreadCode);
  await inParts(job, 'spread', { count: grid.depth, least: 1, cells: grid.width * grid.height }, views, async (firstView, shown, first, end, units) => {
    const task = coneTask(geometry, grid, shown, first, end, firstView, add || firstView > 0);
    await job.dispatch('spread', units, pipeline, [task, ...tables, list, cells, voxels], [Math.ceil(grid.width / 8), Math.ceil(grid.height / 8), end - first]);
  }, told);
}

function coneTask(geometry: ConeBeam, { width, height, depth, voxelSize }: VolumeGrid, views: number, first: number, end: number, firstView: number, add: boolean): ArrayBuffer {
  return words('iiiu iiuu uuf', width, height, depth, views, geometry.detectors, geometry.rows, first, end, firstView, add ? 1 : 0, voxelSize);
}
