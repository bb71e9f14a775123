import { filterResponse } from '../filter/filter-response.ts';
import type { Filter } from '../filter/filter.ts';

/** How much a count of independent quanta varies, as a share of it: 1/√N. Throws RangeError for a mean of 0 or below. Source: Poisson's distribution. */
export function countNoise(mean: number): number {
  if (!(mean > 0)) throw new RangeError(`The mean count is ${mean} and should be above 0.`);
  return 1 / Math.sqrt(mean);
}

/**
 * Standard deviation of a line integral p = −ln(N/N₀): about 1/√(N₀·e^(−p)), N₀ known well.
 * open: N₀, quanta per pixel without the object, above 0.   lineIntegral: p.
 * From N = 100 on it holds within 1 %; below, logOfCounts is right and this is not.
 * Source: the first order of the logarithm about the mean.
 */
export function lineIntegralNoise(open: number, lineIntegral: number): number {
  return countNoise(open * Math.exp(-lineIntegral));
}

/**
 * What taking the logarithm of a count does: its standard deviation, and by how much −ln(N/mean) is too high on average, exactly, by adding up
 * Poisson's distribution. A count of 0 has no logarithm and is left out. mean: above 0, at most 10⁵.
 * bias ≈ 1/(2·mean), deviation ≈ 1/√mean for many. Throws RangeError for a mean outside that.
 */
export function logOfCounts(mean: number): { bias: number; deviation: number } {
  if (!(mean > 0 && mean <= 1e5)) throw new RangeError(`The mean count is ${mean} and should be above 0 and at most 100000.`);
  const reach = 12 * Math.sqrt(mean) + 30;
  let logFactorial = 0;
  let weight = 0, first = 0, second = 0;
  for (let n = 1; n <= mean + reach; n++) {
    logFactorial += Math.log(n);
    if (n < mean - reach) continue;
    const chance = Math.exp(n * Math.log(mean) - mean - logFactorial);
    const value = -Math.log(n / mean);
    weight += chance;
    first += chance * value;
    second += chance * value * value;
  }
  const bias = first / weight;
  return { bias, deviation: Math.sqrt(second / weight - bias * bias) };
}

/**
 * Standard deviation of a pixel of a filtered backprojection, 1/mm, on a sample of each view (between samples, interpolation lowers it).
 *   σ_f = π·σ_p·√(mean of H² over the frequencies of the transform)/√views;   with the ramp alone π·σ_p/(√(12·views)·pitch)
 * sigma: σ_p of every line integral, independent from cell to cell.   views: over 180° (over 360°, those of both halves).
 * pitch: mm, at the axis.   filter: the ramp when left out.
 * Throws RangeError for views or a pitch of 0 or below, or a sigma below 0.
 * Source: the sum of independent terms; Brooks & Di Chiro, Med. Phys. 3, 237 (1976), for its use, from memory.
 */
export function reconstructionNoise(sigma: number, views: number, pitch: number, filter: Filter = { window: 'ramp' }): number {
  if (!(sigma >= 0)) throw new RangeError(`The noise of a line integral is ${sigma} and should be 0 or more.`);
  if (!(views > 0) || !(pitch > 0)) throw new RangeError(`There are ${views} views with a pitch of ${pitch} mm; both should be above 0.`);
  const response = filterResponse(filter, 4096, pitch);
  const power = response.reduce((sum, gain) => sum + gain * gain, 0) / response.length;
  return (Math.PI * sigma * Math.sqrt(power)) / Math.sqrt(views);
}

/**
 * How well a small change of attenuation shows for a given number of photons, in proportion, where the whole object has a line integral p: p·e^(−p/2).
 * It is greatest at p = 2, where 14 % of the light arrives: less, and the object hardly shows; more, and hardly any light is left.
 * Source: Grodzins, Nucl. Instrum. Methods 206, 541 (1983), from memory.
 */
export function contrastPerNoise(lineIntegral: number): number {
  return lineIntegral * Math.exp(-lineIntegral / 2);
}
