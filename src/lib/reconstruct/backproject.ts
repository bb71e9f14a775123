import { kernelsInUse } from '../engine/in-use.ts';
import { finish, type Steps } from '../engine/steps.ts';
import type { FlatBeam, Grid, Image, Sinogram } from '../types.ts';
import { checkGrid, matchSinogram } from './match-sinogram.ts';
import { smearView } from './smear-view.ts';

export interface BackprojectOptions {
  /** A factor for each view, in the order of the angles; 1 when left out. viewWeights(geometry) makes the sum an integral over the turn. */
  readonly weights?: ArrayLike<number>;
  /** Which views to smear, by number; all when left out. */
  readonly views?: readonly number[];
  /** Fan beam: values count (sourceToAxis/depth)^distancePower times, nearer the source more; 0 when left out. */
  readonly distancePower?: 0 | 1 | 2;
}

/**
 * Every view smeared back along its rays, unfiltered: image(x, y) = Σ weight(view) · p(view, where (x, y) falls on the detector),
 * interpolated linearly between cells, 0 off the detector. In the unit of p times that of the weights.
 * After useKernels() it runs on them, to 1e-5 the same.   Throws: BadInput if the sinogram is not one of this geometry.
 */
export function backproject(sinogram: Sinogram, geometry: FlatBeam, grid: Grid, options: BackprojectOptions = {}): Image {
  return kernelsInUse()?.backproject(sinogram, geometry, grid, options) ?? finish(backprojectSteps(sinogram, geometry, grid, options));
}

/** The same as steps that can be followed and stopped. */
export function* backprojectSteps(sinogram: Sinogram, geometry: FlatBeam, grid: Grid, options: BackprojectOptions = {}): Steps<Image> {
  matchSinogram(sinogram, geometry);
  checkGrid(grid);
  const { detectors, data } = sinogram;
  const views = options.views ?? Array.from({ length: sinogram.views }, (_, view) => view);
  const sum = new Float64Array(grid.width * grid.height);
  const values = new Float64Array(detectors + 1);
  for (const [done, view] of views.entries()) {
    const weight = options.weights ? options.weights[view] : 1;
    for (let j = 0; j < detectors; j++) values[j] = weight * data[view * detectors + j];
    for (const share of smearView(values, view, geometry, grid, sum, options.distancePower ?? 0)) yield (done + share) / views.length;
  }
  return { ...grid, data: new Float32Array(sum) };
}
