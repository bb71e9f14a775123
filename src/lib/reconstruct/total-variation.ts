import { finish, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Geometry } from '../types.ts';
import { addSquaredDifferences, addTransposed, axesOf, differencesAlong, type Axis } from './differences.ts';
import { partOfIteration, problemOf, type IterationHistory, type Iterated, type IterateOptions, type ShadowsOf } from './iterate.ts';
import { operatorNorm } from './operator-norm.ts';
import type { Numbers } from './operator.ts';

export interface TotalVariationOptions<G extends Geometry> extends IterateOptions<G> {
  /** How much a step in the picture costs beside a misfit in the data, α, mm, from 0: more gives flatter pictures with fewer small things. */
  readonly strength: number;
  /** No value below 0. */
  readonly nonNegative?: boolean;
  /** The most that a value may be, 1/mm, where that is known; no bound when left out. */
  readonly atMost?: number;
  /** How the steps are divided between data and picture: σ beside the mean weight; 0.1 when left out. The result does not hang on it, the speed does. */
  readonly dualStep?: number;
}

export interface TotalVariationHistory extends IterationHistory {
  /** ½ Σ w (b − Ax)² + α·TV(x), what is made least: at the start and after each iteration. */
  readonly objective: number[];
}

/**
 * Least squares with as little going up and down as the data allow: pictures of even patches with sharp edges, from few views.
 *   least of  ½ Σ w·(b − Ax)² + α·Σ √(Σ (difference to the next pixel along each axis)²),  x 0 outside the mask, ≥ 0 and ≤ atMost if so asked
 * by the first-order primal–dual method, with σ and τ such that σ·τ·‖K‖² < 1, K being A and the differences, these scaled to weigh as much
 * as A. Neither residual nor objective falls at every iteration; the objective comes near its least value, and the picture to the one that
 * has it, the slower the smaller α. strength is in mm because differences are in 1/mm: it belongs with the
 * number of rays and with the contrast, in proportion to both; for the same object on pixels half the size divide it by 2.
 * measured, grid, mask, result: as sirt.
 * Memory: 7 pictures (8 for a volume) and 4 sets of rays (5 with weights), of 8 bytes a number for a slice and 4 for a volume.
 * Throws BadInput, one sentence, as sirt.
 * Source: Chambolle & Pock, J. Math. Imaging Vis. 40:120 (2011), algorithm 1; total variation: Rudin, Osher & Fatemi, Physica D 60:259 (1992).
 */
export function totalVariation<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: TotalVariationOptions<G>): Iterated<G, TotalVariationHistory> {
  return finish(totalVariationSteps(measured, geometry, options));
}

/** The same as steps that can be followed and stopped. */
export function* totalVariationSteps<G extends Geometry>(
  measured: ShadowsOf<G>, geometry: G, options: TotalVariationOptions<G>,
): Steps<Iterated<G, TotalVariationHistory>> {
  const { iterations, mask, strength, nonNegative = false, atMost = Infinity, dualStep = 0.1 } = options;
  if (!(strength >= 0 && Number.isFinite(strength))) throw new BadInput(`The strength of the total variation is ${strength}; it has to be a number from 0, in mm.`);
  if (!(atMost > 0)) throw new BadInput(`The most that a value may be is ${atMost}; it has to be above 0, in 1/mm.`);
  if (!(dualStep > 0 && Number.isFinite(dualStep))) throw new BadInput(`The dual step is ${dualStep}; it has to be above 0.`);
  const axesCount = geometry.beam === 'cone' ? 3 : 2;
  const { operator, data, weights, x, squared, follow, done } = problemOf(measured, geometry, options, { pictures: 2 + axesCount, rays: 3 });
  const least = nonNegative ? 0 : -Infinity;
  const within = (k: number, value: number) => (mask && !mask[k] ? 0 : Math.min(atMost, Math.max(least, value)));
  for (let k = 0; k < x.length; k++) x[k] = within(k, x[k]);

  const norm = 1.01 * (yield* partOfIteration(operatorNorm(operator), 0, 0, 1, iterations)) || 1;
  const sigma = dualStep * (weights ? meanOf(weights) : 1);
  const tau = 1 / (sigma * 2 * norm * norm);
  const gradientScale = norm / Math.sqrt(4 * axesCount), bound = strength / gradientScale;
  const axes = [...axesOf(operator.size)];
  const y = operator.numbers(data.length), now = operator.numbers(data.length), before = operator.numbers(data.length);
  const z = axes.map(() => operator.numbers(x.length)), step = operator.numbers(x.length), ahead = x.slice();
  const objective: number[] = [];

  for (let iteration = 0, change = 0; ; iteration++) {
    before.set(now);
    yield* partOfIteration(operator.applySteps(x, now), iteration, 1, 1.5, iterations);
    for (let i = 0; i < now.length; i++) now[i] -= data[i];
    if (iteration === 0) before.set(now);
    const misfit = squared(now);
    objective.push(misfit / 2 + strength * variation(x, axes, step));
    const stopped = follow(iteration, misfit, change);
    if (stopped) {
      const result = done(iteration, stopped);
      return { ...result, history: { ...result.history, objective: objective.slice(0, result.history.rms.length) } };
    }

    // Up in the dual: the rays, at 2 x − (x before), and the differences, cut to the bound.
    for (let i = 0; i < y.length; i++) {
      const weight = weights ? weights[i] : 1;
      y[i] = (weight * (y[i] + sigma * (2 * now[i] - before[i]))) / (weight + sigma);
    }
    for (const { axis, stride, count } of axes) {
      differencesAlong(ahead, stride, count, step);
      for (let k = 0; k < step.length; k++) z[axis][k] += sigma * gradientScale * step[k];
    }
    cut(z, bound);

    // Down in the picture.
    yield* partOfIteration(operator.transposeSteps(y, step), iteration, 1.5, 2, iterations);
    for (const { axis, stride, count } of axes) addTransposed(z[axis], stride, count, gradientScale, step);
    let moved = 0, length = 0;
    for (let k = 0; k < x.length; k++) {
      const after = within(k, x[k] - tau * step[k]);
      moved += (after - x[k]) ** 2;
      length += after * after;
      ahead[k] = 2 * after - x[k];
      x[k] = after;
    }
    change = length > 0 ? Math.sqrt(moved / length) : 0;
  }
}

/** Shortens each pixel's differences (z₀, z₁, …) to at most `bound`. */
function cut(z: readonly Numbers[], bound: number): void {
  for (let k = 0; k < z[0].length; k++) {
    let sum = 0;
    for (const along of z) sum += along[k] * along[k];
    if (sum <= bound * bound) continue;
    const factor = bound / Math.sqrt(sum);
    for (const along of z) along[k] *= factor;
  }
}

function meanOf(numbers: Numbers): number {
  let sum = 0;
  for (let k = 0; k < numbers.length; k++) sum += numbers[k];
  return sum / numbers.length;
}

/** Σ over the pixels of the length of their differences. `sums` is scratch. */
function variation(x: Numbers, axes: Iterable<Axis>, sums: Numbers): number {
  sums.fill(0);
  for (const { stride, count } of axes) addSquaredDifferences(x, stride, count, sums);
  let total = 0;
  for (let k = 0; k < sums.length; k++) total += Math.sqrt(sums[k]);
  return total;
}
