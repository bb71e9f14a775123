import { cholesky, solveLower, solveUpper } from './cholesky.ts';

/**
 * Weights, adding up to 1, whose sum over the views is the mean over a whole turn, however unevenly the angles lie: the best linear
 * estimate of the constant term of a smooth periodic function of the angle, whose harmonics n = 1 … 8 have the variance 1/(1 + (n/2)²) and
 * whose samples have noise of the variance 0.05. Equal steps round the whole turn get equal weights.
 * angles: radians, any order.  Source: the best linear unbiased estimate of a mean, K⁻¹1/(1ᵀK⁻¹1), K the covariance (handbook formula).
 */
export function turnWeights(angles: readonly number[]): Float64Array {
  const count = angles.length;
  const covariance = new Float64Array(count * count);
  for (let i = 0; i < count; i++) {
    for (let j = 0; j <= i; j++) covariance[i * count + j] = covarianceAt(angles[i]! - angles[j]!) + (i === j ? 0.05 : 0);
  }
  cholesky(covariance, count);
  const weights = new Float64Array(count).fill(1);
  solveLower(covariance, count, weights);
  solveUpper(covariance, count, weights);
  const sum = weights.reduce((total, weight) => total + weight, 0);
  return weights.map((weight) => weight / sum);
}

function covarianceAt(apart: number): number {
  let sum = 0;
  for (let n = 1; n <= harmonics; n++) sum += Math.cos(n * apart) / (1 + (n / 2) ** 2);
  return sum;
}

const harmonics = 8; // with more, random gaps of a few frames draw the mean about

/** Σ weight · frame: one picture, rows × columns. */
export function weightedMean(data: ArrayLike<number>, size: number, weights: ArrayLike<number>): Float64Array {
  const mean = new Float64Array(size);
  for (let view = 0; view < weights.length; view++) {
    const weight = weights[view]!;
    if (weight === 0) continue;
    for (let i = 0; i < size; i++) mean[i]! += weight * data[view * size + i]!;
  }
  return mean;
}
