import { BadInput } from '../files/bad-input.ts';
import type { Projections } from '../types.ts';
import type { Light, Rectangle } from './light.ts';
import type { OpenRegion } from './open-region.ts';
import type { PhotoOptions } from './photo-scan.ts';

/** Puts a frame in its place among the projections: row 0 at the bottom, and left and right changed where it is mirrored. */
export function storeFrame({ data }: Light, { rows, columns, data: all }: Projections, view: number, mirrored: boolean): void {
  for (let row = 0; row < rows; row++) {
    const to = (view * rows + rows - 1 - row) * columns;
    all.set(data.subarray(row * columns, (row + 1) * columns), to);
    if (mirrored) all.subarray(to, to + columns).reverse();
  }
}

/** One frame turned as storeFrame does. */
export function turnedFrame(light: Light, mirrored: boolean): Float32Array {
  const data = new Float32Array(light.data.length);
  storeFrame(light, { views: 1, rows: light.height, columns: light.width, data }, 0, mirrored);
  return data;
}

/** The working pixels that lie wholly within a part of the photograph. Throws BadInput where there are none. */
export function markedRegion(open: Rectangle, { crop, bin = 1, mirrored = false }: PhotoOptions, { rows, columns }: Projections): OpenRegion {
  const [left, top] = [open.left - (crop?.left ?? 0), open.top - (crop?.top ?? 0)];
  const mask = new Uint8Array(rows * columns);
  let count = 0;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const within = column * bin >= left && (column + 1) * bin <= left + open.width && row * bin >= top && (row + 1) * bin <= top + open.height;
      if (!within) continue;
      mask[(rows - 1 - row) * columns + (mirrored ? columns - 1 - column : column)] = 1;
      count++;
    }
  }
  if (count === 0) throw new BadInput(`The part said to be free of the object (${open.width} × ${open.height} pixels from column ${open.left} and row ${open.top}) does not lie within the frames.`);
  return { mask, share: count / mask.length };
}
