import { finish, part, type Steps } from '../engine/steps.ts';
import { checkMemory, grouped } from '../files/memory-limit.ts';
import type { ConeBeam, Projections, Volume } from '../types.ts';
import { matchVolume } from './cone-input.ts';
import { coneWalker, emptyConeWalk, type ConeWalk } from './cone-walk.ts';

/**
 * The frames that a cone beam takes of any volume, by Joseph's method in three dimensions: along each ray, plane by plane of voxels,
 * the bilinear interpolant between the four nearest voxels times the length of the step.
 * volume: values at voxel middles, 1/mm; outside it there is nothing.  Result: line integrals, no unit, rounded to float32.
 * Error: of second order in voxelSize for a smooth object; at the edges of a voxelated one a few per cent of the highest value.
 * Throws BadInput when the volume's data do not fit its size, or the frames would be too large. Its exact transpose is transposeProjectCone.
 * Source: see cone-walk.ts.
 */
export function forwardProjectCone(volume: Volume, geometry: ConeBeam): Projections {
  return finish(forwardProjectConeSteps(volume, geometry));
}

/** The same as steps that can be followed and stopped. */
export function* forwardProjectConeSteps(volume: Volume, geometry: ConeBeam): Steps<Projections> {
  matchVolume(volume);
  const { angles, rows, detectors } = geometry;
  const views = angles.length, cells = rows * detectors;
  checkMemory(views * cells, `${grouped(views)} frames of ${grouped(detectors)} × ${grouped(rows)} cells`);
  const data = new Float32Array(views * cells);
  for (let view = 0; view < views; view++) {
    yield* part(projectFrameSteps(volume, geometry, view, data.subarray(view * cells, (view + 1) * cells)), view / views, (view + 1) / views);
  }
  return { views, rows, columns: detectors, data };
}

/** One frame of it, written into `frame`, row by row. The volume is taken to fit its data. */
export function* projectFrameSteps(volume: Volume, geometry: ConeBeam, view: number, frame: Float32Array): Steps<void> {
  const { rows, detectors } = geometry;
  const { data } = volume;
  const walk = emptyConeWalk();
  const walkTo = coneWalker(geometry, volume);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < detectors; column++) {
      walkTo(walk, view, row, column);
      const { first, end, insideFirst, insideEnd, along, oneAt, oneSlope, oneStride, otherAt, otherSlope, otherStride, step } = walk;
      let sum = 0;
      for (let k = first; k < insideFirst; k++) sum += atRim(data, walk, k);
      for (let k = insideFirst; k < insideEnd; k++) {
        const one = oneAt + k * oneSlope, other = otherAt + k * otherSlope;
        const i = one | 0, j = other | 0;
        const p = one - i, q = other - j;
        const near = k * along + i * oneStride + j * otherStride, far = near + otherStride;
        const a = data[near], b = data[far];
        const c = a + p * (data[near + oneStride] - a), d = b + p * (data[far + oneStride] - b);
        sum += c + q * (d - c);
      }
      for (let k = insideEnd; k < end; k++) sum += atRim(data, walk, k);
      frame[row * detectors + column] = sum * step;
    }
    yield (row + 1) / rows;
  }
}

/** The interpolant where not all four voxels lie inside; those outside count as 0. */
function atRim(data: Float32Array, walk: ConeWalk, k: number): number {
  const one = walk.oneAt + k * walk.oneSlope, other = walk.otherAt + k * walk.otherSlope;
  let sum = 0;
  for (let corner = 0; corner < 4; corner++) {
    const i = Math.floor(one) + (corner & 1), j = Math.floor(other) + (corner >> 1);
    if (i < 0 || i >= walk.oneCount || j < 0 || j >= walk.otherCount) continue;
    sum += (1 - Math.abs(one - i)) * (1 - Math.abs(other - j)) * data[k * walk.along + i * walk.oneStride + j * walk.otherStride];
  }
  return sum;
}
