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
  return spectra(samples, 1, spacing, length);
}

/** The same for several rows of as many samples, one after the other: real and imaginary hold `length` numbers a row, frequency one row. */
export function spectra(samples: ArrayLike<number>, rows: number, spacing: number, length?: number): Spectrum {
  const n = samples.length / rows;
  const size = length ?? 2 ** Math.ceil(Math.log2(Math.max(2, 2 * n)));
  if (size < n || !Number.isInteger(Math.log2(size))) throw new RangeError(`A spectrum of ${n} samples has a power of two of frequencies, at least ${n}, not ${size}.`);
  const fft = new FFT(size);
  const input = new Float64Array(2 * size);
  const output = new Float64Array(2 * size);
  const steps = Float64Array.from({ length: size }, (_, i) => i - size / 2);
  const shift = steps.map((k) => (Math.PI * k * (n - 1)) / size); // phase from the first sample to the middle one
  const cos = shift.map(Math.cos), sin = shift.map(Math.sin);

  const real = new Float64Array(rows * size), imaginary = new Float64Array(rows * size);
  for (let row = 0; row < rows; row++) {
    for (let j = 0; j < n; j++) input[2 * j] = samples[row * n + j];
    fft.transform(output, input);
    for (let i = 0; i < size; i++) {
      const at = 2 * ((i + size / 2) % size);
      real[row * size + i] = spacing * (output[at] * cos[i] - output[at + 1] * sin[i]);
      imaginary[row * size + i] = spacing * (output[at] * sin[i] + output[at + 1] * cos[i]);
    }
  }
  return { frequency: steps.map((k) => k / (size * spacing)), real, imaginary };
}
