import { filterResponse } from '../filter/filter-response.ts';
import type { Filter } from '../filter/filter.ts';
import { equalAngles } from '../geometry/equal-angles.ts';
import type { Grid, Image, ParallelBeam, Sinogram } from '../types.ts';
import type { LoadFixture } from './check.ts';
import { fixtureArray } from './fixture.ts';

/**
 * The sinograms and pictures of scikit-image and Octave, laid on the book's axes: y up, the axis at (0, 0).
 * Their pictures are n × n pixels of size 1 about an axis pixel that is not the middle; their sinograms have a row for each cell and a
 * column for each view, k · 180°/N.
 *   scikit-image: the axis is pixel n // 2 and cell n // 2; iradon adds zeros up to the picture's diagonal before it filters.
 *   Octave: the axis is pixel floor((n + 1)/2) − 1, one row higher in iradon for odd n, and the middle cell; filters are sampled |f|.
 */
export interface Scan {
  readonly sinogram: Sinogram;
  readonly geometry: ParallelBeam;
  /** Pixels of the picture, its axis pixel at (0, 0). */
  readonly grid: Grid;
  /** Row and column of the axis pixel. */
  readonly axis: readonly [row: number, column: number];
}

/** Their array [cell, view] as a sinogram of `detectors` cells with the axis at cell `axisCell`, zeros where theirs has none. */
function laidOut(theirs: { rows: number; columns: number; data: Float32Array }, theirAxis: number, detectors: number, axisCell: number): Pick<Scan, 'sinogram' | 'geometry'> {
  const views = theirs.columns;
  const data = new Float32Array(views * detectors);
  for (let cell = 0; cell < theirs.rows; cell++) {
    for (let view = 0; view < views; view++) data[view * detectors + cell - theirAxis + axisCell] = theirs.data[cell * views + view];
  }
  const geometry: ParallelBeam = { beam: 'parallel', angles: equalAngles(views, Math.PI), detectors, pitch: 1, axisOffset: axisCell - (detectors - 1) / 2 };
  return { sinogram: { views, detectors, data }, geometry };
}

export function laidPicture(n: number, [row, column]: Scan['axis']): Grid {
  return { width: n, height: n, pixelSize: 1, centre: [(n - 1) / 2 - column, row - (n - 1) / 2] };
}

export async function scikitScan(load: LoadFixture, object: string, n: number, views: number): Promise<Scan> {
  const theirs = await fixtureArray(load, `skimage_radon_${object}_${n}_${views}`);
  const diagonal = Math.ceil(Math.SQRT2 * n);
  const axis = [Math.floor(n / 2), Math.floor(n / 2)] as const;
  return { ...laidOut(theirs, axis[0], diagonal, Math.floor(diagonal / 2)), grid: laidPicture(n, axis), axis };
}

/** Octave's radon leaves 2·ceil(√2·n/2 + 1) + 1 cells, of which the fixtures leave out zeros. */
export async function octaveScan(load: LoadFixture, object: string, n: number, views: number): Promise<Scan> {
  const theirs = await fixtureArray(load, `octave_radon_${object}_${n}_${views}`);
  const half = Math.ceil(Math.SQRT2 * n / 2 + 1);
  const axis = [theirs.notes.axis_pixel as number, theirs.notes.axis_pixel as number] as const;
  return { ...laidOut(theirs, theirs.notes.axis_row as number, 2 * half + 1, half), grid: laidPicture(n, axis), axis };
}
/** Where Octave's iradon puts the axis: a row higher than its radon, for odd n. */
export function octavePicture({ grid, axis: [row, column] }: Scan): Grid {
  return laidPicture(grid.width, [row - (grid.width % 2), column]);
}

/** Differences, ours − theirs, of the pixels within `radius` of the axis pixel. */
export function differences(ours: Image, theirs: ArrayLike<number>, [axisRow, axisColumn]: Scan['axis'], radius: number, factor = 1): number[] {
  const found: number[] = [];
  for (let row = 0; row < ours.height; row++) {
    for (let column = 0; column < ours.width; column++) {
      if (Math.hypot(row - axisRow, column - axisColumn) > radius) continue;
      found.push(factor * ours.data[row * ours.width + column] - theirs[row * ours.width + column]);
    }
  }
  return found;
}
/** The length that views of so many cells are padded to, by all three. */
const padded = (detectors: number) => 2 ** Math.ceil(Math.log2(2 * detectors));

export type WindowFor = (detectors: number) => Filter['window'];
/** scikit-image's hann: np.hanning of the padded length, whose peak lies between two frequencies; the part of it that is even in f. */
export const numpyHann: WindowFor = (detectors) => {
  const length = padded(detectors);
  return (f) => 0.5 - 0.5 * Math.cos((Math.PI * length) / (length - 1)) * Math.cos((2 * Math.PI * f * length) / (length - 1));
};
/** Octave's ram-lak: |f| sampled at the frequencies of the transform, nothing at 0; as a gain on the kernel's response. */
export const sampledRamp: WindowFor = (detectors) => {
  const length = padded(detectors);
  const response = filterResponse({ window: 'ramp' }, length, 1);
  return (f) => f / response[Math.round(f * length)];
};
export const named = (window: 'ramp' | 'hann' | 'none'): WindowFor => () => window;
