import { part, type Steps } from '../engine/steps.ts';
import type { Operator } from './operator.ts';

/**
 * The largest factor by which A lengthens a picture, ‖A‖ (mm), by power iteration on AᵀA. A has no negative entries, so that the picture
 * it lengthens most has none either: begun at 1 everywhere a few rounds are enough. Comes from below: a fraction of a per cent too little.
 * Source: Golub & Van Loan, Matrix Computations, section 7.3 (citation from memory).
 */
export function* operatorNorm(operator: Operator, rounds = 10): Steps<number> {
  const rays = operator.numbers(operator.views * operator.cells);
  const picture = operator.numbers(operator.pixels).fill(1);
  let norm = 0;
  for (let round = 0; round < rounds; round++) {
    yield* part(operator.applySteps(picture, rays), round / rounds, (round + 0.5) / rounds);
    yield* part(operator.transposeSteps(rays, picture), (round + 0.5) / rounds, (round + 1) / rounds);
    let sum = 0;
    for (let k = 0; k < picture.length; k++) sum += picture[k] * picture[k];
    if (sum === 0) return 0;
    norm = Math.sqrt(sum); // of AᵀA, as the picture had length 1 (but in the first round)
    for (let k = 0; k < picture.length; k++) picture[k] /= norm;
  }
  return Math.sqrt(norm);
}
