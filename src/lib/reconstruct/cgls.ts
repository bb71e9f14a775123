import { finish, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Geometry } from '../types.ts';
import { partOfIteration, problemOf, type Iterated, type IterateOptions, type ShadowsOf } from './iterate.ts';

export interface CglsOptions<G extends Geometry> extends IterateOptions<G> {
  /** Conjugate gradients cannot hold a bound: asking for it is refused. */
  readonly nonNegative?: false;
}

/**
 * Conjugate gradients for the least of Σ w·(b − Ax)², A Joseph's matrix (forwardProject): of all methods that use A and Aᵀ once an
 * iteration it brings the residual down fastest, and it falls at every one. Exact, but for rounding, after as many iterations as there are
 * pixels; for real data stop long before, since the late ones fit the noise. The residual is carried along, not computed afresh: in
 * float32 (volumes) it is true to about a millionth of the data.
 * measured, grid, mask, result: as sirt. There is no nonNegative, since a search direction would leave the bound: sirt has it.
 * Memory: 5 pictures and 3 sets of rays (5 with weights), of 8 bytes a number for a slice and 4 for a volume.
 * Throws BadInput, one sentence, as sirt, and if nonNegative is asked for.
 * Source: Hestenes & Stiefel, J. Res. Natl. Bur. Stand. 49:409 (1952); Björck, Numerical Methods for Least Squares Problems (1996),
 * algorithm 7.4.1; citations from memory.
 */
export function cgls<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: CglsOptions<G>): Iterated<G> {
  return finish(cglsSteps(measured, geometry, options));
}

/** The same as steps that can be followed and stopped. */
export function* cglsSteps<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: CglsOptions<G>): Steps<Iterated<G>> {
  const { iterations } = options;
  if (options.nonNegative) throw new BadInput('cgls cannot keep the values from falling below 0; choose sirt, osSart or totalVariation for that.');
  const { operator, data, weights, x, follow, done } = problemOf(measured, geometry, options, { pictures: 2, rays: 2 });
  const scale = weights?.map(Math.sqrt);
  const scaled = (rays: typeof data) => { if (scale) for (let i = 0; i < rays.length; i++) rays[i] *= scale[i]; };

  // The residual r = W½(b − Ax), the slope s = AᵀW½ r, the direction p.
  const r = data, q = operator.numbers(data.length), s = operator.numbers(x.length);
  yield* partOfIteration(operator.applySteps(x, q), 0, 0, 0.5, iterations);
  for (let i = 0; i < r.length; i++) r[i] -= q[i];
  scaled(r);
  function* slope(iteration: number): Steps<number> {
    q.set(r);
    scaled(q);
    yield* partOfIteration(operator.transposeSteps(q, s), iteration, 0.5, 1, iterations);
    return sumOfSquares(s);
  }
  let gamma = yield* slope(0);
  const p = s.slice();

  for (let iteration = 0, change = 0; ; iteration++) {
    const stopped = follow(iteration, sumOfSquares(r), change);
    if (stopped) return done(iteration, stopped);
    yield* partOfIteration(operator.applySteps(p, q), iteration, 1, 1.5, iterations);
    scaled(q);
    const curvature = sumOfSquares(q);
    if (!(curvature > 0 && gamma > 0)) return done(iteration, 'solved');
    const length = gamma / curvature;
    let moved = 0, norm = 0;
    for (let k = 0; k < x.length; k++) {
      x[k] += length * p[k];
      moved += (length * p[k]) ** 2;
      norm += x[k] * x[k];
    }
    change = norm > 0 ? Math.sqrt(moved / norm) : 0;
    for (let i = 0; i < r.length; i++) r[i] -= length * q[i];
    const before = gamma;
    gamma = yield* slope(iteration + 1);
    for (let k = 0; k < p.length; k++) p[k] = s[k] + (gamma / before) * p[k];
  }
}

function sumOfSquares(numbers: ArrayLike<number>): number {
  let sum = 0;
  for (let k = 0; k < numbers.length; k++) sum += numbers[k] * numbers[k];
  return sum;
}
