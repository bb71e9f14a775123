import { finish, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Geometry } from '../types.ts';
import { partOfIteration, problemOf, type Iterated, type IterateOptions, type ShadowsOf } from './iterate.ts';
import { improve, pixelShares, rayShares } from './ray-sums.ts';

export interface SirtOptions<G extends Geometry> extends IterateOptions<G> {
  /** Values that would fall below 0 are set to 0 after each iteration. */
  readonly nonNegative?: boolean;
  /** How much of each correction is taken, between 0 and 2; 1 when left out. */
  readonly relaxation?: number;
}

/**
 * Simultaneous iterative reconstruction: all rays' differences, each shared out evenly along its ray, correct the picture at once.
 *   x ← x + λ·C·Aᵀ·R·(b − A x),   R = weight / Σ along the ray,   C = 1 / Σ weight·a of the pixel,   A Joseph's matrix (forwardProject)
 * It comes down, slowly and without fail, to the least of Σ R·(b − Ax)²: of weighted least squares whose weights are divided by the
 * rays' lengths in the grid. That sum falls at every iteration; history's residual, not so divided, nearly always does.
 * measured: sinogram of a parallel beam or fan, or frames of a cone; not changed. Absolute, 1/mm. The grid, or the mask, has to hold the
 * whole object: what lies outside it is forced into it.
 * Memory: 6 pictures and 3 sets of rays (4 with weights), beside what was handed in, of 8 bytes a number for a slice and 4 for a volume.
 * Throws BadInput, one sentence, for options and data that cannot be or do not fit each other, or would take more than options.memory.
 * Source: Gilbert, J. Theor. Biol. 36:105 (1972); with these weights Gregor & Benson, IEEE Trans. Med. Imaging 27:918 (2008);
 * convergence for 0 < λ < 2: Censor & Elfving, SIAM J. Matrix Anal. Appl. 24:40 (2002); citations from memory.
 */
export function sirt<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: SirtOptions<G>): Iterated<G> {
  return finish(sirtSteps(measured, geometry, options));
}

/** The same as steps that can be followed and stopped. */
// region sirt
export function* sirtSteps<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: SirtOptions<G>): Steps<Iterated<G>> {
  const { iterations, mask, nonNegative = false, relaxation = 1 } = options;
  checkRelaxation(relaxation);
  const { operator, data, weights, x, squared, follow, done } = problemOf(measured, geometry, options, { pictures: 3, rays: 2 });
  const rays = operator.numbers(data.length), step = operator.numbers(x.length), pixelShare = operator.numbers(x.length);
  const rayShare = yield* partOfIteration(rayShares(operator, mask, weights), 0, 0, 0.5, iterations);
  yield* partOfIteration(pixelShares(operator, rayShare, weights, rays, pixelShare), 0, 0.5, 1, iterations);

  for (let iteration = 0, change = 0; ; iteration++) {
    yield* partOfIteration(operator.applySteps(x, rays), iteration, 1, 1.5, iterations);
    for (let i = 0; i < rays.length; i++) rays[i] = data[i] - rays[i];
    const stopped = follow(iteration, squared(rays), change);
    if (stopped) return done(iteration, stopped);

    for (let i = 0; i < rays.length; i++) rays[i] *= rayShare[i];
    yield* partOfIteration(operator.transposeSteps(rays, step), iteration, 1.5, 2, iterations);
    change = improve(x, step, pixelShare, relaxation, nonNegative);
  }
}
// endregion

export function checkRelaxation(relaxation: number): void {
  if (!(relaxation > 0 && relaxation < 2)) throw new BadInput(`The relaxation is ${relaxation}; it has to be between 0 and 2.`);
}
