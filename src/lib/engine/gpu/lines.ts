import { viewFilter } from '../../filter/filter-views.ts';
import { filterResponse } from '../../filter/filter-response.ts';
import type { Filter } from '../../filter/filter.ts';
import { magnification } from '../../geometry/magnification.ts';
import { midPlaneFan } from '../../reconstruct/cone-weights.ts';
import { curtainLength, frameFilter } from '../../reconstruct/fdk-filter.ts';
import type { Numbers } from '../../reconstruct/operator.ts';
import { rayWeights } from '../../reconstruct/ray-weights.ts';
import { viewShares } from '../../reconstruct/view-shares.ts';
import type { ConeBeam, FlatBeam, Geometry } from '../../types.ts';

/** Views on their way to being smeared back: what comes from memory, and what is done to it on the card. */
export interface Lines {
  readonly geometry: Geometry;
  readonly columns: number;
  /** Lines in a view: 1 of a sinogram, the rows of a frame. */
  readonly rows: number;
  /** A view as it is uploaded, its rows one after the other; to be used before the next is asked for. */
  piece(view: number): Numbers;
  /** Length of the transform, 0 for none. */
  readonly length: number;
  /** A leaning detector's frames are made upright first. */
  readonly leaning: boolean;
  /** Whether the cosine of a cone's rays still has to be taken. */
  readonly cosine: boolean;
  /** What each cell of a view counts, its share of the turn included; all 1 when left out. */
  readonly weights?: (view: number) => Float64Array;
  readonly response?: Float64Array;
}

/** Which rows of the frames in memory belong to the geometry, a slab's: from `first` on, of `all`. */
export interface RowsTaken { readonly first: number; readonly all: number }

/** The views as they are. */
export function plainLines(data: Float32Array, geometry: Geometry, { first, all }: RowsTaken): Lines {
  const { detectors } = geometry, rows = geometry.beam === 'cone' ? geometry.rows : 1;
  const piece = (view: number) => data.subarray((view * all + first) * detectors, (view * all + first + rows) * detectors);
  return { geometry, columns: detectors, rows, piece, length: 0, leaning: false, cosine: false };
}

/** The views to be weighed and filtered as fbp and fdk do it. longest: of the transforms that the card can do; wider views the plain code filters. */
export function filteredLines(data: Float32Array, geometry: Geometry, filter: Filter, taken: RowsTaken, longest: number): Lines {
  const unfiltered = filter.window === 'none', cone = geometry.beam === 'cone';
  const length = unfiltered ? 0 : 2 ** Math.ceil(Math.log2(2 * geometry.detectors));
  const lines = plainLines(data, geometry, taken);
  if (length > longest) return { ...lines, piece: cone ? framesFilteredHere(data, geometry, filter, taken) : viewsFilteredHere(lines, geometry, filter) };
  const flat = cone ? midPlaneFan(geometry) : geometry;
  const shares = viewShares(flat), weigh = rayWeights(flat, unfiltered ? 2 : 1);
  return {
    ...lines, length, cosine: cone && !unfiltered, leaning: cone && geometry.tilt !== 0,
    weights: (view) => weigh(view).map((weight) => shares[view] * weight),
    response: unfiltered ? undefined : filterResponse(filter, length, geometry.pitch / magnification(geometry)),
  };
}

function framesFilteredHere(data: Float32Array, geometry: ConeBeam, filter: Filter, { first, all }: RowsTaken): (view: number) => Float32Array {
  const { rows, detectors } = geometry;
  const filterFrame = frameFilter(geometry, filter);
  const curtain = new Float64Array(curtainLength(geometry)), frame = new Float32Array(rows * detectors);
  return (view) => {
    const frames = data.subarray((view * (all - rows) + first) * detectors); // so that the slab's rows lie where frame `view` of it is looked for
    for (const _ of filterFrame(frames, view, curtain));
    for (let row = 0; row < rows; row++) {
      for (let j = 0; j < detectors; j++) frame[row * detectors + j] = curtain[j * (rows + 1) + row];
    }
    return frame;
  };
}

function viewsFilteredHere({ piece }: Lines, geometry: FlatBeam, filter: Filter): (view: number) => Float64Array {
  const { detectors } = geometry;
  const shares = viewShares(geometry), weigh = rayWeights(geometry, 1);
  const filterView = viewFilter(filter, detectors, geometry.pitch / magnification(geometry));
  const cells = new Float64Array(detectors);
  return (view) => {
    const weights = weigh(view), values = piece(view);
    for (let j = 0; j < detectors; j++) cells[j] = shares[view] * weights[j] * values[j];
    filterView(cells, cells);
    return cells;
  };
}
