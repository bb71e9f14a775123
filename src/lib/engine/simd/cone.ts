import type { Filter } from '../../filter/filter.ts';
import { detectorIndex, detectorPosition } from '../../geometry/detector-position.ts';
import { magnification } from '../../geometry/magnification.ts';
import { pixelPosition } from '../../geometry/pixel-position.ts';
import { detectorRow } from '../../project/point-in-cone.ts';
import { midPlaneFan } from '../../reconstruct/cone-weights.ts';
import { straightener } from '../../reconstruct/fdk-straighten.ts';
import { rayWeights } from '../../reconstruct/ray-weights.ts';
import { slabCuts } from '../../reconstruct/slab.ts';
import { viewShares } from '../../reconstruct/view-shares.ts';
import type { ConeBeam, VolumeGrid } from '../../types.ts';
import type { Steps } from '../steps.ts';
import { columnLayout } from './columns.ts';
import { rowFilter } from './filter-rows.ts';
import type { Kernels } from './kernels.ts';

/**
 * Volumes by the kernels: what filterFramesSteps, smearFramesSteps and fdkSteps do. What is handed in is taken to have been checked.
 * Each begins with the kernels' whole memory.
 */

/** Some frames, one after the other: view `from` and the next ones. */
export interface Frames {
  readonly from: number;
  readonly count: number;
  readonly data: Float32Array;
}

export interface FramesToCome {
  /** Waits, as steps, for the next frames; undefined after the last. */
  next(): Steps<Frames | undefined>;
  /** The last ones have been taken up, and their numbers are not wanted any more. */
  taken?(): void;
}

/** Frames filtered, upright, in rows. */
export function* filterConeSteps(kernels: Kernels, { from, count, data }: Frames, geometry: ConeBeam, filter: Filter): Steps<Float32Array> {
  const { rows, detectors } = geometry, cells = rows * detectors;
  kernels.clear();
  const filterTo = coneFilter(kernels, geometry, filter);
  const target = kernels.take(cells);
  const filtered = new Float32Array(count * cells);
  for (let k = 0; k < count; k++) {
    for (const _ of filterTo(data.subarray(k * cells, (k + 1) * cells), from + k, target, detectors, 1)) yield k / count;
    filtered.set(kernels.f32(target, cells), k * cells);
    yield (k + 1) / count;
  }
  return filtered;
}

/** A function that filters a frame and writes cell (row, column) to row · rowStride + column · cellStride; yields now and then. */
function coneFilter(kernels: Kernels, geometry: ConeBeam, filter: Filter): (frame: Float32Array, view: number, target: number, rowStride: number, cellStride: number) => Generator<void, void, void> {
  const { rows, detectors, pitch, rowOffset, sourceToDetector } = geometry;
  const fan = midPlaneFan(geometry), unfiltered = filter.window === 'none';
  const shares = viewShares(fan), weigh = rayWeights(fan, unfiltered ? 2 : 1);
  const filterRow = rowFilter(kernels, filter, detectors, pitch / magnification(geometry));
  const source = kernels.take(4 * detectors);
  // coneWeights' cos κ, the same for all views: cell by cell, row by row.
  const slant = kernels.take((rows + 3) * detectors, 'f64');
  const slants = kernels.f64(slant, rows * detectors).fill(1);
  if (!unfiltered) {
    for (let row = 0; row < rows; row++) {
      const v = (row - (rows - 1) / 2) * pitch - rowOffset;
      for (let j = 0; j < detectors; j++) {
        const flat = sourceToDetector ** 2 + detectorPosition(fan, j) ** 2;
        slants[row * detectors + j] = Math.sqrt(flat / (flat + v * v));
      }
    }
  }
  const straighten = geometry.tilt !== 0 ? straightener(geometry) : undefined;
  const upright = new Float64Array(detectors);
  const pause = Math.max(4, 4 * Math.floor(2 ** 14 / detectors));

  return function* (frame, view, target, rowStride, cellStride) {
    kernels.f64(filterRow.shares, 4).fill(shares[view]);
    kernels.f64(filterRow.across, detectors).set(weigh(view));
    for (let row = 0; row < rows; row += 4) {
      const count = Math.min(4, rows - row);
      const into = kernels.f32(source, 4 * detectors);
      if (straighten) {
        for (let k = 0; k < count; k++) {
          straighten(frame, 0, row + k, upright);
          into.set(upright, k * detectors);
        }
      } else into.set(frame.subarray(row * detectors, (row + count) * detectors));
      filterRow.filter({ source, sourceStride: detectors, count, target: target + 4 * row * rowStride, rowStride, cellStride }, slant + 8 * row * detectors);
      if (row % pause === 0) yield;
    }
  };
}

/** A slab as it is handed on: slices firstSlice … of it, as many as data holds, which is good until the steps are done. */
export type GiveSlices = (firstSlice: number, data: Float32Array) => Steps<void>;

/**
 * The frames to come, filtered (or, without a filter, as they are) and smeared back over the grid; the slices go out by `give`, about
 * 1 MB at a time. views: how many frames will come in all, for the progress.
 */
