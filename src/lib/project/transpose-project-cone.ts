import { finish, part, type Steps } from '../engine/steps.ts';
import type { ConeBeam, Projections, Volume, VolumeGrid } from '../types.ts';
import { matchProjections } from './cone-input.ts';
import { coneWalker, emptyConeWalk, type ConeWalk } from './cone-walk.ts';
import { checkVolumeGrid } from '../volume/fit-grid.ts';

/**
 * The transpose of forwardProjectCone: every ray spreads its value back over the voxels that it took it from, with the same weights,
 * so that ⟨forwardProjectCone(x), y⟩ = ⟨x, transposeProjectCone(y)⟩. It is what iterative reconstruction needs; it is not an inverse, and
 * not the backprojection of fdk: there are no view weights and no filter. Summed in float32, so that no second volume is needed, which
 * costs about a millionth of the highest value; unit: mm × that of the frames.
 * Throws BadInput when the frames do not fit the geometry or the volume is too large.
 */
export function transposeProjectCone(projections: Projections, geometry: ConeBeam, grid: VolumeGrid): Volume {
  return finish(transposeProjectConeSteps(projections, geometry, grid));
}

/** The same as steps that can be followed and stopped. */
export function* transposeProjectConeSteps(projections: Projections, geometry: ConeBeam, grid: VolumeGrid): Steps<Volume> {
  matchProjections(projections, geometry);
  checkVolumeGrid(grid);
  const { views, rows, columns } = projections;
  const data = new Float32Array(grid.width * grid.height * grid.depth);
  const volume = { ...grid, data }, cells = rows * columns;
  for (let view = 0; view < views; view++) {
    yield* part(spreadFrameSteps(volume, geometry, view, projections.data.subarray(view * cells, (view + 1) * cells)), view / views, (view + 1) / views);
  }
  return volume;
}

/** Adds what one frame spreads back to the volume. Both are taken to fit the geometry. */
export function* spreadFrameSteps(volume: Volume, geometry: ConeBeam, view: number, frame: Float32Array): Steps<void> {
  const { rows, detectors } = geometry;
  const { data } = volume;
  const walk = emptyConeWalk();
  const walkTo = coneWalker(geometry, volume);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < detectors; column++) {
      walkTo(walk, view, row, column);
      const { first, end, insideFirst, insideEnd, along, oneAt, oneSlope, oneStride, otherAt, otherSlope, otherStride, step } = walk;
      const value = frame[row * detectors + column] * step;
      for (let k = first; k < insideFirst; k++) spreadAtRim(data, walk, k, value);
      for (let k = insideFirst; k < insideEnd; k++) {
        const one = oneAt + k * oneSlope, other = otherAt + k * otherSlope;
        const i = one | 0, j = other | 0;
        const p = one - i, q = other - j;
        const near = k * along + i * oneStride + j * otherStride, far = near + otherStride;
        const toFar = q * value, toNear = value - toFar;
        data[near] += (1 - p) * toNear;
        data[near + oneStride] += p * toNear;
        data[far] += (1 - p) * toFar;
        data[far + oneStride] += p * toFar;
      }
      for (let k = insideEnd; k < end; k++) spreadAtRim(data, walk, k, value);
    }
    yield (row + 1) / rows;
  }
}

/** Where not all four voxels lie inside, those that do get their share. */
function spreadAtRim(data: Float32Array, walk: ConeWalk, k: number, value: number): void {
  const one = walk.oneAt + k * walk.oneSlope, other = walk.otherAt + k * walk.otherSlope;
  for (let corner = 0; corner < 4; corner++) {
    const i = Math.floor(one) + (corner & 1), j = Math.floor(other) + (corner >> 1);
    if (i < 0 || i >= walk.oneCount || j < 0 || j >= walk.otherCount) continue;
    data[k * walk.along + i * walk.oneStride + j * walk.otherStride] += (1 - Math.abs(one - i)) * (1 - Math.abs(other - j)) * value;
  }
}
