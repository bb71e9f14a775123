import type { Filter } from '../../filter/filter.ts';
import { detectorIndex } from '../../geometry/detector-position.ts';
import { magnification } from '../../geometry/magnification.ts';
import { pixelPosition } from '../../geometry/pixel-position.ts';
import { rayWeights } from '../../reconstruct/ray-weights.ts';
import { viewShares } from '../../reconstruct/view-shares.ts';
import type { FlatBeam, Grid } from '../../types.ts';
import type { Steps } from '../steps.ts';
import { rowFilter } from './filter-rows.ts';
import type { Kernels } from './kernels.ts';

/**
 * Slices by the kernels: what filterSinogramSteps, backprojectSteps and fbpSteps do. What is handed in is taken to have been checked.
 * Each begins with the kernels' whole memory.
 */

/** Views from … end − 1 of a sinogram, weighed and filtered. */
export function* filterFlatSteps(kernels: Kernels, data: Float32Array, geometry: FlatBeam, filter: Filter, from: number, end: number): Steps<Float32Array> {
  const { detectors } = geometry;
  kernels.clear();
  const filterTo = flatFilter(kernels, data, geometry, filter);
  const target = kernels.take((end - from) * detectors);
  for (let view = from; view < end; view += 4) {
    filterTo(view, Math.min(4, end - view), target + 4 * (view - from) * detectors, detectors);
    yield (view - from) / (end - from);
  }
  return kernels.f32(target, (end - from) * detectors).slice();
}

/** Plain view filter, without weights: filterViews. */
export function filterViewsAtOnce(kernels: Kernels, data: Float32Array, views: number, detectors: number, pitch: number, filter: Filter): Float32Array {
  kernels.clear();
  const rows = rowFilter(kernels, filter, detectors, pitch);
  const source = kernels.take(4 * detectors), target = kernels.take(4 * detectors);
  const filtered = new Float32Array(views * detectors);
  for (let view = 0; view < views; view += 4) {
    const count = Math.min(4, views - view);
    kernels.f32(source, 4 * detectors).set(data.subarray(view * detectors, (view + count) * detectors));
    rows.filter({ source, sourceStride: detectors, count, target, rowStride: detectors, cellStride: 1 });
    filtered.set(kernels.f32(target, count * detectors), view * detectors);
  }
  return filtered;
}

/** A function that filters up to four views and writes them `stride` numbers apart. */
function flatFilter(kernels: Kernels, data: Float32Array, geometry: FlatBeam, filter: Filter): (view: number, count: number, target: number, stride: number) => void {
  const { detectors } = geometry;
  const shares = viewShares(geometry), weigh = rayWeights(geometry, filter.window === 'none' ? 2 : 1);
  const rows = rowFilter(kernels, filter, detectors, geometry.pitch / magnification(geometry));
  const source = kernels.take(4 * detectors);
  return (view, count, target, stride) => {
    kernels.f32(source, 4 * detectors).set(data.subarray(view * detectors, (view + count) * detectors));
    kernels.f64(rows.shares, 4).set(shares.subarray(view, view + count));
    if (geometry.beam === 'fan') for (let k = 0; k < count; k++) kernels.f64(rows.weights, 4 * detectors).set(weigh(view + k), k * detectors);
    rows.filter({ source, sourceStride: detectors, count, target, rowStride: stride, cellStride: 1 });
  };
}

/** What is smeared back: views as they are, each times its weight, or filtered first. */
export interface Smear {
  readonly data: Float32Array;
  readonly filter?: Filter;
  readonly weights?: ArrayLike<number>;
  /** Which views; all when left out. Of unfiltered ones only. */
  readonly views?: readonly number[];
  readonly power: 0 | 1 | 2;
}

