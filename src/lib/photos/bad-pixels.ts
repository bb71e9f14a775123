import { medianAround } from './around.ts';
import type { Light } from './light.ts';
import { medianOfFew } from './median.ts';
import { noiseByLevel } from './noise-by-level.ts';

/** Pixels of the camera that tell nothing. */
export interface BadPixels {
  /** Bright without light: index of each. */
  readonly hot: readonly number[];
  /** Far darker or brighter than their neighbours in even light. */
  readonly dead: readonly number[];
}

/** A hot pixel has at least this share of the flat's light without any. */
const hotShare = 0.02;
const dimmest = 0.7, brightest = 1.4;
/** And stands out from its neighbours by so many times what is usual. */
const tooFar = 8;

/**
 * The camera's bad pixels, from its dark frame and from a flat from which the dark has been taken. Either may be missing.
 * Common practice, no source: the limits are those above.
 */
export function findBadPixels(dark: Light | undefined, flat: Light | undefined): BadPixels {
  const level = flat ? flat.data.reduce((sum, value) => sum + value, 0) / flat.data.length : 1;
  const hot = dark ? outstanding(dark, (value, around) => value - around > hotShare * level) : [];
  const dead = flat ? outstanding(flat, (value, around) => value < dimmest * around || value > brightest * around) : [];
  return { hot, dead };
}

function outstanding(light: Light, differs: (value: number, around: number) => boolean): number[] {
  const { width, height, data } = light;
  const around = medianAround(light);
  const noise = noiseByLevel(light);
  const found: number[] = [];
  for (let row = 0, i = 0; row < height; row++) {
    for (let column = 0; column < width; column++, i++) {
      // Most pixels are like the one two to the left and the one two above, which is quickly seen.
      const value = data[i];
      if (column >= 2 && row >= 2 && !differs(value, data[i - 2]) && !differs(value, data[i - 2 * width])) continue;
      const median = around(column, row);
      if (differs(value, median) && Math.abs(value - median) > tooFar * noise.deviation(median)) found.push(i);
    }
  }
  return found;
}

/** Puts the median of the good pixels around in place of each bad one, in place: of 3 × 3, or of more where these are bad too. */
export function mendPixels({ width, height, data }: Light, bad: readonly number[] | Set<number>): void {
  const isBad = bad instanceof Set ? bad : new Set(bad);
  const values = new Float64Array(15 * 15);
  for (const at of isBad) {
    const column = at % width, row = Math.floor(at / width);
    for (let reach = 1; reach <= 7; reach++) {
      let count = 0;
      for (let y = Math.max(0, row - reach); y <= Math.min(height - 1, row + reach); y++) {
        for (let x = Math.max(0, column - reach); x <= Math.min(width - 1, column + reach); x++) {
          if (!isBad.has(y * width + x)) values[count++] = data[y * width + x];
        }
      }
      if (count < 3 && reach < 7) continue;
      if (count > 0) data[at] = medianOfFew(values, count);
      break;
    }
  }
}
