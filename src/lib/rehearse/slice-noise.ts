import { filterResponse } from '../filter/filter-response.ts';
import type { Filter } from '../filter/filter.ts';

export interface SliceNoiseQuestion {
  /** Variance of a line integral that the X-rays make, before the screen's blur, and that which light and camera add after it. */
  readonly xray: number;
  readonly camera: number;
  /** Views of the whole turn (of a parallel beam's half turn). */
  readonly views: number;
  /** A working cell at the axis, mm. */
  readonly cell: number;
  /** Standard deviation of the screen's blur, in cells; 0 when left out. */
  readonly blur?: number;
  readonly filter?: Filter;
  /** Whether the voxels fall anywhere between the cells, across and up, which they do in a volume, or each on the middle of one. */
  readonly between?: boolean;
  /** Whether there is one row of cells alone, and so neither blur nor interpolation from row to row: B and D are 1. */
  readonly oneRow?: boolean;
}

/**
 * Standard deviation of a voxel near the axis by the noise of the photographs, 1/mm:
 *   σ² = π²/views · ( xray·A·B + camera·C·D ),     A = mean over f of H²·I·N,  B = mean of I·N,  C = mean of H²·I,  D = mean of I
 * over the frequencies of a row (A, C) and of a column (B, D); H the filter with its window, N(f) = Σ over k of sinc²(fa + k)·e^(−(2π·blur·(fa + k))²) the spectrum
 * of counts that a blurred screen gives to cells of width a, and I = 2/3 + cos(2πfa)/3 what straight lines between two cells leave, on average over
 * the places between them. On the middle of a cell, and without blur, that is π·σ/√(12·views)/a with the ramp (reconstructionNoise).
 * Source: the sum of independent terms, as reconstructionNoise; the spectrum of sampled counts and the mean of (1 − t)² + t² + 2t(1 − t)·cos are derived here.
 */
export function sliceNoise({ xray, camera, views, cell, blur = 0, filter = { window: 'ramp' }, between = true, oneRow = false }: SliceNoiseQuestion): number {
  const { A, B, C, D } = gainsOf(cell, blur, filter, between);
  return Math.PI * Math.sqrt((oneRow ? xray * A + camera * C : xray * A * B + camera * C * D) / views);
}

interface Gains { readonly A: number; readonly B: number; readonly C: number; readonly D: number }

/** The last answer is kept, for they are the same at every exposure and number of views. */
function gainsOf(cell: number, blur: number, filter: Filter, between: boolean): Gains {
  if (last && last.cell === cell && last.blur === blur && last.filter.window === filter.window && last.filter.cutoff === filter.cutoff && last.between === between) return last;
  const length = 1024;
  const response = filterResponse(filter, length, cell);
  let [A, B, C, D] = [0, 0, 0, 0];
  for (let k = 0; k < length; k++) {
    const f = (k <= length / 2 ? k : k - length) / length;
    const I = between ? 2 / 3 + Math.cos(2 * Math.PI * f) / 3 : 1;
    const N = spectrumOfCounts(f, blur);
    const H2 = response[k] ** 2;
    A += (H2 * I * N) / length;
    B += (I * N) / length;
    C += (H2 * I) / length;
    D += I / length;
  }
  last = { cell, blur, filter, between, A, B, C, D };
  return last;
}
let last: (Gains & { readonly cell: number; readonly blur: number; readonly filter: Filter; readonly between: boolean }) | undefined;

/** f in cycles a cell; 1 at every frequency where there is no blur. */
function spectrumOfCounts(f: number, blur: number): number {
  if (blur === 0) return 1;
  let sum = 0;
  for (let k = -6; k <= 6; k++) {
    const at = f + k;
    const sinc = at === 0 ? 1 : Math.sin(Math.PI * at) / (Math.PI * at);
    sum += sinc * sinc * Math.exp(-((2 * Math.PI * blur * at) ** 2));
  }
  return sum;
}
