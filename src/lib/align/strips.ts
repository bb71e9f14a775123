import type { Projections } from '../types.ts';
import type { BeamWithoutAngles } from './frames.ts';

/** Frames brought down to a few bands of few cells, about the axis: data[(view · bands + band) · cells + cell]. */
export interface Strips {
  readonly views: number;
  readonly bands: number;
  readonly cells: number;
  readonly data: Float64Array;
  /** The rows use −reach … reach about the axis, mm on the detector. */
  readonly reach: number;
}

/**
 * Half the width about the axis, mm on the detector, that takes in the object: every column where the mean of all views, in one of up to
 * twelve bands of usable rows, is above 2 % of its greatest and above five deviations of its noise.
 */
export function reachOf({ views, rows, columns, data }: Projections, { pitch, axisOffset }: BeamWithoutAngles, free: Uint8Array): number {
  const bands = Math.min(12, rows);
  const means = new Float64Array(bands * columns);
  const counts = new Float64Array(bands);
  for (let at = 0; at < views * rows; at++) {
    const row = at % rows;
    if (!free[row]) continue;
    const band = Math.floor((row * bands) / rows);
    counts[band]!++;
    for (let j = 0; j < columns; j++) means[band * columns + j]! += data[at * columns + j]!;
  }
  const deepest = new Float64Array(columns);
  const noise: number[] = [];
  for (let band = 0; band < bands; band++) {
    if (counts[band] === 0) continue;
    for (let j = 0; j < columns; j++) {
      deepest[j] = Math.max(deepest[j]!, means[band * columns + j]! / counts[band]!);
      // A second difference of independent noise has six times its variance, and of a smooth shadow next to nothing.
      if (j > 1) noise.push(Math.abs(means[band * columns + j]! - 2 * means[band * columns + j - 1]! + means[band * columns + j - 2]!) / Math.sqrt(6) / counts[band]!);
    }
  }
  const deviation = 1.4826 * noise.sort((a, b) => a - b)[Math.floor(noise.length / 2)]!;
  const limit = Math.max(0.02 * Math.max(...deepest), 5 * deviation);
  const inside = Array.from(deepest.keys()).filter((j) => deepest[j]! > limit);
  const place = (j: number) => (j - (columns - 1) / 2) * pitch - axisOffset;
  if (inside.length === 0) return Math.max(Math.abs(place(-0.5)), Math.abs(place(columns - 0.5))); // drowned in noise: all of the frame
  return 1.02 * Math.max(Math.abs(place(inside[0]! - 0.5)), Math.abs(place(inside.at(-1)! + 0.5)));
}

/**
 * Averages the usable rows into at most `bands` bands and the columns into `cells` cells about the axis, following its tilt.
 * What lies beside the frame counts as 0.
 */
export function stripsOf(frames: Projections, detector: BeamWithoutAngles, free: Uint8Array, reach: number, bands: number, cells: number): Strips {
  const { views, rows, columns, data } = frames;
  const usable = Array.from({ length: rows }, (_, row) => row).filter((row) => free[row]);
  const count = Math.min(bands, usable.length);
  const result = new Float64Array(views * count * cells);
  const width = (2 * reach) / cells;
  const { pitch } = detector;
  const bandOf = usable.map((_, place) => Math.floor((place * count) / usable.length));
  for (const [place, row] of usable.entries()) {
    const band = bandOf[place]!;
    const inBand = bandOf.lastIndexOf(band) - bandOf.indexOf(band) + 1;
    const up = detector.beam === 'cone' ? (row - (rows - 1) / 2) * pitch - detector.rowOffset : 0;
    const lean = detector.beam === 'cone' ? up * Math.tan(detector.tilt) : 0;
    for (let cell = 0; cell < cells; cell++) {
      const from = (-reach + cell * width + detector.axisOffset + lean) / pitch + columns / 2;
      const to = from + width / pitch;
      for (let j = Math.max(0, Math.floor(from)); j < Math.min(columns, Math.ceil(to)); j++) {
        const share = (Math.min(j + 1, to) - Math.max(j, from)) / (to - from) / inBand;
        if (share <= 0) continue;
        for (let view = 0; view < views; view++) result[(view * count + band) * cells + cell]! += share * data[(view * rows + row) * columns + j]!;
      }
    }
  }
  return { views, bands: count, cells, data: result, reach };
}
