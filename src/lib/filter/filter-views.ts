import FFT from 'fft.js';
import { kernelsInUse } from '../engine/in-use.ts';
import type { Sinogram } from '../types.ts';
import type { Filter } from './filter.ts';
import { filterResponse } from './filter-response.ts';

type Numbers = Float32Array | Float64Array;

/**
 * Every view convolved with the filter: q(j) = pitch · Σ h(j − k) · p(k), k over the cells of the detector.
 * pitch: mm between the rays where they pass the axis.   Result: a new sinogram, in 1/mm ('none': a copy, as it was).
 * The views are padded with zeros, so that the end of a view does not leak into its beginning. After useKernels() it runs on them, to 1e-5 the same.
 */
export function filterViews(sinogram: Sinogram, pitch: number, filter: Filter): Sinogram {
  const filtered = kernelsInUse()?.filterViews(sinogram, pitch, filter);
  if (filtered) return filtered;
  const { views, detectors } = sinogram;
  const filterView = viewFilter(filter, detectors, pitch);
  const data = new Float32Array(views * detectors);
  for (let view = 0; view < views; view++) {
    const from = view * detectors, to = from + detectors;
    filterView(sinogram.data.subarray(from, to), data.subarray(from, to));
  }
  return { views, detectors, data };
}

/**
 * The same for one view at a time: the returned function reads `view` and writes `filtered`, each of `detectors` numbers (they
 * may be the same array). It works out the response once and keeps its buffers.
 */
// region filter-view
export function viewFilter(filter: Filter, detectors: number, pitch: number): (view: Numbers, filtered: Numbers) => void {
  if (filter.window === 'none') return (view, filtered) => filtered.set(view);
  const length = paddedLength(detectors);
  const response = filterResponse(filter, length, pitch);
  const fft = new FFT(length);
  const samples = new Float64Array(2 * length); // real and imaginary parts by turns
  const frequencies = new Float64Array(2 * length);

  return (view, filtered) => {
    samples.fill(0);
    for (let j = 0; j < detectors; j++) samples[2 * j] = view[j];
    fft.transform(frequencies, samples);
    for (let k = 0; k < length; k++) {
      frequencies[2 * k] *= response[k];
      frequencies[2 * k + 1] *= response[k];
    }
    fft.inverseTransform(samples, frequencies);
    for (let j = 0; j < detectors; j++) filtered[j] = samples[2 * j];
  };
}

/** Twice the view, so that it cannot meet itself going round, and the power of two that the transform wants. */
function paddedLength(detectors: number): number {
  return 2 ** Math.ceil(Math.log2(2 * detectors));
}
// endregion
