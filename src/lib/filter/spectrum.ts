import FFT from 'fft.js';

export interface Spectrum {
  /** Cycles/mm, rising from −1/(2·spacing); 0 is at index length/2. */
  readonly frequency: Float64Array;
  readonly real: Float64Array;
  readonly imaginary: Float64Array;
}

/**
 * The Fourier transform of evenly spaced samples on the scale of the continuous one.
 *   F(f) = spacing · Σ p(j) e^(−2πi·f·x),  x = (j − (n − 1)/2)·spacing: the phase is reckoned from the middle of the samples
 * samples: n ≥ 1 numbers.   spacing: mm.   length: how many frequencies, a power of two ≥ n; zeros are added up to it, so that a
 *   longer one draws the same curve in finer steps (left out: the first power of two ≥ 2n).
 * Result: `length` frequencies in rising order; the unit of the samples times mm. F(0) is the integral of the samples.
 */
export function spectrum(samples: ArrayLike<number>, spacing: number, length?: number): Spectrum {
  const n = samples.length;
  const size = length ?? 2 ** Math.ceil(Math.log2(Math.max(2, 2 * n)));
  if (size < n || !Number.isInteger(Math.log2(size))) throw new RangeError(`A spectrum of ${n} samples has a power of two of frequencies, at least ${n}, not ${size}.`);
  const fft = new FFT(size);
  const input = new Float64Array(2 * size);
  const output = new Float64Array(2 * size);
  for (let j = 0; j < n; j++) input[2 * j] = samples[j];
  fft.transform(output, input);

  const frequency = new Float64Array(size), real = new Float64Array(size), imaginary = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    const k = i - size / 2;
    const at = (k + size) % size;
    const shift = (Math.PI * k * (n - 1)) / size; // from the first sample to the middle one
    frequency[i] = k / (size * spacing);
    real[i] = spacing * (output[2 * at] * Math.cos(shift) - output[2 * at + 1] * Math.sin(shift));
    imaginary[i] = spacing * (output[2 * at] * Math.sin(shift) + output[2 * at + 1] * Math.cos(shift));
  }
  return { frequency, real, imaginary };
}
