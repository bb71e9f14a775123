import type { VolumeGrid } from '../types.ts';
import type { Point3 } from './point.ts';

/** Middle of a voxel, mm: columns go to +x, rows to −y, slices to +z. Fractions and voxels off the grid are welcome. */
export function voxelPosition(grid: VolumeGrid, column: number, row: number, slice: number): Point3 {
  const [x, y, z] = grid.centre ?? [0, 0, 0];
  return [
    x + (column - (grid.width - 1) / 2) * grid.voxelSize,
    y + ((grid.height - 1) / 2 - row) * grid.voxelSize,
    z + (slice - (grid.depth - 1) / 2) * grid.voxelSize,
  ];
}

/** The other way round: the column, row and slice, with fractions, in which a point lies. */
export function voxelAt(grid: VolumeGrid, [x, y, z]: Point3): [column: number, row: number, slice: number] {
  const [middleX, middleY, middleZ] = grid.centre ?? [0, 0, 0];
  return [
    (x - middleX) / grid.voxelSize + (grid.width - 1) / 2,
    (grid.height - 1) / 2 - (y - middleY) / grid.voxelSize,
    (z - middleZ) / grid.voxelSize + (grid.depth - 1) / 2,
  ];
}
