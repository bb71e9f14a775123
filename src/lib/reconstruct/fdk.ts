import { kernelsInUse } from '../engine/in-use.ts';
import { finish, type Steps } from '../engine/steps.ts';
import type { Filter } from '../filter/filter.ts';
import { matchProjections } from '../project/cone-input.ts';
import type { ConeBeam, Projections, Volume, VolumeGrid } from '../types.ts';
import { curtainLength, frameFilter } from './fdk-filter.ts';
import { wholeSlab, type Slab } from './slab.ts';
import { smearCone, type Tile } from './smear-cone.ts';
import { checkVolumeGrid } from '../volume/fit-grid.ts';

export interface FdkOptions extends Filter {
  readonly grid: VolumeGrid;
  /** The most that the volume may take, bytes; memoryLimit, 500 MB, when left out. */
  readonly memory?: number;
  /** Where grid and geometry are those of a slab: the slab, whose volume is then that part of the whole's to the last bit. */
  readonly slab?: Slab;
}

/**
 * Reconstruction of a volume from the frames of a cone beam, after Feldkamp, Davis and Kress. As the fan's fbp, row by row:
 *   f(x, y, z) = Σ Δβ · (R/depth)² · q(β, u, v),   q the frame of p · S/√(S² + u² + v²) · (the ray's share), each row of it filtered
 * where (u, v) is where the voxel falls on the detector, R and S are sourceToAxis and sourceToDetector. Absolute, in 1/mm. Angles may
 * be in any order and unevenly spaced, all the way round or over a short scan (Parker's weights, column by column); where rays are
 * missing the volume is made all the same, as fbp does. The axis may fall anywhere on the detector, and may lean: the frames are then
 * interpolated onto an upright detector once, before they are filtered.
 * In the plane of the source it is fbp, exactly. Above and below it is an approximation, exact only for what does not change along z:
 * values fall slowly and flat faces that lie square to the axis blur as the rays' slope grows. A voxel that leaves the detector in some
 * views lacks their part of it.
 * projections: the frames; not changed.   Result: float32, summed in double precision over as many views at a time as 24 MB hold.
 * Memory: the volume, and at most about 64 MB beside it.   window 'none': smeared back unfiltered, without unit, as fbp.
 * After useKernels() it runs on them, to 1e-5 the same; fdkSteps stays as it is.
 * Throws: BadInput if the frames are not those of this geometry or hold something else than finite numbers, or the volume is too large.
 * Source: Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984), equations from memory, figures checked (`slices verify`, G).
 */
export function fdk(projections: Projections, geometry: ConeBeam, options: FdkOptions): Volume {
  return kernelsInUse()?.fdk(projections, geometry, options) ?? finish(fdkSteps(projections, geometry, options));
}

/** The same as steps that can be followed and stopped. */
// region fdk
export function* fdkSteps(projections: Projections, geometry: ConeBeam, { grid, memory, slab = wholeSlab(geometry, grid), ...filter }: FdkOptions): Steps<Volume> {
  matchProjections(projections, geometry);
  checkVolumeGrid(grid, memory);
  const filterFrame = frameFilter(slab.whole.geometry, filter, slab);
  return yield* smearSteps((view, curtain) => filterFrame(projections.data, view, curtain), slab, filter.window === 'none' ? 1 : 2);
}

/** hang: writes what is to be smeared back of a view into a curtain, as frameFilter does. */
function* smearSteps(hang: (view: number, curtain: Float64Array) => Iterable<void>, slab: Slab, power: 0 | 1 | 2): Steps<Volume> {
  const { geometry, grid } = slab;
  const { width, height, depth } = grid;
  const views = geometry.angles.length;
  const volume = new Float32Array(width * height * depth);
  const length = curtainLength(geometry);
  const atOnce = Math.min(views, Math.max(1, Math.floor(BATCH / curtainLength(slab.whole.geometry))));
  const curtains = new Float64Array(atOnce * length);
  const sums = new Float64Array(TILE.columns * TILE.rows * depth);
  const blend = new Float64Array(slab.whole.geometry.rows + 1);
  const filtering = (FILTER_COST * length) / (FILTER_COST * length + volume.length); // its share of the work

  for (let from = 0; from < views; from += atOnce) {
    const batch = geometry.angles.slice(from, from + atOnce);
    const progress = (filtered: number, smeared: number) => (from + batch.length * (filtering * filtered + (1 - filtering) * smeared)) / views;
    for (const k of batch.keys()) {
      for (const _ of hang(from + k, curtains.subarray(k * length, (k + 1) * length))) yield progress(k / batch.length, 0);
    }
    for (let firstRow = 0; firstRow < height; firstRow += TILE.rows) {
      const endRow = Math.min(height, firstRow + TILE.rows);
      for (let firstColumn = 0; firstColumn < width; firstColumn += TILE.columns) {
        const endColumn = Math.min(width, firstColumn + TILE.columns);
        const tile = { firstColumn, endColumn, firstRow, endRow };
        sums.fill(0);
        smearCone({ angles: batch, data: curtains }, slab, tile, power, sums, blend);
        addTile(volume, grid, tile, sums);
        yield progress(1, (firstRow + ((endRow - firstRow) * endColumn) / width) / height);
      }
    }
  }
  return { ...grid, data: volume };
}
// endregion

/**
 * Frames smeared back as they are: Σ (R/depth)^power · the frame where the voxel falls on it. The detector is taken as upright.
 * In the frames' unit. Throws: as fdk.
 */
export function* smearFramesSteps(frames: Projections, geometry: ConeBeam, grid: VolumeGrid, power: 0 | 1 | 2): Steps<Volume> {
  matchProjections(frames, geometry);
  checkVolumeGrid(grid);
  return yield* smearSteps((view, curtain) => hangFrame(frames, view, curtain), wholeSlab({ ...geometry, tilt: 0 }, grid), power);
}

function* hangFrame({ rows, columns, data }: Projections, view: number, curtain: Float64Array): Generator<void, void, void> {
  curtain.fill(0);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) curtain[column * (rows + 1) + row] = data[(view * rows + row) * columns + column];
  }
  yield;
}

/** Adds the sums of a tile, column by column of voxels, to the volume, slice by slice. */
function addTile(volume: Float32Array, { width, height, depth }: VolumeGrid, { firstColumn, endColumn, firstRow, endRow }: Tile, sums: Float64Array): void {
  for (let z = 0; z < depth; z++) {
    let sum = z;
    for (let row = firstRow; row < endRow; row++) {
      for (let voxel = (z * height + row) * width + firstColumn; voxel < (z * height + row) * width + endColumn; voxel++) {
        volume[voxel] += sums[sum];
        sum += depth;
      }
    }
  }
}

/** Numbers of filtered frames held at once: 24 MB. */
const BATCH = 3 * 2 ** 20;
/** Pixels whose columns of voxels are summed together: wide enough to fill a line of cache when written, and few cells wide as a view sees it. */
const TILE = { columns: 16, rows: 4 } as const;
/** What filtering a cell costs beside adding to a voxel, about; progress is told by it. */
const FILTER_COST = 20;
