import { filterResponse } from '../../filter/filter-response.ts';
import type { Filter } from '../../filter/filter.ts';
import { BadInput } from '../../files/bad-input.ts';
import { checkMemory, grouped } from '../../files/memory-limit.ts';
import { magnification } from '../../geometry/magnification.ts';
import { matchProjections, matchVolume } from '../../project/cone-input.ts';
import type { GridOf, PictureOf, ShadowsOf } from '../../reconstruct/iterate.ts';
import { checkGrid, matchSinogram } from '../../reconstruct/match-sinogram.ts';
import type { Numbers, Operator } from '../../reconstruct/operator.ts';
import { rowsOf, slabOf } from '../../reconstruct/slab.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, Image, Projections, Sinogram, Volume, VolumeGrid, Work } from '../../types.ts';
import { checkVolumeGrid } from '../../volume/fit-grid.ts';
import type { Engine } from '../engine.ts';
import { waitFor } from '../steps.ts';
import { slabEdges, viewsAtOnce } from './cone.ts';
import { portable, type Job, type PortableFilter } from './job.ts';
import type { Part, Pool } from './pool.ts';

/** The engine on a pool of workers; see simd-engine.ts. */
export function engineOn(pool: Pool): Engine {
  return {
    name: 'simd',
    says: `${pool.size === 1 ? 'one worker' : `${pool.size} workers`} with WebAssembly SIMD`,
    async project<G extends Geometry>(picture: PictureOf<G>, geometry: G, work?: Work) {
      const views = geometry.angles.map((_, view) => view);
      if (geometry.beam === 'cone') {
        const volume = picture as Volume, { rows, detectors } = geometry;
        matchVolume(volume);
        checkMemory(views.length * rows * detectors, `${grouped(views.length)} frames of ${grouped(detectors)} × ${grouped(rows)} cells`);
        const data = new Float32Array(views.length * rows * detectors);
        await projectInto(pool, volume.data, geometry, volume, views, data, rows * detectors, work);
        return { views: views.length, rows, columns: detectors, data } as Projections as ShadowsOf<G>;
      }
      const image = picture as Image, beam: FlatBeam = geometry;
      matchImage(image);
      const data = new Float32Array(views.length * beam.detectors);
      await projectInto(pool, image.data, beam, image, views, data, beam.detectors, work);
      return { views: views.length, detectors: beam.detectors, data } as Sinogram as ShadowsOf<G>;
    },

    async transpose<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, grid: GridOf<G>, work?: Work) {
      const views = geometry.angles.map((_, view) => view);
      check(shadows, geometry, grid);
      const picture = emptyPicture(grid);
      await transposeInto(pool, shadows.data, geometry, grid, views, picture.data, cellsOf(geometry), work);
      return picture as PictureOf<G>;
    },

    async filter<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, filter: Filter, work?: Work) {
      const wanted = portableFor(geometry, filter);
      const data = new Float32Array(shadows.data.length);
      if (geometry.beam === 'cone') {
        const frames = shadows as Projections, cells = cellsOf(geometry), atOnce = Math.max(1, Math.floor(2 ** 20 / cells));
        matchProjections(frames, geometry);
        await pool.run(cuts(frames.views, Math.max(pool.size, Math.ceil(frames.views / atOnce))).map(([from, end]): Part => ({
          weight: end - from,
          job: () => ({ task: 'filterCone', data: frames.data.slice(from * cells, end * cells), geometry, filter: wanted, from, count: end - from }),
          done: (filtered) => data.set(filtered, from * cells),
        })), work);
        return { ...frames, data } as Projections as ShadowsOf<G>;
      }
      const sinogram = shadows as Sinogram, beam: FlatBeam = geometry;
      matchSinogram(sinogram, beam);
      await pool.run(cuts(sinogram.views, pool.size, 4).map(([from, end]): Part => ({
        weight: end - from,
        job: () => ({ task: 'filterFlat', data: sinogram.data.slice(), geometry: beam, filter: wanted, from, end }),
        done: (filtered) => data.set(filtered, from * sinogram.detectors),
      })), work);
      return { views: sinogram.views, detectors: sinogram.detectors, data } as Sinogram as ShadowsOf<G>;
    },

    async backproject<G extends Geometry>(views: ShadowsOf<G>, geometry: G, grid: GridOf<G>, { power = 2 }: { readonly power?: 0 | 1 | 2 } = {}, work?: Work) {
      check(views, geometry, grid);
      const picture = emptyPicture(grid);
      if (geometry.beam === 'cone') await smearSlabs(pool, views as Projections, { ...geometry, tilt: 0 }, picture as Volume, undefined, power, work);
      else await smearRows(pool, views as Sinogram, geometry, picture as Image, undefined, power, work);
      return picture as PictureOf<G>;
    },

    async reconstruct<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, { grid, memory, ...filter }: Parameters<Engine['reconstruct']>[2] & { readonly grid: GridOf<G> }, work?: Work) {
      check(shadows, geometry, grid, memory);
      const wanted = portableFor(geometry, filter), power = filter.window === 'none' ? 1 : 2;
      const picture = emptyPicture(grid);
      if (geometry.beam === 'cone') await smearSlabs(pool, shadows as Projections, geometry, picture as Volume, wanted, power, work);
      else await smearRows(pool, shadows as Sinogram, geometry, picture as Image, wanted, power, work);
      return picture as PictureOf<G>;
    },

    operator: (geometry, grid, mask) => operatorOn(pool, geometry, grid, mask),
    close: () => pool.close(),
  } satisfies Engine;
}

