import type { Photograph } from '../files/photograph.ts';
import { lightToSrgb } from '../photos/linearise.ts';
import { blurCells } from './blur-cells.ts';
import type { PlanLight } from './plan-light.ts';
import type { RandomNumbers } from './random-numbers.ts';
import type { ViewLight } from './view-light.ts';

/** The cells of the picture, and how many fine cells each has along a row and along a column. */
export interface Cells {
  readonly rows: number;
  readonly columns: number;
  readonly across: number;
  readonly up: number;
  /** Of the screen's blur, standard deviation in fine cells. */
  readonly screenBlur: number;
}

/** Black is stored a little above 0, as cameras do, so that the noise of reading is not cut off: by so many times the read noise. */
const blackAbove = 5;

/**
 * One photograph of a view, of the uncovered screen or the lit sheet ('flat') or of nothing ('dark'), in this order; with a lamp the first two fall away:
 *   X-rays       counted in each fine cell (Poisson), as many equal ones as are as noisy as those of all energies
 *   screen       light and noise of these counts blurred together: neighbouring pixels then share their noise, as they do on a real screen
 *   electrons    counted in each cell of the picture (Poisson): each pixel's own, and not blurred
 *   camera       read noise, the full pixel, sRGB's curve or none, and the rounding to its bits
 * A cell of several camera pixels and frames is their mean, with their noise; it is then not rounded to a level itself, the mean of many roundings being a
 * small noise. exposures: so many photographs like this one averaged, for dark and flat; Infinity for one without noise.
 */
export function takePhotograph(seen: ViewLight | 'flat' | 'dark', light: PlanLight, cells: Cells, random: RandomNumbers, exposures = 1): Photograph {
  const { rows, columns, across, up, screenBlur } = cells;
  const fineColumns = columns * across;
  const fine = new Float64Array(rows * up * fineColumns).fill(seen === 'dark' ? 0 : 1);
  const quiet = exposures === Infinity;
  if (seen !== 'dark') {
    const exact = quiet || light.xrays === Infinity;
    const open = (light.xrays * (quiet ? 1 : exposures)) / (across * up);
    for (let i = 0; i < fine.length; i++) {
      const mean = seen === 'flat' ? 1 : seen.light[i];
      if (exact || !(mean > 1e-12)) fine[i] = mean;
      else {
        // N equal X-rays have the mean and the variance of those of many energies: N = mean²/variance.
        const equal = seen === 'flat' ? open : (open * mean * mean) / seen.square[i];
        fine[i] = (mean * random.count(equal)) / equal;
      }
    }
    blurCells(fine, rows * up, fineColumns, screenBlur);
  }
  const times = quiet ? 1 : exposures;
  const added = light.added * times;
  const black = (blackAbove * light.readNoise) / light.fullWell / Math.sqrt(light.added); // of a single frame's single pixel, as a share of its fullness
  const store = light.curve === 'srgb' ? lightToSrgb : (value: number) => value;
  const data = new Float32Array(rows * columns);
  let saturated = 0;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      let sum = 0;
      for (let y = 0; y < up; y++) for (let x = 0, at = (row * up + y) * fineColumns + column * across; x < across; x++) sum += fine[at++];
      const mean = (light.electrons * times * sum) / (across * up);
      const read = quiet ? mean : random.count(mean) + light.readNoise * Math.sqrt(times) * random.gaussian();
      const full = read / (light.fullWell * times) + black;
      let stored = store(Math.min(1, Math.max(0, full)));
      if (!quiet) stored = added === 1 ? Math.round(stored * light.levels) / light.levels : full >= 1 ? 1 : Math.min(1, Math.max(0, stored + random.gaussian() / (light.levels * Math.sqrt(12 * added))));
      if (stored >= 1) saturated++;
      data[(rows - 1 - row) * columns + column] = stored; // a photograph has its top row first
    }
  }
  return { width: columns, height: rows, data, bits: Math.round(Math.log2(light.levels + 1)), saturated, encoding: light.curve === 'srgb' ? 'srgb' : 'linear' };
}
