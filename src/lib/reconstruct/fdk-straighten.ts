import { cellOfCone, placeOfCell } from '../project/point-in-cone.ts';
import type { ConeBeam } from '../types.ts';

/**
 * The frames of a tilted detector as an upright one would have taken them, with as many cells and the same offsets: a function that
 * writes one row of frame `view` into `upright`. Each cell is interpolated from the 4 × 4 cells around it by cubic convolution (Keys,
 * IEEE Trans. ASSP 29:1153 (1981), a = −½; citation from memory), which blurs less than straight lines would; beyond the rim the
 * outermost cells count on. Without a tilt it copies.
 * held: the rows that there are of each frame; all of them when left out. Rows are counted as those of the whole.
 */
export function straightener(geometry: ConeBeam, { firstRow, endRow }: { readonly firstRow: number; readonly endRow: number } = { firstRow: 0, endRow: geometry.rows }): (frames: Float32Array, view: number, row: number, upright: Float64Array) => void {
  const { detectors, tilt } = geometry;
  const rows = endRow - firstRow;
  if (tilt === 0) {
    return (frames, view, row, upright) => {
      const start = (view * rows + row - firstRow) * detectors;
      for (let j = 0; j < detectors; j++) upright[j] = frames[start + j];
    };
  }
  const standing: ConeBeam = { ...geometry, tilt: 0 };
  const cos = Math.cos(tilt), sin = Math.sin(tilt);
  const across = new Float64Array(4), up = new Float64Array(4);

  return (frames, view, row, upright) => {
    const { u, v } = placeOfCell(standing, 0, row);
    const start = cellOfCone(geometry, u, v);
    for (let j = 0; j < detectors; j++) {
      const column = start.column + j * cos, height = start.row - j * sin;
      const left = Math.floor(column), bottom = Math.floor(height);
      cubicWeights(column - left, across);
      cubicWeights(height - bottom, up);
      const c0 = within(left - 1, detectors), c1 = within(left, detectors), c2 = within(left + 1, detectors), c3 = within(left + 2, detectors);
      let sum = 0;
      for (let k = 0; k < 4; k++) {
        const at = (view * rows + within(bottom + k - 1 - firstRow, rows)) * detectors;
        sum += up[k] * (across[0] * frames[at + c0] + across[1] * frames[at + c1] + across[2] * frames[at + c2] + across[3] * frames[at + c3]);
      }
      upright[j] = sum;
    }
  };
}

/** Of the cells −1, 0, 1 and 2, for a place at `share` between 0 and 1. They add up to 1, and are 0, 1, 0, 0 on cell 0. */
function cubicWeights(share: number, weights: Float64Array): void {
  const rest = 1 - share;
  weights[0] = -0.5 * share * rest * rest;
  weights[1] = 1 + share * share * (1.5 * share - 2.5);
  weights[2] = 1 + rest * rest * (1.5 * rest - 2.5);
  weights[3] = -0.5 * rest * share * share;
}

function within(index: number, count: number): number {
  return index < 0 ? 0 : index >= count ? count - 1 : index;
}
