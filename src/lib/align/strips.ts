import type { Projections } from '../types.ts';
import type { Detector } from './frames.ts';

/** Frames brought down to a few bands of few cells, about the axis: data[(view · bands + band) · cells + cell]. */
export interface Strips {
  readonly views: number;
  readonly bands: number;
  readonly cells: number;
  readonly data: Float64Array;
  /** The rows use −reach … reach about the axis, mm on the detector. */
  readonly reach: number;
}

/** Half the width about the axis, mm on the detector, that takes in every shadow deeper than 3 % of the deepest, in the usable rows. */
export function reachOf({ views, rows, columns, data }: Projections, { pitch, axisOffset }: Detector, free: Uint8Array): number {
  const total = new Float64Array(columns);
  const bandDepth = new Float64Array(columns);
  const band = Math.max(1, Math.round(rows / 12));
  for (let view = 0; view < views; view++) {
    for (let first = 0; first < rows; first += band) {
      bandDepth.fill(0);
      let used = 0;
      for (let row = first; row < Math.min(rows, first + band); row++) {
        if (!free[row]) continue;
        used++;
        for (let j = 0; j < columns; j++) bandDepth[j]! += data[(view * rows + row) * columns + j]!;
      }
      if (used > 0) for (let j = 0; j < columns; j++) total[j] = Math.max(total[j]!, bandDepth[j]! / used);
    }
  }
  const limit = 0.03 * Math.max(...total);
  const inside = Array.from(total.keys()).filter((j) => total[j]! > limit);
  const place = (j: number) => (j - (columns - 1) / 2) * pitch - axisOffset;
  return 1.02 * Math.max(Math.abs(place(inside[0]! - 0.5)), Math.abs(place(inside.at(-1)! + 0.5)));
}

/**
 * Averages the usable rows into at most `bands` bands and the columns into `cells` cells about the axis, following its tilt.
 * What lies beside the frame counts as 0.
 */
export function stripsOf(frames: Projections, detector: Detector, free: Uint8Array, reach: number, bands: number, cells: number): Strips {
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
