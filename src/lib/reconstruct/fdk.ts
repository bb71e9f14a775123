import { finish, type Steps } from '../engine/steps.ts';
import type { Filter } from '../filter/filter.ts';
import { checkVolumeGrid, matchProjections } from '../project/cone-input.ts';
import type { ConeBeam, Projections, Volume, VolumeGrid } from '../types.ts';
import { curtainLength, frameFilter } from './fdk-filter.ts';
import { smearCone } from './smear-cone.ts';

export interface FdkOptions extends Filter {
  readonly grid: VolumeGrid;
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
 * Throws: BadInput if the frames are not those of this geometry or hold something else than finite numbers, or the volume is too large.
 * Source: Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984), equations from memory, figures checked (`slices verify`, G).
 */
export function fdk(projections: Projections, geometry: ConeBeam, options: FdkOptions): Volume {
  return finish(fdkSteps(projections, geometry, options));
}

/** The same as steps that can be followed and stopped. */
// region fdk
export function* fdkSteps(projections: Projections, geometry: ConeBeam, { grid, ...filter }: FdkOptions): Steps<Volume> {
  matchProjections(projections, geometry);
  checkVolumeGrid(grid);
  const { width, height, depth } = grid;
  const { views } = projections;
  const volume = new Float32Array(width * height * depth);
  const filterFrame = frameFilter(geometry, filter);
  const length = curtainLength(geometry);
  const atOnce = Math.min(views, Math.max(1, Math.floor(BATCH / length)));
  const curtains = new Float64Array(atOnce * length);
  const sums = new Float64Array(BLOCK * depth); // a few columns of voxels, each from the bottom up
  const blend = new Float64Array(geometry.rows + 1);
  const filtering = (FILTER_COST * length) / (FILTER_COST * length + volume.length); // its share of the work

  for (let from = 0; from < views; from += atOnce) {
    const batch = geometry.angles.slice(from, from + atOnce);
    const progress = (filtered: number, smeared: number) => (from + batch.length * (filtering * filtered + (1 - filtering) * smeared)) / views;
    for (const k of batch.keys()) {
      const curtain = curtains.subarray(k * length, (k + 1) * length);
      for (const _ of filterFrame(projections.data, from + k, curtain)) yield progress(k / batch.length, 0);
    }
    for (let row = 0; row < height; row++) {
      for (let first = 0; first < width; first += BLOCK) {
        const end = Math.min(width, first + BLOCK);
        sums.fill(0);
        smearCone({ angles: batch, data: curtains }, geometry, grid, row, first, end, filter.window === 'none' ? 1 : 2, sums, blend);
        for (let z = 0; z < depth; z++) {
          for (let pixel = first; pixel < end; pixel++) volume[(z * height + row) * width + pixel] += sums[(pixel - first) * depth + z];
        }
        yield progress(1, (row + end / width) / height);
      }
    }
  }
  return { ...grid, data: volume };
}
// endregion

/** Numbers of filtered frames held at once: 24 MB. */
const BATCH = 3 * 2 ** 20;
/** Pixels of a row whose columns are summed together: 16 floats are a line of cache, which is then written whole. */
const BLOCK = 16;
/** What filtering a cell costs beside adding to a voxel, about; progress is told by it. */
const FILTER_COST = 20;