/** What the iterative methods work with: the picture goes to every worker, each takes a share of the views, and their pictures are added up. */
function operatorOn(pool: Pool, geometry: Geometry, grid: Grid | VolumeGrid, mask?: ArrayLike<number>): Operator {
  const size = 'depth' in grid ? [grid.width, grid.height, grid.depth] : [grid.width, grid.height];
  const all = geometry.angles.map((_, view) => view), cells = cellsOf(geometry);
  return {
    size, pixels: size.reduce((a, b) => a * b), views: all.length, cells,
    numbers: (length) => new Float32Array(length),
    *applySteps(picture, rays, views = all) {
      yield* waitFor((work) => projectInto(pool, picture, geometry, grid, views, rays, cells, work));
    },
    *transposeSteps(rays, picture, views = all) {
      yield* waitFor((work) => transposeInto(pool, rays, geometry, grid, views, picture, cells, work));
      if (mask) for (let k = 0; k < picture.length; k++) if (!mask[k]) picture[k] = 0;
    },
  };
}

/** Writes the line integrals of these views into `rays`, a place for every view; the others stay. */
async function projectInto(pool: Pool, picture: Numbers, geometry: Geometry, grid: Grid | VolumeGrid, views: readonly number[], rays: Numbers, cells: number, work?: Work): Promise<void> {
  const alone = gridOf(grid);
  await pool.run(cuts(views.length, pool.size).map(([from, end]): Part => {
    const its = views.slice(from, end);
    return {
      weight: its.length,
      job: () => ({ task: geometry.beam === 'cone' ? 'projectCone' : 'projectFlat', data: new Float32Array(picture), geometry, grid: alone, views: its } as Job),
      done: (data) => { for (const [k, view] of its.entries()) rays.set(data.subarray(k * cells, (k + 1) * cells), view * cells); },
    };
  }), work);
}

/** Writes over the picture what the rays of these views spread back. */
async function transposeInto(pool: Pool, rays: Numbers, geometry: Geometry, grid: Grid | VolumeGrid, views: readonly number[], picture: Numbers, cells: number, work?: Work): Promise<void> {
  const alone = gridOf(grid);
  let first = true;
  if (views.length === 0) picture.fill(0);
  await pool.run(cuts(views.length, pool.size).map(([from, end]): Part => {
    const its = views.slice(from, end);
    return {
      weight: its.length,
      job: () => {
        const data = new Float32Array(its.length * cells);
        for (const [k, view] of its.entries()) data.set(rays.subarray(view * cells, (view + 1) * cells), k * cells);
        return { task: geometry.beam === 'cone' ? 'transposeCone' : 'transposeFlat', data, geometry, grid: alone, views: its } as Job;
      },
      done: (data) => {
        if (first) picture.set(data);
        else for (let k = 0; k < picture.length; k++) picture[k] += data[k];
        first = false;
      },
    };
  }), work);
}

