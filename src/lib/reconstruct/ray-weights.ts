import { coverage } from '../geometry/coverage.ts';
import { detectorPosition } from '../geometry/detector-position.ts';
import { parkerWeight } from '../geometry/parker-weight.ts';
import type { FlatBeam } from '../types.ts';

/**
 * How much each ray of a view counts before the view is filtered: a function of the view, giving one number a cell.
 *   parallel             1: viewWeights has already shared out lines that were seen twice
 *   fan, all round       ½ · (cos γ)^power: every line is seen twice
 *   fan, part of it      Parker's weight · (cos γ)^power, over the arc that coverage() reports
 * power: 1 before the filter. Smeared unfiltered, 2: with a distance power of 1 the sum over the views is then the same integral over
 * directions as for a parallel beam, dθ = (R·depth/distance²) dβ at a pixel, depth/distance = cos γ (derived; tested against it).
 */
export function rayWeights(geometry: FlatBeam, power: 1 | 2): (view: number) => Float64Array {
  const { detectors } = geometry;
  if (geometry.beam === 'parallel') {
    const ones = new Float64Array(detectors).fill(1);
    return () => ones;
  }
  const gamma = Float64Array.from({ length: detectors }, (_, j) => Math.atan2(detectorPosition(geometry, j), geometry.sourceToDetector));
  const cosines = gamma.map((angle) => Math.cos(angle) ** power);
  const { kind, start, span } = coverage(geometry);
  if (kind === 'full') {
    const halves = cosines.map((cosine) => cosine / 2);
    return () => halves;
  }
  const delta = (span - Math.PI) / 2;
  return (view) => {
    const beta = geometry.angles[view] - start;
    const turned = beta - 2 * Math.PI * Math.floor(beta / (2 * Math.PI));
    return gamma.map((angle, j) => cosines[j] * parkerWeight(turned, angle, delta));
  };
}
