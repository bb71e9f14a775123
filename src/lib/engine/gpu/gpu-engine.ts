import { checkMemory, grouped } from '../../files/memory-limit.ts';
import type { Filter } from '../../filter/filter.ts';
import { matchProjections, matchVolume } from '../../project/cone-input.ts';
import type { GridOf, PictureOf, ShadowsOf } from '../../reconstruct/iterate.ts';
import { checkGrid, matchSinogram } from '../../reconstruct/match-sinogram.ts';
import { slabCuts, slabOf } from '../../reconstruct/slab.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, Image, Projections, Sinogram, Volume, VolumeGrid, Work } from '../../types.ts';
import { checkVolumeGrid } from '../../volume/fit-grid.ts';
import type { Engine } from '../engine.ts';
import { readyLines, refuseBad } from './filter-stage.ts';
import { CardFull, newStore, runJob, type Job, type Store } from './job.ts';
import { filteredLines, plainLines, type Lines, type RowsTaken } from './lines.ts';
import { openCard, type Card, type CardOptions } from './open-card.ts';
import { operatorOn } from './operator.ts';
import { projectPicture, spreadCells, type RayTask } from './ray-stage.ts';
import { smearLines } from './smear-stage.ts';

export type GpuOptions = CardOptions;

/** The engine on a graphics card. */
export interface GpuEngine extends Engine {
  /** How views are interpolated when they are smeared back; see GpuOptions. */
  readonly interpolation: 'hardware' | 'by-hand';
  /** As if the card were pulled out: for tests of what happens then. */
  lose(): void;
}

/**
 * An engine on a graphics card, through WebGPU: in a page, in a worker, or in Node with the package webgpu,
 *   const { create, globals } = await import('webgpu'); Object.assign(globalThis, globals); await gpuEngine({ gpu: create([]) })
 * All in single precision. It agrees with the plain engine to 1e-5 relative rms where it interpolates by hand (on an H100 1.5e-6 on all scans of
 * engineAgreement, and at most 9e-6 in any task of slices and fans of 512 to 2,048 cells), and to 1e-3 where the card's texture units do, which split
 * the way from one cell to the next into 256 (5e-4; a ball with a rough inside: 2e-4). White noise for views is worse than any object to the texture
 * units: each cell differs from the next as much as from any other, and what they round, a thousandth of that, comes to 6e-3.
 * Views travel to the card while it works on those before; a volume too large for the card is made in slabs. What it keeps of the card's memory
 * between reconstructions, half a gigabyte at most, close() gives back. Rejects with EngineLost, one sentence, where there is no WebGPU or no card.
 */
export async function gpuEngine(options: GpuOptions = {}): Promise<GpuEngine> {
  const card = await openCard(options), store = newStore(card);
  return {
    name: 'gpu',
    says: card.says,
    interpolation: card.interpolation,
    project: (picture, geometry, work = {}) => project(card, picture, geometry, work),
    transpose: (shadows, geometry, grid, work = {}) => transpose(card, shadows, geometry, grid, work),
    filter: (shadows, geometry, filter, work = {}) => filterViews(card, shadows, geometry, filter, work),
    backproject: (views, geometry, grid, { power = 2 } = {}, work = {}) => smear(card, store, views, uprightOf(geometry), grid, power, (geometry, taken) => plainLines(views.data, geometry, taken), work),
    reconstruct: (shadows, geometry, { grid, memory, ...filter }, work = {}) =>
      smear(card, store, shadows, geometry, grid, filter.window === 'none' ? 1 : 2, (geometry, taken) => filteredLines(shadows.data, geometry, filter, taken, longestTransform(card)), work, memory),
    operator: (geometry, grid, mask) => operatorOn(card, geometry, grid, mask),
    close: () => card.close(),
    lose: () => card.device.destroy(),
  };
}

