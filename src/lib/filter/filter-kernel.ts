import type { Filter } from './filter.ts';
import { filterResponse, transformOfEven } from './filter-response.ts';

/**
 * A filter as the list of numbers that each view is convolved with: filtered(j) = pitch · Σ h(j − k) · p(k).
 * length: a power of two.   pitch: mm.   Result: 1/mm², index 0 is n = 0, the second half holds the negative n (as rampKernel).
 * It is the inverse Fourier transform of filterResponse, divided by pitch; see there for how near it lies to the pure kernel.
 * 'none': 1/pitch at n = 0.   Throws: as filterResponse.
 */
export function filterKernel(filter: Filter, length: number, pitch: number): Float64Array {
  return transformOfEven(filterResponse(filter, length, pitch)).map((value) => value / (length * pitch));
}
