import type { VolumeGrid } from '../../types.ts';

/** How a volume lies in the kernels' memory, in columns: voxel (z, row, column) is number (row · wide + column) · tall + z. */
export interface ColumnLayout {
  readonly wide: number;
  readonly tall: number;
  /** Numbers in all. */
  readonly length: number;
}

/**
 * tall is a multiple of 4, for the kernels. Neither it nor a row of columns is a multiple of a high power of two: voxels one above the other in a slice
 * would then all lie in the same few lines of the caches and drive each other out, at three times the time.
 */
export function columnLayout({ width, height, depth }: VolumeGrid): ColumnLayout {
  const fours = Math.ceil(depth / 4) * 4;
  const wide = width | 1, tall = fours % 32 === 0 ? fours + 4 : fours;
  return { wide, tall, length: wide * height * tall };
}
