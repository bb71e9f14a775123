/** Numbers that look like chance and are the same every time for one seed. */
export interface RandomNumbers {
  /** Evenly spread over 0…1. */
  readonly uniform: () => number;
  /** Mean 0, standard deviation 1. */
  readonly gaussian: () => number;
  /** A count whose mean is given: Poisson's, by multiplying up to 60 on average, and from there on its Gaussian, which is within 0.3 % in every moment that matters here. */
  readonly count: (mean: number) => number;
}

/**
 * Random numbers from a seed, any whole number. A 32-bit xorshift (Marsaglia, J. Stat. Softw. 8(14), 2003); Gaussians by the polar method (Marsaglia & Bray
 * 1964), counts by Knuth's product; from memory.
 */
export function randomNumbers(seed: number): RandomNumbers {
  let state = Math.imul(seed + 1, 0x9e3779b1) | 1;
  const uniform = () => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) / 2 ** 32;
  };
  for (let k = 0; k < 20; k++) uniform();
  let spare = NaN;
  const gaussian = () => {
    if (spare === spare) {
      const kept = spare;
      spare = NaN;
      return kept;
    }
    for (;;) {
      const x = 2 * uniform() - 1, y = 2 * uniform() - 1, s = x * x + y * y;
      if (s >= 1 || s === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(s)) / s);
      spare = y * scale;
      return x * scale;
    }
  };
  const count = (mean: number) => {
    if (!(mean > 0)) return 0;
    if (mean > 60) return Math.max(0, mean + Math.sqrt(mean) * gaussian());
    const stop = Math.exp(-mean);
    let n = -1;
    for (let product = 1; product > stop; n++) product *= uniform();
    return n;
  };
  return { uniform, gaussian, count };
}
