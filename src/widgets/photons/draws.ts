/** Random counts that are the same at every visit: each pixel keeps its luck while the settings move, so that only the noise's size changes. */

/** Evenly spread numbers above 0 and below 1, from a seed. */
export function evenly(seed: number, count: number): Float64Array {
  const numbers = new Float64Array(count);
  let a = seed >>> 0;
  for (let i = 0; i < count; i++) {
    // Counting up by a large odd step and mixing the bits: Marsaglia's xorshift constants as a mixer, common practice.
    a = (a + 0x9e3779b9) >>> 0;
    let t = Math.imul(a ^ (a >>> 16), 0x85ebca6b);
    t = Math.imul(t ^ (t >>> 13), 0xc2b2ae35);
    numbers[i] = (((t ^ (t >>> 16)) >>> 0) + 0.5) / 2 ** 32;
  }
  return numbers;
}

/** Normal numbers of mean 0 and deviation 1, by Box and Muller from two even ones. */
export function normally(seed: number, count: number): Float64Array {
  const [a, b] = [evenly(seed, count), evenly(seed ^ 0x5bd1e995, count)];
  return a.map((value, i) => Math.sqrt(-2 * Math.log(value)) * Math.cos(2 * Math.PI * b[i]));
}

/**
 * A Poisson count with a mean, from one even number u and one normal number z: below 30 by adding up the chances until they pass u, above by the
 * normal number with its skewness put in (Cornish and Fisher's first term).
 */
export function count(mean: number, u: number, z: number): number {
  if (mean > 30) return Math.max(0, Math.round(mean + Math.sqrt(mean) * z + (z * z - 1) / 6));
  let n = 0;
  let chance = Math.exp(-mean);
  for (let sum = chance; sum < u && n < 200; sum += chance) chance *= mean / ++n;
  return n;
}
