import { detectorPosition } from '../geometry/detector-position.ts';
import type { ConeBeam, FanBeam } from '../types.ts';
import { rayWeights } from './ray-weights.ts';

/** The fan in the plane of the source: the middle of the cone, which a cone with one row is. An upright detector is meant. */
export function midPlaneFan({ angles, detectors, pitch, axisOffset, sourceToAxis, sourceToDetector }: ConeBeam): FanBeam {
  return { beam: 'fan', angles, detectors, pitch, axisOffset, sourceToAxis, sourceToDetector };
}

/**
 * How much each ray of a frame counts before the frame is filtered: a function that writes the weights of one row of a view, one a
 * column, into `weights`. They are those of the fan (rayWeights: cos γ, and ½ or Parker's share of a ray that is seen twice), times
 * the cosine of the angle κ at which the ray leaves the fan's plane:
 *   cos κ = √(S² + u²)/√(S² + u² + v²),  so that cos γ · cos κ = S/√(S² + u² + v²),  S = sourceToDetector
 * power: 1 before the filter; 2 for frames that are smeared unfiltered, which count the same at every height, as rayWeights does.
 * The detector is taken as upright. Source: Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984), citation from memory; Parker's
 * weights row by row are common practice.
 */
export function coneWeights(geometry: ConeBeam, power: 1 | 2): (view: number, row: number, weights: Float64Array) => void {
  const { detectors, rows, pitch, rowOffset, sourceToDetector } = geometry;
  const fan = midPlaneFan(geometry);
  const weighFan = rayWeights(fan, power);
  const flat = Float64Array.from({ length: detectors }, (_, j) => sourceToDetector ** 2 + detectorPosition(fan, j) ** 2);
  let last = -1, ofFan: Float64Array = new Float64Array(0);
  return (view, row, weights) => {
    if (view !== last) {
      ofFan = weighFan(view);
      last = view;
    }
    const v = (row - (rows - 1) / 2) * pitch - rowOffset;
    for (let j = 0; j < detectors; j++) weights[j] = power === 2 ? ofFan[j] : ofFan[j] * Math.sqrt(flat[j] / (flat[j] + v * v));
  };
}
