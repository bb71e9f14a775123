import { BadInput } from '../files/bad-input.ts';
import { grouped } from '../files/memory-limit.ts';
import type { ConeBeam, Projections, Volume } from '../types.ts';
import { checkVolumeGrid } from '../volume/fit-grid.ts';

/** Throws BadInput, with what would be right, unless the frames are those of this geometry and hold only finite numbers. */
export function matchProjections({ views, rows, columns, data }: Projections, geometry: ConeBeam): void {
  if (views !== geometry.angles.length) {
    throw new BadInput(`There are ${grouped(views)} frames and ${grouped(geometry.angles.length)} angles; there is one angle for each frame.`);
  }
  if (rows !== geometry.rows || columns !== geometry.detectors) {
    throw new BadInput(`The frames have ${grouped(columns)} columns and ${grouped(rows)} rows and the geometry's detector ${grouped(geometry.detectors)} and ${grouped(geometry.rows)}; they need the same numbers.`);
  }
  if (data.length !== views * rows * columns) {
    throw new BadInput(`The frames hold ${grouped(data.length)} numbers; ${grouped(views)} frames of ${grouped(columns)} × ${grouped(rows)} cells are ${grouped(views * rows * columns)}.`);
  }
  for (let k = 0; k < data.length; k++) {
    if (Number.isFinite(data[k])) continue;
    const frame = Math.floor(k / (rows * columns)), row = Math.floor(k / columns) % rows;
    throw new BadInput(`Frame ${frame} holds ${data[k]} in row ${row}, column ${k % columns} (all counted from 0); every line integral has to be a finite number.`);
  }
}

/** Throws BadInput unless the volume holds a number for each of its voxels. */
export function matchVolume(volume: Volume): void {
  checkVolumeGrid(volume);
  const { width, height, depth, data } = volume;
  if (data.length !== width * height * depth) {
    throw new BadInput(`The volume holds ${grouped(data.length)} numbers; ${grouped(width)} × ${grouped(height)} × ${grouped(depth)} voxels are ${grouped(width * height * depth)}.`);
  }
}