async function project<G extends Geometry>(card: Card, picture: PictureOf<G>, geometry: G, work: Work): Promise<ShadowsOf<G>> {
  const { angles, detectors } = geometry, rows = geometry.beam === 'cone' ? geometry.rows : 1, cells = rows * detectors;
  if (geometry.beam === 'cone') {
    matchVolume(picture as Volume);
    checkMemory(angles.length * cells, `${grouped(angles.length)} frames of ${grouped(detectors)} × ${grouped(rows)} cells`);
  } else if (picture.data.length !== picture.width * picture.height) {
    throw new RangeError(`The image has ${picture.data.length} values and should have ${picture.width} × ${picture.height} = ${picture.width * picture.height}.`);
  }
  const { data: _, ...grid } = picture as Image | Volume;
  const data = new Float32Array(angles.length * cells);
  await runJob(card, work, (job) => projectPicture(job, rayTask(geometry, grid, data, cells), picture.data));
  work.progress?.(1);
  return (geometry.beam === 'cone' ? { views: angles.length, rows, columns: detectors, data } : { views: angles.length, detectors, data }) as unknown as ShadowsOf<G>;
}

async function transpose<G extends Geometry>(card: Card, shadows: ShadowsOf<G>, geometry: G, grid: GridOf<G>, work: Work): Promise<PictureOf<G>> {
  matchAll(shadows, geometry);
  checkAnyGrid(geometry, grid);
  const data = new Float32Array(pixelsIn(grid)), cells = geometry.detectors * (geometry.beam === 'cone' ? geometry.rows : 1);
  await runJob(card, work, (job) => spreadCells(job, rayTask(geometry, grid, shadows.data, cells), data));
  work.progress?.(1);
  return { ...grid, data } as unknown as PictureOf<G>;
}

function rayTask(geometry: Geometry, grid: Grid | VolumeGrid, data: Float32Array, cells: number): RayTask {
  return { geometry, grid, views: geometry.angles.map((_, view) => view), cells: (k) => data.subarray(k * cells, (k + 1) * cells) };
}

async function filterViews<G extends Geometry>(card: Card, shadows: ShadowsOf<G>, geometry: G, filter: Filter, work: Work): Promise<ShadowsOf<G>> {
  if (!shapesFit(shadows, geometry)) matchAll(shadows, geometry);
  const lines = filteredLines(shadows.data, geometry, filter, allRows(geometry), longestTransform(card));
  const views = geometry.angles.length, inView = lines.rows * lines.columns;
  const atOnce = Math.max(1, Math.min(views, Math.floor(Math.min(BATCH, card.largestBuffer) / (4 * inView))));
  const data = new Float32Array(views * inView);
  await runJob(card, work, async (job) => {
    for (let first = 0; first < views; first += atOnce) {
      const end = Math.min(views, first + atOnce);
      const { buffer } = await readyLines(job, lines, first, end, { stride: lines.columns, half: false });
      await job.download(buffer, [data.subarray(first * inView, end * inView)]);
      job.progress(end / views);
    }
    await refuseBad(job, () => matchAll(shadows, geometry));
  });
  work.progress?.(1);
  return { ...shadows, data };
}

