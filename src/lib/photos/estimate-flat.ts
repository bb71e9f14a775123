import { BadInput } from '../files/bad-input.ts';
import type { Projections } from '../types.ts';
import { exposureLevels } from './exposure.ts';
import { openRegion, type OpenRegion } from './open-region.ts';
import { solve } from './solve.ts';

/** A flat without a flat frame: a smooth surface through the light beside the object. */
export interface EstimatedFlat {
  /** flat[row · columns + column] of the working frame. */
  readonly flat: Float32Array;
  readonly region: OpenRegion;
  /** Root mean square distance of the open pixels from the surface, as a share of it. */
  readonly misfit: number;
}

/** Terms of the surface's logarithm: a polynomial of degree two, and the fourth power of the distance from the middle. */
const terms = 7;
const rounds = 3;

/**
 * The light that would fall on the screen without the object, from frames that have no flat: the mean over all views of the pixels that the
 * object never covers, and across the object a surface whose logarithm is a polynomial of degree two in x and y and the fourth power of the
 * distance from the middle, which is how lenses and beams fall off towards the edges. Unevenness smaller than that, a scratch or dust on the screen, is not in it.
 * light: working frames before any division; each view's own exposure is allowed for. They are divided by a surface and multiplied by it
 * again while it is sought, so that no second copy of them is needed; but for rounding they come out as they went in.
 * Throws BadInput where there is no open part to go by, or it lies all on one side.
 */
export function estimateFlat(light: Projections): EstimatedFlat {
  const { views, rows, columns } = light;
  const size = rows * columns;
  let surface: Float32Array = new Float32Array(size).fill(1);
  let region: OpenRegion = startingRegion(light);
  let misfit = 0;
  for (let round = 0; round < rounds; round++) {
    multiply(light, surface, -1);
    if (round > 0) region = openRegion(light);
    const levels = region.share > 0 ? exposureLevels(light, region) : undefined;
    multiply(light, surface, 1);
    if (!levels) throw nothingOpen();
    const mean = new Float64Array(size);
    const overall = levels.reduce((sum, level) => sum + level, 0) / views;
    for (let view = 0; view < views; view++) for (let i = 0; i < size; i++) mean[i] += (light.data[view * size + i] * overall) / (levels[view] * views);
    ({ surface, misfit } = fitSurface(mean, region.mask, rows, columns));
  }
  return { flat: surface, region, misfit };
}

const nothingOpen = () => new BadInput('There is no flat frame, and no part of the frame stays free of the object in all views to estimate one from: photograph the screen once without the object.');

/** To begin with: the outer twentieth of the columns on either side. */
function startingRegion({ rows, columns, data, views }: Projections): OpenRegion {
  const wide = Math.max(2, Math.round(columns / 20));
  // A row that is dark from edge to edge is a stand, not the beam.
  const level = (row: number) => {
    let sum = 0;
    for (let view = 0; view < views; view++) for (let k = 0; k < wide; k++) sum += data[(view * rows + row) * columns + k] + data[(view * rows + row + 1) * columns - 1 - k];
    return sum;
  };
  const levels = Float64Array.from({ length: rows }, (_, row) => level(row));
  const bright = [...levels].sort((a, b) => a - b)[Math.floor(0.75 * rows)];
  const mask = new Uint8Array(rows * columns);
  for (let row = 0; row < rows; row++) {
    if (levels[row] < 0.6 * bright) continue;
    for (let k = 0; k < wide; k++) mask[row * columns + k] = mask[(row + 1) * columns - 1 - k] = 1;
  }
  return { mask, share: mask.reduce((sum, open) => sum + open, 0) / mask.length };
}

/** Every view times the surface to this power, in place. */
function multiply({ data }: Projections, surface: Float32Array, power: 1 | -1): void {
  for (let at = 0; at < data.length; at += surface.length) {
    for (let i = 0; i < surface.length; i++) data[at + i] = power === 1 ? data[at + i] * surface[i] : data[at + i] / surface[i];
  }
}

/** Least squares on the logarithm, over the pixels of the mask; x and y run from −1 to 1. */
function fitSurface(mean: Float64Array, mask: Uint8Array, rows: number, columns: number): { surface: Float32Array; misfit: number } {
  const matrix = Array.from({ length: terms }, () => new Float64Array(terms + 1));
  const basis = new Float64Array(terms);
  const aspect = rows / columns;
  const set = (column: number, row: number) => {
    const x = (2 * column + 1) / columns - 1, y = (2 * row + 1) / rows - 1;
    basis.set([1, x, y, x * x, x * y, y * y, (x * x + (y * aspect) ** 2) ** 2]);
  };
  let leftmost = columns, rightmost = 0;
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      if (!mask[i] || !(mean[i] > 0)) continue;
      leftmost = Math.min(leftmost, column);
      rightmost = Math.max(rightmost, column);
      set(column, row);
      const value = Math.log(mean[i]);
      for (let k = 0; k < terms; k++) {
        for (let l = 0; l < terms; l++) matrix[k][l] += basis[k] * basis[l];
        matrix[k][terms] += basis[k] * value;
      }
    }
  }
  if (rightmost - leftmost < columns / 2) throw nothingOpen();
  const coefficients = solve(matrix);
  const surface = new Float32Array(rows * columns);
  let squares = 0, count = 0;
  for (let row = 0, i = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++, i++) {
      set(column, row);
      let value = 0;
      for (let k = 0; k < terms; k++) value += coefficients[k] * basis[k];
      surface[i] = Math.exp(value);
      if (!mask[i]) continue;
      squares += (mean[i] / surface[i] - 1) ** 2;
      count++;
    }
  }
  return { surface, misfit: Math.sqrt(squares / count) };
}
