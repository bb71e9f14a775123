import type { Geometry } from '../types.ts';
import { ringOf } from './ring.ts';

/**
 * Each view's share of the turn, radians: half the gap to the direction before it and half the gap to the one after it.
 * Views in the same direction divide its share equally; the neighbours of lost frames take theirs.
 *   parallel:          directions modulo π, round the circle; the shares add up to π (also for views over 360°)
 *   fan, cone, full:   modulo 2π, round the circle; they add up to 2π. Each line is then seen twice: fbp halves.
 *   fan, cone, part:   within the arc that coverage() reports, its first and last view reaching half a usual step beyond it;
 *                      they add up to coverage().span. Lines seen twice are then the business of parkerWeight.
 * One number a view, in the order of the angles. A parallel scan with a wedge missing gives the wedge to the views at its rims.
 */
export function viewWeights(geometry: Geometry): Float64Array {
  const parallel = geometry.beam === 'parallel';
  const ring = ringOf(geometry.angles, parallel ? Math.PI : 2 * Math.PI);
  const gaps = [...ring.gaps];
  if (!parallel && ring.wide.length > 0) gaps[ring.wide[0]!] = ring.usual;
  const sharers = new Int32Array(gaps.length);
  for (const direction of ring.directionOf) sharers[direction]!++;
  return Float64Array.from(ring.directionOf, (k) => (gaps.at(k - 1)! + gaps[k]!) / 2 / sharers[k]!);
}