/** Smears views back into a picture, a volume in as few slabs as the card's memory allows; where it turns out to be full, in twice as many. */
async function smear<G extends Geometry>(
  card: Card, store: Store, shadows: ShadowsOf<G>, geometry: G, grid: GridOf<G>, power: 0 | 1 | 2, linesOf: (geometry: Geometry, taken: RowsTaken) => Lines, work: Work, memory?: number,
): Promise<PictureOf<G>> {
  if (!shapesFit(shadows, geometry)) matchAll(shadows, geometry);
  checkAnyGrid(geometry, grid, memory);
  const data = new Float32Array(pixelsIn(grid));
  const volume = geometry.beam === 'cone' ? (grid as VolumeGrid) : undefined;
  const sliceBytes = 4 * grid.width * grid.height;
  let slabs = volume ? Math.ceil(volume.depth / Math.max(1, Math.floor(card.largestBuffer / sliceBytes))) : 1;
  for (;;) {
    try {
      const cuts = slabCuts(volume?.depth ?? 1, slabs);
      await runJob(card, work, async (job) => {
        store.forget();
        try {
          for (let k = 0; k < slabs; k++) await smearSlab(job, geometry, grid, power, linesOf, data.subarray(cuts[k] * sliceBytes / 4, cuts[k + 1] * sliceBytes / 4), cuts[k], cuts[k + 1], k / slabs, 1 / slabs);
          await refuseBad(job, () => matchAll(shadows, geometry));
        } finally {
          if (store.bytes() > KEPT) store.empty();
        }
      }, store);
      work.progress?.(1);
      return { ...grid, data } as unknown as PictureOf<G>;
    } catch (failure) {
      if (!(failure instanceof CardFull) || !volume || slabs * 2 > Math.min(volume.depth, MOST_SLABS)) throw failure;
      slabs *= 2;
    }
  }
}

async function smearSlab(
  job: Job, geometry: Geometry, grid: Grid | VolumeGrid, power: 0 | 1 | 2, linesOf: (geometry: Geometry, taken: RowsTaken) => Lines,
  into: Float32Array, first: number, end: number, from: number, share: number,
): Promise<void> {
  const sums = job.store.get('picture', 4 * into.length);
  if (geometry.beam !== 'cone' || end - first === (grid as VolumeGrid).depth) await smearLines(job, linesOf(geometry, allRows(geometry)), grid, power, sums, from, share);
  else {
    const slab = slabOf(geometry, grid as VolumeGrid, first, end);
    await smearLines(job, linesOf(slab.geometry, { first: slab.firstRow, all: geometry.rows }), slab.grid, power, sums, from, share);
  }
  await job.download(sums, [into]);
}

function allRows(geometry: Geometry): RowsTaken {
  return { first: 0, all: geometry.beam === 'cone' ? geometry.rows : 1 };
}

/** The views are then taken as an upright detector's. */
function uprightOf<G extends Geometry>(geometry: G): G {
  return geometry.beam === 'cone' ? { ...geometry, tilt: 0 } : geometry;
}

function pixelsIn(grid: Grid | VolumeGrid): number {
  return grid.width * grid.height * ('depth' in grid ? grid.depth : 1);
}

/** Whether the numbers of views and cells are right; whether the cells are finite the card sees for itself. */
function shapesFit(shadows: Sinogram | Projections, geometry: Geometry): boolean {
  const rows = geometry.beam === 'cone' ? geometry.rows : 1, { views, data } = shadows;
  const fits = 'rows' in shadows ? geometry.beam === 'cone' && shadows.rows === rows && shadows.columns === geometry.detectors : shadows.detectors === geometry.detectors;
  return fits && views === geometry.angles.length && data.length === views * rows * geometry.detectors;
}

function matchAll(shadows: Sinogram | Projections, geometry: Geometry): void {
  if (geometry.beam === 'cone') matchProjections(shadows as Projections, geometry as ConeBeam);
  else matchSinogram(shadows as Sinogram, geometry as FlatBeam);
}

function checkAnyGrid(geometry: Geometry, grid: Grid | VolumeGrid, memory?: number): void {
  if (geometry.beam === 'cone') checkVolumeGrid(grid as VolumeGrid, memory);
  else checkGrid(grid as Grid);
}

/** Of complex numbers in the memory that the threads of a workgroup share. */
function longestTransform(card: Card): number {
  return 2 ** Math.floor(Math.log2(card.device.limits.maxComputeWorkgroupStorageSize / 8));
}

/** Bytes of views that are filtered at a time. */
const BATCH = 2 ** 25;
const MOST_SLABS = 64;
/** What of the card's memory is kept for the next reconstruction, bytes: to ask for it anew would cost more than the work. */
const KEPT = 2 ** 29;