/** A slice: each worker makes some rows of it, of views that it filters itself, which takes far less time than smearing them. */
async function smearRows(pool: Pool, { data }: Sinogram, geometry: FlatBeam, picture: Image, filter: PortableFilter | undefined, power: 0 | 1 | 2, work?: Work): Promise<void> {
  const { width, height } = picture, grid = gridOf(picture);
  await pool.run(cuts(height, pool.size).map(([firstRow, endRow]): Part => ({
    weight: endRow - firstRow,
    job: () => ({ task: 'smearFlat', data: data.slice(), geometry, grid, filter, power, firstRow, endRow }),
    done: (rows) => picture.data.set(rows, firstRow * width),
  })), work);
}

/** A volume: slab after slab goes to whichever worker is free, and the rows of the frames that it needs, batch after batch. */
async function smearSlabs(pool: Pool, projections: Projections, geometry: ConeBeam, volume: Volume, filter: PortableFilter | undefined, power: 0 | 1 | 2, work?: Work): Promise<void> {
  const area = volume.width * volume.height, grid = gridOf(volume);
  const edges = slabEdges(grid, pool.size);
  await pool.run(edges.slice(1).map((endSlice, k): Part => {
    const slab = slabOf(geometry, grid, edges[k], endSlice);
    const atOnce = viewsAtOnce(slab.geometry.rows * slab.geometry.detectors);
    return {
      weight: endSlice - edges[k],
      job: () => ({ task: 'smearCone', geometry: slab.geometry, grid: slab.grid, filter, power }),
      frames: (from, room) => {
        const end = Math.min(projections.views, from + atOnce);
        return { from, count: end - from, data: rowsOf(projections, slab, from, end, room).data };
      },
      slices: (firstSlice, data) => volume.data.set(data, (slab.firstSlice + firstSlice) * area),
    };
  }), work);
}

/** 0 … length in `count` parts of about as many, cut at multiples of `step`; empty parts left out. */
function cuts(length: number, count: number, step = 1): [from: number, end: number][] {
  const edges = Array.from({ length: count + 1 }, (_, k) => Math.min(length, Math.round((k * length) / count / step) * step));
  edges[count] = length;
  return edges.slice(1).map((end, k): [number, number] => [edges[k], end]).filter(([from, end]) => end > from);
}

function cellsOf(geometry: Geometry): number {
  return geometry.beam === 'cone' ? geometry.rows * geometry.detectors : geometry.detectors;
}

function portableFor(geometry: Geometry, filter: Filter): PortableFilter {
  return portable(filter, geometry.detectors, geometry.pitch / magnification(geometry), filterResponse);
}

function check<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, grid: GridOf<G>, memory?: number): void {
  if (geometry.beam === 'cone') {
    matchProjections(shadows as Projections, geometry);
    checkVolumeGrid(grid as VolumeGrid, memory);
  } else {
    matchSinogram(shadows as Sinogram, geometry as FlatBeam);
    checkGrid(grid as Grid);
  }
}

function matchImage({ width, height, pixelSize, data }: Image): void {
  checkGrid({ width, height, pixelSize });
  if (data.length !== width * height) throw new BadInput(`The picture holds ${grouped(data.length)} numbers; ${grouped(width)} × ${grouped(height)} pixels are ${grouped(width * height)}.`);
}

function emptyPicture(grid: Grid | VolumeGrid): Image | Volume {
  return { ...gridOf(grid), data: new Float32Array(grid.width * grid.height * ('depth' in grid ? grid.depth : 1)) } as Image | Volume;
}

/** The grid alone, whatever else the object holds: a picture's numbers are not to be posted with it. */
function gridOf<T extends Grid | VolumeGrid>(grid: T): T {
  const { data: _, ...alone } = grid as T & { data?: unknown };
  return alone as unknown as T;
}
