import { finish, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Geometry } from '../types.ts';
import { partOfIteration, problemOf, type Iterated, type IterateOptions, type ShadowsOf } from './iterate.ts';
import { improve, pixelShares, rayShares } from './ray-sums.ts';
import { checkRelaxation } from './sirt.ts';

export interface OsSartOptions<G extends Geometry> extends IterateOptions<G> {
  /** Values that would fall below 0 are set to 0 after each subset. */
  readonly nonNegative?: boolean;
  /** Between 0 and 2; 1 when left out. */
  readonly relaxation?: number;
  /** What it is multiplied by after each iteration, above 0 up to 1; 1 when left out. Below 1 the picture settles even where data disagree. */
  readonly relaxationFactor?: number;
  /** How many subsets the views are dealt into: 1 is sirt, as many as views is SART. When left out, as many as leave about five views in each. */
  readonly subsets?: number;
}

/**
 * As sirt, but the picture is corrected after each of several subsets of the views; an iteration goes once through all of them. Each
 * subset is every so-manieth view, and they are taken in an order in which each lies far from those before it. The first iterations gain
 * about as many times as there are subsets. Where the data agree (no noise, no model error) it converges as sirt does; where they do not,
 * and the relaxation stays the same, it ends up circling near the solution.
 * history is of the whole picture after each iteration, which costs one more projection of all views.
 * Memory: as sirt; the subsets' sums are kept as well where they fit into 64 MB, else made again each time.
 * Measured, result, Throws: as sirt.
 * Source: Andersen & Kak, Ultrason. Imaging 6:81 (1984); Wang & Jiang, J. X-Ray Sci. Technol. 12:169 (2004); citations from memory.
 */
export function osSart<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: OsSartOptions<G>): Iterated<G> {
  return finish(osSartSteps(measured, geometry, options));
}

/** The same as steps that can be followed and stopped. */
export function* osSartSteps<G extends Geometry>(measured: ShadowsOf<G>, geometry: G, options: OsSartOptions<G>): Steps<Iterated<G>> {
  const { iterations, mask, nonNegative = false, relaxation = 1, relaxationFactor = 1 } = options;
  const views = geometry.angles.length, subsets = options.subsets ?? Math.max(1, Math.round(views / 5));
  checkRelaxation(relaxation);
  if (!(relaxationFactor > 0 && relaxationFactor <= 1)) throw new BadInput(`The relaxation's factor is ${relaxationFactor}; it has to be above 0 and at most 1.`);
  if (!(Number.isInteger(subsets) && subsets >= 1 && subsets <= views)) {
    throw new BadInput(`The number of subsets is ${subsets}; it has to be a whole number from 1 to the number of views, ${views}.`);
  }
  const { operator, data, weights, x, squared, follow, done } = problemOf(measured, geometry, options, { pictures: 3, rays: 2 });
  const rays = operator.numbers(data.length), step = operator.numbers(x.length);
  const keep = subsets * step.byteLength <= KEPT;
  const kept = Array.from({ length: subsets }, () => (keep ? operator.numbers(x.length) : undefined));
  const once = keep ? undefined : operator.numbers(x.length);
  const rayShare = yield* partOfIteration(rayShares(operator, mask, weights), 0, 0, 1, iterations);

  for (let iteration = 0, change = 0, relax = relaxation; ; iteration++, relax *= relaxationFactor) {
    yield* partOfIteration(operator.applySteps(x, rays), iteration, 1, 1.2, iterations);
    for (let i = 0; i < rays.length; i++) rays[i] = data[i] - rays[i];
    const stopped = follow(iteration, squared(rays), change);
    if (stopped) return done(iteration, stopped);

    change = 0;
    for (const [turn, subset] of spreadOut(subsets).entries()) {
      const its = Array.from({ length: Math.ceil((views - subset) / subsets) }, (_, k) => subset + k * subsets);
      const from = 1.2 + (0.8 * turn) / subsets, to = 1.2 + (0.8 * (turn + 1)) / subsets, middle = (from + to) / 2;
      const share = kept[subset] ?? once!;
      if (!keep || iteration === 0) yield* partOfIteration(pixelShares(operator, rayShare, weights, rays, share, its), iteration, from, from, iterations);
      yield* partOfIteration(operator.applySteps(x, rays, its), iteration, from, middle, iterations);
      for (const view of its) {
        for (let i = view * operator.cells; i < (view + 1) * operator.cells; i++) rays[i] = rayShare[i] * (data[i] - rays[i]);
      }
      yield* partOfIteration(operator.transposeSteps(rays, step, its), iteration, middle, to, iterations);
      change += improve(x, step, share, relax, nonNegative);
    }
  }
}

/** 0 … count − 1, each far from the ones before it: steps of the golden section, the nearest that is still free. */
export function spreadOut(count: number): number[] {
  const order: number[] = [];
  const free = new Set(Array.from({ length: count }, (_, k) => k));
  for (let k = 0; k < count; k++) {
    const wish = ((k * (Math.sqrt(5) - 1)) / 2 % 1) * count;
    const away = (place: number) => Math.min(Math.abs(place - wish), count - Math.abs(place - wish));
    const next = [...free].reduce((best, place) => (away(place) < away(best) ? place : best));
    free.delete(next);
    order.push(next);
  }
  return order;
}

/** Bytes that the subsets' sums may take. */
const KEPT = 64e6;
