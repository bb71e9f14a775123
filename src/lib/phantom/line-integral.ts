import { parallelShadow } from './shadow.ts';
import type { Phantom } from './shapes.ts';

/** The phantom's exact integral along the line x cos θ + y sin θ = s, without unit; s in mm. A fan's rays too: see rayOf. */
export function lineIntegral(phantom: Phantom, s: number, theta: number): number {
  return phantom.reduce((sum, shape) => sum + parallelShadow(shape, theta).at(s), 0);
}
