import { detectorIndex } from '../geometry/detector-position.ts';
import { pixelPosition } from '../geometry/pixel-position.ts';
import { detectorRow } from '../project/point-in-cone.ts';
import type { Slab } from './slab.ts';

/** Some of the filtered frames, upright, as frameFilter writes them: frame k of them begins at k · (detectors + 1) · (rows + 1). */
export interface Curtains {
  /** The angle of each. */
  readonly angles: readonly number[];
  readonly data: Float64Array;
}

/** A few pixels of a slice, and the columns of voxels that stand on them: from `first` on, up to but not `end`. */
export interface Tile {
  readonly firstColumn: number;
  readonly endColumn: number;
  readonly firstRow: number;
  readonly endRow: number;
}

/**
 * Adds these views to the columns of voxels that stand on a tile: the value that each
 * voxel's ray left on the detector, interpolated linearly between four cells, times (R/depth)^power, as smearFan does; nothing beyond
 * the middles of the outermost cells, behind the source, or less than a voxel in front of it.
 * Up a column of voxels depth and detector column stay the same and the detector row rises by the same step from each voxel to the
 * next. So the two columns of cells are blended once, and then read upwards. Of a slab only its rows and voxels are touched, at the very places
 * that they have in the whole.
 * sums: depth numbers for each pixel of the tile, row by row, the lowest voxel first.   blend: a number for each row of the whole, and one more, to write in.
 * Source: Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984), citation from memory.
 */
// region backproject-cone
export function smearCone({ angles, data }: Curtains, slab: Slab, tile: Tile, power: 0 | 1 | 2, sums: Float64Array, blend: Float64Array): void {
  const { firstRow, endRow, firstSlice, endSlice, whole: { geometry, grid } } = slab;
  const { voxelSize, centre = [0, 0, 0] } = grid;
  const { sourceToAxis, detectors, rows } = geometry;
  const slice = { width: grid.width, height: grid.height, pixelSize: voxelSize, centre: [centre[0], centre[1]] } as const;
  const lowest = centre[2] - ((grid.depth - 1) / 2) * voxelSize;
  const middleColumn = detectorIndex(geometry, 0), middleRow = detectorRow(geometry, 0); // the cell, with its fractions, below the ray through the axis
  const scale = geometry.sourceToDetector / sourceToAxis / geometry.pitch; // cells to a mm at the axis
  const height = endRow - firstRow + 1, count = endSlice - firstSlice, length = (detectors + 1) * height;

  for (let view = 0; view < angles.length; view++) {
    const cos = Math.cos(angles[view]), sin = Math.sin(angles[view]);
    let bottom = -count; // where the sums of the pixel begin
    for (let row = tile.firstRow; row < tile.endRow; row++) {
      for (let pixel = tile.firstColumn; pixel < tile.endColumn; pixel++) {
        bottom += count;
        const [x, y] = pixelPosition(slice, pixel, row);
        const depth = sourceToAxis + x * sin - y * cos;
        if (depth < voxelSize) continue;
        const nearness = sourceToAxis / depth;
        const across = middleColumn + scale * (x * cos + y * sin) * nearness;
        if (!(across > -1e-9 && across < detectors - 1 + 1e-9)) continue;
        const step = scale * nearness * voxelSize; // rows from one voxel to the next
        const start = middleRow + scale * nearness * lowest;
        const first = Math.max(firstSlice, Math.ceil((-1e-9 - start) / step));
        const end = Math.min(endSlice, Math.floor((rows - 1 + 1e-9 - start) / step) + 1);
        if (end <= first) continue;

        const weight = power === 2 ? nearness * nearness : power === 1 ? nearness : 1;
        const column = across | 0, share = across - column;
        const left = view * length + column * height - firstRow, right = left + height;
        const top = Math.min(endRow, ((start + (end - 1) * step) | 0) + 2); // one more than is read, but for rounding
        for (let i = (start + first * step) | 0; i <= top; i++) {
          const value = data[left + i];
          blend[i] = weight * (value + share * (data[right + i] - value));
        }
        const lowestSum = bottom - firstSlice;
        for (let k = first; k < end; k++) {
          const at = start + k * step, i = at | 0;
          const value = blend[i];
          sums[lowestSum + k] += value + (at - i) * (blend[i + 1] - value);
        }
      }
    }
  }
}
// endregion
