import { finish, type Steps } from '../engine/steps.ts';
import type { Projections } from '../types.ts';
import { quantile } from './median.ts';

/** The pixels of the working frames that the object covers in no view: mask[row · columns + column] is 1 there. */
export interface OpenRegion {
  readonly mask: Uint8Array;
  /** Of the frame, 0…1. */
  readonly share: number;
}

/** What counts as covered: a light below the open beam's by this share, or by this many times the noise. */
const leastLoss = 0.05, noiseLoss = 4;
/** But never more than this: structure may look like noise. */
const mostLoss = 0.15;
/** And on the average of all views, where noise hardly counts, by this share. */
const meanLoss = 0.02;

/**
 * The part of the frame that stays bright in all views, from transmissions (light over flat) before any correction of the exposure.
 * Each view's own scale is first guessed: the brightness that is most common among its brightest third. Then what is darker than that by more than
 * 5 % or four times the noise (15 % at most), in the mean of 3 × 3 pixels, is covered, and so is what is darker by 2 % in the mean of all views; and
 * a margin around both. A region smaller than 0.2 % of the frame counts as none, with share 0.
 * Common practice, no source: the limits are those above.
 */
export function openRegion(transmission: Projections): OpenRegion {
  return finish(openRegionSteps(transmission));
}

/** The same as steps that can be followed and stopped. */
export function* openRegionSteps({ views, rows, columns, data }: Projections): Steps<OpenRegion> {
  const size = rows * columns;
  const least = new Float32Array(size).fill(Infinity);
  const mean = new Float32Array(size);
  const smooth = new Float32Array(size);
  let noise = 0;
  for (let view = 0; view < views; view++) {
    const frame = data.subarray(view * size, (view + 1) * size);
    const scale = commonBrightness(frame);
    noise += noiseOf(frame, rows, columns, scale) / views;
    meanOfNine(frame, rows, columns, smooth);
    for (let i = 0; i < size; i++) {
      const value = smooth[i] / scale;
      if (value < least[i]) least[i] = value;
      mean[i] += frame[i] / scale / views;
    }
    yield (view + 1) / views;
  }
  const loss = Math.min(mostLoss, Math.max(leastLoss, (noiseLoss * noise) / 3));
  const meanNoise = Math.min(mostLoss, Math.max(meanLoss, (noiseLoss * noise) / Math.sqrt(views)));
  const covered = Uint8Array.from(least, (value, i) => (value < 1 - loss || mean[i] < 1 - meanNoise ? 1 : 0));
  const mask = farFrom(covered, rows, columns, Math.max(2, Math.round(0.015 * columns)));
  const share = mask.reduce((sum, open) => sum + open, 0) / size;
  return share < 0.002 ? { mask: new Uint8Array(size), share: 0 } : { mask, share };
}

/** The brightness that most of the brightest third of the frame has: the open beam, if the object leaves a tenth of the frame free. */
function commonBrightness(frame: Float32Array): number {
  const step = Math.max(1, Math.floor(frame.length / 5000));
  const values = Float64Array.from({ length: Math.ceil(frame.length / step) }, (_, k) => frame[k * step]).sort();
  const bright = values.subarray(Math.floor((2 * values.length) / 3));
  // Half the sample mode: the shortest stretch of values that holds half of them has its middle where they are densest.
  let from = 0, to = bright.length;
  while (to - from > 8) {
    const half = (to - from) >> 1;
    let best = from;
    for (let i = from; i + half < to; i++) if (bright[i + half] - bright[i] < bright[best + half] - bright[best]) best = i;
    [from, to] = [best, best + half];
  }
  const middle = bright[(from + to) >> 1];
  return middle > 0 ? middle : 1;
}

/** Standard deviation of a pixel, from the differences of neighbours in the brightest parts. */
function noiseOf(frame: Float32Array, rows: number, columns: number, scale: number): number {
  const differences: number[] = [];
  const step = Math.max(1, Math.floor((rows * columns) / 5000));
  for (let i = 0; i + 1 < rows * columns; i += step) {
    if ((i + 1) % columns !== 0 && frame[i] + frame[i + 1] > 1.6 * scale) differences.push(Math.abs(frame[i] - frame[i + 1]) / scale);
  }
  return differences.length < 20 ? 0 : (1.4826 / Math.SQRT2) * quantile(Float64Array.from(differences), 0.5);
}

function meanOfNine(frame: Float32Array, rows: number, columns: number, smooth: Float32Array): void {
  for (let row = 0; row < rows; row++) {
    const above = Math.max(0, row - 1) * columns, here = row * columns, below = Math.min(rows - 1, row + 1) * columns;
    for (let column = 0; column < columns; column++) {
      const left = Math.max(0, column - 1), right = Math.min(columns - 1, column + 1);
      smooth[here + column] = (
        frame[above + left] + frame[above + column] + frame[above + right] + frame[here + left] + frame[here + column] + frame[here + right] +
        frame[below + left] + frame[below + column] + frame[below + right]
      ) / 9;
    }
  }
}

/** 1 where nothing covered lies within `margin` pixels, in a square; a covered pixel or two by themselves are passed over. */
function farFrom(covered: Uint8Array, rows: number, columns: number, margin: number): Uint8Array {
  const before = (i: number, step: number, count: number) => count > 0 && covered[i - step] === 1;
  const solid = new Uint8Array(covered.length);
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      if (!covered[i]) continue;
      let like = 0;
      if (before(i, 1, column)) like++;
      if (column < columns - 1 && covered[i + 1]) like++;
      if (before(i, columns, row)) like++;
      if (row < rows - 1 && covered[i + columns]) like++;
      if (like >= 2) solid[i] = 1;
    }
  }
  const spread = (from: Uint8Array, count: number, length: number, step: number, lineStep: number) => {
    const to = new Uint8Array(from.length);
    for (let line = 0; line < count; line++) {
      let last = -Infinity;
      for (let i = 0; i < length + margin; i++) {
        if (i < length && from[line * lineStep + i * step]) last = i;
        const at = i - margin;
        if (at >= 0 && i - last <= 2 * margin) to[line * lineStep + at * step] = 1;
      }
    }
    return to;
  };
  const wide = spread(spread(solid, rows, columns, 1, columns), columns, rows, columns, 1);
  return wide.map((value) => 1 - value);
}
