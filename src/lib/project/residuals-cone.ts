import { finish, part, type Steps } from '../engine/steps.ts';
import type { ConeBeam, Projections, Volume } from '../types.ts';
import { matchProjections, matchVolume } from './cone-input.ts';
import { projectFrameSteps } from './forward-project-cone.ts';

/**
 * How far each frame lies from what the volume would have shown there: the rms of (measured − reprojected) over its cells, one number
 * a view, in the unit of the line integrals. A frame that stands at the wrong angle, or was taken while something moved, sticks out
 * from the others; how far all of them lie from 0 tells of noise, of too few views and of the voxels' size.
 * Rays that pass beyond the volume are reprojected as empty there: let it hold the whole object.
 * Throws BadInput when frames and geometry, or the volume and its data, do not fit each other.
 */
export function residuals(projections: Projections, volume: Volume, geometry: ConeBeam): Float64Array {
  return finish(residualsSteps(projections, volume, geometry));
}

/** The same as steps that can be followed and stopped. */
export function* residualsSteps(projections: Projections, volume: Volume, geometry: ConeBeam): Steps<Float64Array> {
  matchProjections(projections, geometry);
  matchVolume(volume);
  const { views, rows, columns, data } = projections;
  const cells = rows * columns;
  const frame = new Float32Array(cells);
  const apart = new Float64Array(views);
  for (let view = 0; view < views; view++) {
    yield* part(projectFrameSteps(volume, geometry, view, frame), view / views, (view + 1) / views);
    let sum = 0;
    for (let k = 0; k < cells; k++) sum += (data[view * cells + k] - frame[k]) ** 2;
    apart[view] = Math.sqrt(sum / cells);
  }
  return apart;
}