/** Rows firstRow … endRow − 1 of a picture, from views smeared back. */
export function* smearFlatSteps(kernels: Kernels, { data, filter, weights, views, power }: Smear, geometry: FlatBeam, grid: Grid, firstRow = 0, endRow = grid.height): Steps<Float32Array> {
  const { width } = grid, { detectors } = geometry;
  const chosen = views ?? Array.from({ length: geometry.angles.length }, (_, view) => view);
  const height = endRow - firstRow, stride = Math.ceil(width / 4) * 4, cellStride = Math.ceil((detectors + 5) / 4) * 4;
  const fan = geometry.beam === 'fan', perPlace = fan ? 6 : 3;
  // A few milliseconds at a time, and no more views than lie well in the caches.
  const atOnce = Math.max(4, Math.min(64, 4 * Math.floor(2e6 / (height * stride))));
  kernels.clear();
  const filterTo = filter && flatFilter(kernels, data, geometry, filter);
  const sums = kernels.take(height * stride + 4), cells = kernels.take(atOnce * cellStride + 8) + 4 * 4; // four zeros before the first
  const places = kernels.take(atOnce * perPlace, 'f64');
  const rowsAtOnce = Math.max(16, Math.floor(1.6e7 / (atOnce * stride)));

  for (let from = 0; from < chosen.length; from += atOnce) {
    const count = Math.min(atOnce, chosen.length - from);
    for (let k = 0; k < count; k++) writePlace(kernels.f64(places + 8 * k * perPlace, perPlace), geometry, grid, chosen[from + k]);
    if (filterTo) for (let k = 0; k < count; k += 4) filterTo(from + k, Math.min(4, count - k), cells + 4 * k * cellStride, cellStride);
    else {
      for (let k = 0; k < count; k++) {
        const view = chosen[from + k], weight = weights ? weights[view] : 1;
        const into = kernels.f32(cells + 4 * k * cellStride, detectors);
        for (let j = 0; j < detectors; j++) into[j] = weight * data[view * detectors + j];
      }
    }
    for (let row = firstRow; row < endRow; row += rowsAtOnce) {
      const end = Math.min(endRow, row + rowsAtOnce), to = sums + 4 * (row - firstRow) * stride;
      if (geometry.beam === 'parallel') kernels.call.smearParallel(to, stride, width, row, end, count, cells, cellStride, detectors, places);
      else {
        kernels.call.setFan(geometry.sourceToAxis, detectorIndex(geometry, 0), detectors, grid.pixelSize);
        kernels.call.smearFan(to, stride, width, row, end, count, cells, cellStride, places, power);
      }
      yield (from + (count * (end - firstRow)) / height) / chosen.length;
    }
  }
  const rows = new Float32Array(height * width), all = kernels.f32(sums, height * stride);
  for (let row = 0; row < height; row++) rows.set(all.subarray(row * stride, row * stride + width), row * width);
  return rows;
}

/** Where pixels fall in a view, as the kernels have it: start, and steps by a column and by a row; a fan's aside and depth. See smear-parallel.ts, smear-fan.ts. */
function writePlace(place: Float64Array, geometry: FlatBeam, grid: Grid, view: number): void {
  const cos = Math.cos(geometry.angles[view]), sin = Math.sin(geometry.angles[view]);
  const [x, y] = pixelPosition(grid, 0, 0), { pixelSize } = grid;
  if (geometry.beam === 'parallel') {
    place[0] = detectorIndex(geometry, x * cos + y * sin);
    place[1] = (pixelSize * cos) / geometry.pitch;
    place[2] = (-pixelSize * sin) / geometry.pitch;
    return;
  }
  const scale = geometry.sourceToDetector / geometry.sourceToAxis / geometry.pitch;
  place[0] = scale * (x * cos + y * sin);
  place[1] = scale * pixelSize * cos;
  place[2] = -scale * pixelSize * sin;
  place[3] = geometry.sourceToAxis + x * sin - y * cos;
  place[4] = pixelSize * sin;
  place[5] = pixelSize * cos;
}
