import type { Filter } from '../../filter/filter.ts';
import { filterResponse } from '../../filter/filter-response.ts';
import type { Kernels } from './kernels.ts';

/** Where rows come from and where they go, as the kernel filterRows has it. */
export interface RowsToFilter {
  readonly source: number;
  readonly sourceStride: number;
  /** 1 to 4. */
  readonly count: number;
  readonly target: number;
  readonly rowStride: number;
  readonly cellStride: number;
}

export interface RowFilter {
  /** Four rows of weights, `cells` numbers each, of which row r counts for row r: to be set before a call; at first all are 1. */
  readonly weights: number;
  /** Weights for all rows alike. */
  readonly across: number;
  /** A factor for each of the four rows. */
  readonly shares: number;
  /** Filters rows. weightsAt: where other weights than those above lie. */
  filter(rows: RowsToFilter, weightsAt?: number): void;
}

/** Lays out what the filter needs in the kernels' memory: response and turns of the transform, weights and room to work. pitch: see filterViews. */
export function rowFilter(kernels: Kernels, filter: Filter, cells: number, pitch: number): RowFilter {
  const length = filter.window === 'none' ? 0 : 2 ** Math.ceil(Math.log2(2 * cells));
  const response = kernels.take(length, 'f64'), turns = kernels.take(2 * length, 'f64');
  const work = kernels.take(4 * Math.max(length, cells), 'f64');
  const weights = kernels.take(4 * cells, 'f64'), across = kernels.take(cells, 'f64'), shares = kernels.take(4, 'f64');
  kernels.f64(weights, 4 * cells).fill(1);
  kernels.f64(across, cells).fill(1);
  kernels.f64(shares, 4).fill(1);
  if (length > 0) {
    const gains = filterResponse(filter, length, pitch), bits = Math.log2(length);
    const turned = kernels.f64(turns, 2 * length), reversed = kernels.f64(response, length);
    for (let k = 0; k < length; k++) {
      turned[2 * k] = Math.cos((2 * Math.PI * k) / length);
      turned[2 * k + 1] = -Math.sin((2 * Math.PI * k) / length);
      reversed[reverseBits(k, bits)] = gains[k] / length;
    }
  }
  return {
    weights, across, shares,
    filter({ source, sourceStride, count, target, rowStride, cellStride }, weightsAt = weights) {
      kernels.call.filterRows(source, sourceStride, count, cells, shares, weightsAt, cells, across, target, rowStride, cellStride, length, response, turns, work);
    },
  };
}

function reverseBits(k: number, bits: number): number {
  let reversed = 0;
  for (let bit = 0; bit < bits; bit++) if (k & (1 << bit)) reversed |= 1 << (bits - 1 - bit);
  return reversed;
}
