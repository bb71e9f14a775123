import type { Filter } from '../filter/filter.ts';
import { viewFilter } from '../filter/filter-views.ts';
import { magnification } from '../geometry/magnification.ts';
import { matchProjections } from '../project/cone-input.ts';
import { forwardProjectConeSteps } from '../project/forward-project-cone.ts';
import { forwardProjectSteps } from '../project/forward-project.ts';
import { transposeProjectConeSteps } from '../project/transpose-project-cone.ts';
import { transposeProjectSteps } from '../project/transpose-project.ts';
import { backprojectSteps } from '../reconstruct/backproject.ts';
import { smearFramesSteps, fdkSteps } from '../reconstruct/fdk.ts';
import { fbpSteps } from '../reconstruct/fbp.ts';
import { curtainLength, frameFilter } from '../reconstruct/fdk-filter.ts';
import { matchSinogram } from '../reconstruct/match-sinogram.ts';
import { operatorOf } from '../reconstruct/operator.ts';
import { rayWeights } from '../reconstruct/ray-weights.ts';
import { viewShares } from '../reconstruct/view-shares.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, Image, Projections, Sinogram, Volume, VolumeGrid } from '../types.ts';
import type { Engine } from './engine.ts';
import { run, type Steps } from './steps.ts';

/**
 * The readable code, on the thread that asks, in slices of a few milliseconds. It is always there, and it is what the others are held to.
 */
export function plainEngine(): Engine {
  const each = <T>(geometry: Geometry, flat: (beam: FlatBeam) => Steps<unknown>, cone: (beam: ConeBeam) => Steps<unknown>) =>
    (geometry.beam === 'cone' ? cone(geometry) : flat(geometry)) as Steps<T>;
  return {
    name: 'plain',
    says: 'plain TypeScript, one thread',
    project: async (picture, geometry, work) =>
      run(each(geometry, (beam) => forwardProjectSteps(picture as Image, beam), (beam) => forwardProjectConeSteps(picture as Volume, beam)), work),
    transpose: async (shadows, geometry, grid, work) =>
      run(each(geometry, (beam) => transposeProjectSteps(shadows as Sinogram, beam, grid as Grid), (beam) => transposeProjectConeSteps(shadows as Projections, beam, grid as VolumeGrid)), work),
    filter: async (shadows, geometry, filter, work) =>
      run(each(geometry, (beam) => filterSinogramSteps(shadows as Sinogram, beam, filter), (beam) => filterFramesSteps(shadows as Projections, beam, filter)), work),
    backproject: async (views, geometry, grid, { power = 2 } = {}, work) =>
      run(each(geometry, (beam) => backprojectSteps(views as Sinogram, beam, grid as Grid, { distancePower: power }), (beam) => smearFramesSteps(views as Projections, beam, grid as VolumeGrid, power)), work),
    reconstruct: async (shadows, geometry, options, work) =>
      run(each(geometry, (beam) => fbpSteps(shadows as Sinogram, beam, { ...options, grid: options.grid as Grid }), (beam) => fdkSteps(shadows as Projections, beam, { ...options, grid: options.grid as VolumeGrid })), work),
    operator: operatorOf,
    close: () => {},
  };
}

/** The views as fbp smears them back. */
export function* filterSinogramSteps(sinogram: Sinogram, geometry: FlatBeam, filter: Filter): Steps<Sinogram> {
  matchSinogram(sinogram, geometry);
  const { views, detectors } = sinogram;
  const shares = viewShares(geometry);
  const weighRays = rayWeights(geometry, filter.window === 'none' ? 2 : 1);
  const filterView = viewFilter(filter, detectors, geometry.pitch / magnification(geometry));
  const data = new Float32Array(views * detectors);
  const cells = new Float64Array(detectors);
  for (let view = 0; view < views; view++) {
    const weights = weighRays(view), from = view * detectors;
    for (let j = 0; j < detectors; j++) cells[j] = shares[view] * weights[j] * sinogram.data[from + j];
    filterView(cells, cells);
    data.set(cells, from);
    yield (view + 1) / views;
  }
  return { views, detectors, data };
}

/** The frames as fdk smears them back, upright, in rows. */
export function* filterFramesSteps(projections: Projections, geometry: ConeBeam, filter: Filter): Steps<Projections> {
  matchProjections(projections, geometry);
  const { views, rows, columns } = projections;
  const filterFrame = frameFilter(geometry, filter);
  const curtain = new Float64Array(curtainLength(geometry));
  const data = new Float32Array(projections.data.length);
  for (let view = 0; view < views; view++) {
    for (const _ of filterFrame(projections.data, view, curtain)) yield view / views;
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) data[(view * rows + row) * columns + column] = curtain[column * (rows + 1) + row];
    }
  }
  return { views, rows, columns, data };
}
