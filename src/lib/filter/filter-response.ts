import FFT from 'fft.js';
import { BadInput } from '../files/bad-input.ts';
import { windowFunctions, type Filter } from './filter.ts';
import { rampKernel } from './ramp-kernel.ts';

/**
 * What a filter does to each frequency: the Fourier transform of the ramp kernel, times the window.
 *   H(f) = pitch · Σ h(n) e^(−2πi·f·n·pitch) · window(f)          about |f| · window(f), in cycles/mm
 * length: a power of two, at least twice the cells of a view.   pitch: mm.   Result: real, length numbers in the order of a
 * Fourier transform, index k being f = k/(length·pitch), the second half the negative frequencies.   'none': all 1.
 * At f = 0 it is not 0 but about 0.2/(length·pitch), which is right: the kernel's far ends, that no view reaches, are missing.
 * The frequency bin that the cut-off runs through counts by the share of it that lies below.
 * Against the pure kernels ∫|f|·window(f)·e^(2πi·f·x) df, pitch 1 mm, cut-off 1: ramp and hann agree to rounding, shepp-logan lies
 * within 0.13/length² and cosine within 0.30/length², 1e-6 of its peak at length 1024. Below 1, ramp and shepp-logan end in a step,
 * which falls between two frequencies of the transform: within 0.15/length; cosine and hann as before.
 * Throws: BadInput if cutoff is not in 0…1 or a window gives something else than a finite number.
 */
export function filterResponse(filter: Filter, length: number, pitch: number): Float64Array {
  if (length < 2 || !Number.isInteger(Math.log2(length))) throw new RangeError(`A filter's length is a power of two, not ${length}.`);
  if (filter.window === 'none') return new Float64Array(length).fill(1);
  const cutoff = filter.cutoff ?? 1;
  if (!(cutoff > 0 && cutoff <= 1)) {
    throw new BadInput(`The cut-off is ${cutoff}; it is a fraction of the Nyquist frequency, above 0 and at most 1.`);
  }
  const window = typeof filter.window === 'string' ? windowFunctions[filter.window] : filter.window;
  const nyquist = 1 / (2 * pitch);
  const cutoffFrequency = cutoff * nyquist;
  const bin = 1 / (length * pitch); // cycles/mm from one frequency to the next
  const response = transformOfEven(rampKernel(length, pitch));
  for (let k = 0; k <= length / 2; k++) {
    const frequency = k * bin;
    const from = frequency - bin / 2, to = Math.min(frequency + bin / 2, nyquist); // what this bin stands for
    const share = Math.min(1, Math.max(0, (cutoffFrequency - from) / (to - from)));
    const gain = share === 0 ? 0 : window(Math.min(frequency, cutoffFrequency), cutoffFrequency);
    if (!Number.isFinite(gain)) throw new BadInput(`The window gives ${gain} at f = ${frequency} cycles/mm; it has to be a finite number there.`);
    response[k] *= pitch * share * gain;
    if (k > 0) response[length - k] = response[k]; // the negative frequencies
  }
  return response;
}

/** The Fourier transform of a list that is the same forwards and backwards; it is as real and as even as the list. */
export function transformOfEven(list: Float64Array): Float64Array {
  const fft = new FFT(list.length);
  const input = new Float64Array(2 * list.length);
  const output = new Float64Array(2 * list.length);
  list.forEach((value, i) => { input[2 * i] = value; });
  fft.transform(output, input);
  return list.map((_, k) => output[2 * k]);
}
