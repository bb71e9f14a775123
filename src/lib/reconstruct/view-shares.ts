import { coverage } from '../geometry/coverage.ts';
import { ringOf } from '../geometry/ring.ts';
import { viewWeights } from '../geometry/view-weights.ts';
import type { FlatBeam } from '../types.ts';

/**
 * What fbp multiplies each view by, radians: viewWeights, but where coverage() is incomplete no more than three usual steps a view.
 * Two views that stood for a whole missing wedge would draw streaks of their own: with 60° of 180° missing, the high-contrast head's
 * rms error is twice what it is with the wedge left empty. Three steps is our own choice.
 */
export function viewShares(geometry: FlatBeam): Float64Array {
  const shares = viewWeights(geometry);
  if (coverage(geometry).kind !== 'incomplete') return shares;
  const { usual } = ringOf(geometry.angles, geometry.beam === 'parallel' ? Math.PI : 2 * Math.PI);
  return shares.map((share) => Math.min(share, 3 * usual));
}
