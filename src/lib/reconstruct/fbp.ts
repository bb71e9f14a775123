import { kernelsInUse } from '../engine/in-use.ts';
import { finish, type Steps } from '../engine/steps.ts';
import { viewFilter } from '../filter/filter-views.ts';
import type { Filter } from '../filter/filter.ts';
import { magnification } from '../geometry/magnification.ts';
import type { FlatBeam, Grid, Image, Sinogram } from '../types.ts';
import { checkGrid, matchSinogram } from './match-sinogram.ts';
import { rayWeights } from './ray-weights.ts';
import { smearView } from './smear-view.ts';
import { viewShares } from './view-shares.ts';

export interface FbpOptions extends Filter {
  readonly grid: Grid;
}

/**
 * Filtered backprojection: each view is weighed, filtered and smeared back. Absolute: a disc of 0.02/mm comes back as 0.02/mm.
 *   parallel  f(x, y) = Σ Δθ · q(θ, x cos θ + y sin θ),  q the filtered view
 *   fan       f(x, y) = Σ Δβ · (R/depth)² · q(β, s),     q the filtered view of p · cos γ · (the ray's share, see rayWeights)
 * Δ is each view's share of the turn (viewShares), so that angles may be unevenly spaced, in any order, over 180° or 360°.
 * A fan is filtered at the pitch that its rays have where they pass the axis, pitch/magnification.
 * window 'none': the views are smeared back unfiltered, ∫ p dθ over half a turn, a number without unit; fans in the same measure.
 * Where coverage(geometry) is 'incomplete' rays are missing and no weights can put them back: the picture is made all the same,
 * with the rays there are, and is then wrong in shape and in scale. The missing wedge is left empty.
 * Throws: BadInput if the sinogram is not one of this geometry or holds something else than finite numbers.
 * After useKernels() it runs on them, to 1e-5 the same; fbpSteps stays as it is.
 * Source: Kak & Slaney, Principles of Computerized Tomographic Imaging (1988), ch. 3.
 */
export function fbp(sinogram: Sinogram, geometry: FlatBeam, options: FbpOptions): Image {
  return kernelsInUse()?.fbp(sinogram, geometry, options) ?? finish(fbpSteps(sinogram, geometry, options));
}

/** The same as steps that can be followed and stopped. */
// region fbp
export function* fbpSteps(sinogram: Sinogram, geometry: FlatBeam, { grid, ...filter }: FbpOptions): Steps<Image> {
  matchSinogram(sinogram, geometry);
  checkGrid(grid);
  const { views, detectors, data } = sinogram;
  const unfiltered = filter.window === 'none';
  const shares = viewShares(geometry);
  const weighRays = rayWeights(geometry, unfiltered ? 2 : 1);
  const filterView = viewFilter(filter, detectors, geometry.pitch / magnification(geometry));
  const sum = new Float64Array(grid.width * grid.height);
  const values = new Float64Array(detectors + 1); // what is smeared: a view, and a 0 after its last cell
  const cells = values.subarray(0, detectors);

  for (let view = 0; view < views; view++) {
    const weights = weighRays(view);
    for (let j = 0; j < detectors; j++) cells[j] = shares[view] * weights[j] * data[view * detectors + j];
    filterView(cells, cells);
    for (const share of smearView(values, view, geometry, grid, sum, unfiltered ? 1 : 2)) yield (view + share) / views;
  }
  return { ...grid, data: new Float32Array(sum) };
}
// endregion
