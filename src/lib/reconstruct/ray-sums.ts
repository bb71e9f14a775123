import type { Steps } from '../engine/steps.ts';
import type { Numbers, Operator } from './operator.ts';

/**
 * What each ray's difference is multiplied by in SIRT and SART: weight / (the ray's length through the grid, or through the mask), mm.
 * Not counted, 0, is a ray that misses, or that only grazes the grid: of less than a thousandth of a step its data say nothing.
 */
export function* rayShares(operator: Operator, mask?: ArrayLike<number>, weights?: Numbers): Steps<Numbers> {
  const ones = operator.numbers(operator.pixels);
  for (let k = 0; k < ones.length; k++) ones[k] = !mask || mask[k] ? 1 : 0;
  const shares = operator.numbers(operator.views * operator.cells);
  yield* operator.applySteps(ones, shares);
  let longest = 0;
  for (let i = 0; i < shares.length; i++) longest = Math.max(longest, shares[i]);
  const least = (1e-3 * longest) / Math.max(...operator.size);
  for (let i = 0; i < shares.length; i++) shares[i] = shares[i] > least ? (weights ? weights[i] : 1) / shares[i] : 0;
  return shares;
}

/**
 * Writes what each pixel's sum is multiplied by: 1/(Σ weight · a over the rays of these views that count), 0 where none passes.
 * `counted` is scratch, as many as there are rays.
 */
export function* pixelShares(operator: Operator, shares: Numbers, weights: Numbers | undefined, counted: Numbers, picture: Numbers, views?: readonly number[]): Steps<void> {
  for (let i = 0; i < shares.length; i++) counted[i] = shares[i] > 0 ? (weights ? weights[i] : 1) : 0;
  yield* operator.transposeSteps(counted, picture, views);
  for (let k = 0; k < picture.length; k++) picture[k] = picture[k] > 0 ? 1 / picture[k] : 0;
}

/** x += relaxation · share · step, pixel by pixel, and not below 0 where asked. Result: ‖Δx‖/‖x‖. */
export function improve(x: Numbers, step: Numbers, share: Numbers, relaxation: number, nonNegative: boolean): number {
  let moved = 0, norm = 0;
  for (let k = 0; k < x.length; k++) {
    const before = x[k];
    let after = before + relaxation * share[k] * step[k];
    if (nonNegative && after < 0) after = 0;
    x[k] = after;
    moved += (after - before) ** 2;
    norm += after * after;
  }
  return norm > 0 ? Math.sqrt(moved / norm) : 0;
}