export function* smearConeSteps(kernels: Kernels, toCome: FramesToCome, geometry: ConeBeam, grid: VolumeGrid, filter: Filter | undefined, power: 0 | 1 | 2, give: GiveSlices): Steps<void> {
  const { width, height, depth, voxelSize, centre = [0, 0, 0] } = grid;
  const { rows, detectors, angles } = geometry, cells = rows * detectors, area = width * height;
  kernels.clear();
  const filterTo = filter && coneFilter(kernels, geometry, filter);
  const tall = Math.ceil(rows / 8) * 8 + 20; // a curtain's column: its cells, and at least 16 zeros; no power of two, see columnLayout
  const curtain = (detectors + 1) * tall, layout = columnLayout(grid);
  const volume = kernels.take(layout.length), blend = kernels.take(4 * tall + 16);
  const most = viewsAtOnce(cells);
  const turns = kernels.take(2 * most, 'f64'), curtains = kernels.take(most * curtain);
  const [x, y] = pixelPosition({ width, height, pixelSize: voxelSize, centre: [centre[0], centre[1]] }, 0, 0);
  const scale = geometry.sourceToDetector / geometry.sourceToAxis / geometry.pitch;
  const lowest = centre[2] - ((depth - 1) / 2) * voxelSize;
  const filtering = filter ? (FILTER_COST * cells) / (FILTER_COST * cells + area * depth) : 0;

  for (let frames = yield* toCome.next(); frames; frames = yield* toCome.next()) {
    const { from, count, data } = frames;
    const progress = (filtered: number, smeared: number) => (from + count * (filtering * filtered + (1 - filtering) * smeared)) / angles.length;
    for (let k = 0; k < count; k++) {
      const frame = data.subarray(k * cells, (k + 1) * cells), to = curtains + 4 * k * curtain;
      if (filterTo) for (const _ of filterTo(frame, from + k, to, 1, tall)) yield progress(k / count, 0);
      else hang(kernels.f32(to, curtain), frame, rows, detectors, tall);
      if (rows % 4) clearAbove(kernels.f32(to, curtain), rows, detectors, tall);
      const angle = angles[from + k];
      kernels.f64(turns + 16 * k, 2).set([Math.cos(angle), Math.sin(angle)]);
      yield progress((k + 1) / count, 0);
    }
    toCome.taken?.();
    kernels.call.setCone(
      geometry.sourceToAxis, detectorIndex(geometry, 0), detectorRow(geometry, 0), scale, voxelSize, x, y, lowest, detectors, rows, depth, tall, blend,
    );
    for (let row = 0; row < height; row += TILE) {
      const endRow = Math.min(height, row + TILE);
      for (let column = 0; column < width; column += TILE) {
        const endColumn = Math.min(width, column + TILE);
        kernels.call.smearCone(volume, layout.tall, layout.wide, column, endColumn, row, endRow, count, turns, curtains, curtain, power);
        yield progress(1, (row + ((endRow - row) * endColumn) / width) / height);
      }
    }
  }
  // Where the curtains were there is room for some slices, or for none.
  const fit = Math.floor((most * curtain) / area), scratch = fit > 0 ? curtains : kernels.take(area);
  const atOnce = Math.max(1, Math.min(depth, fit, Math.floor(GIVE / area)));
  for (let z = 0; z < depth; z += atOnce) {
    const end = Math.min(depth, z + atOnce);
    kernels.call.fromColumns(scratch, width, height, z, end, volume, layout.wide, layout.tall);
    yield* give(z, kernels.f32(scratch, (end - z) * area));
    yield 1;
  }
}

/**
 * Where a volume is cut into slabs to hand to smearConeSteps: the first slice of each, and the depth. As many for each worker, so that all end together,
 * of slices by fours, which the kernels take at a time, and so small that a program with this engine stays within 64 MB a worker beside frames and
 * volume: measured in Node, it takes about 27 MB of its own memory, and each worker 18 MB for itself, the frames before and after filtering, and slices
 * on their way.
 */
export function slabEdges({ width, height, depth }: VolumeGrid, workers: number): number[] {
  const largest = (64 - 18 - 27 / workers) * 1e6, fours = Math.ceil(depth / 4);
  const each = Math.max(1, Math.ceil((4 * width * height * depth) / largest / workers));
  return slabCuts(fours, Math.min(fours, each * workers)).map((four) => Math.min(depth, 4 * four));
}

/** Frames that are worked on together: of about 1 MB, or the four that the kernel takes at a time where they are at most 4 MB, or fewer. */
export function viewsAtOnce(cells: number): number {
  const fours = 4 * Math.floor(2 ** 16 / cells);
  return fours || Math.max(1, Math.min(4, Math.floor(2 ** 20 / cells)));
}

/** Gives memory back at once that was handed over by another thread, where that can be done. */
export function release({ buffer }: Float32Array): void {
  (buffer as ArrayBuffer & { transfer?: (length: number) => ArrayBuffer }).transfer?.(0);
}

function hang(curtain: Float32Array, frame: Float32Array, rows: number, detectors: number, tall: number): void {
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < detectors; column++) curtain[column * tall + row] = frame[row * detectors + column];
  }
}

/** The kernel writes rows by fours: what it left above the last row. */
function clearAbove(curtain: Float32Array, rows: number, detectors: number, tall: number): void {
  for (let column = 0; column < detectors; column++) for (let row = rows; row % 4; row++) curtain[column * tall + row] = 0;
}

/** Pixels in a tile's edge: as many columns of voxels, and the cells they read, as stay in the nearer caches. */
const TILE = 16;
/** Numbers of the result that are given out at once. */
const GIVE = 2 ** 18;
/** What filtering a cell costs beside adding to a voxel, about; progress is told by it. */
const FILTER_COST = 6;
