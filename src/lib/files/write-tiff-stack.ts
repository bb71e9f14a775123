import type { Volume, VolumeGrid } from '../types.ts';
import { voxelPosition } from '../volume/voxel-position.ts';
import { quantizationOf, quantized } from './quantize.ts';
import { writeTiff } from './write-tiff.ts';

/**
 * Writes a volume as a TIFF of one page a slice, the lowest first; row 0 of a page is its top row, +y up. Pixels are said to be as large
 * as voxels (resolution tags, per cm).
 * 'float32': the values, 1/mm.   'uint16': value = offset + scale · sample, over the range of the volume; scale and offset stand in the
 * description of the first page, one "name=value" a line, with the voxel's size and the place of the first voxel, mm.
 * Throws RangeError: a file of more than 4 GB.
 */
export function writeTiffStack({ data, ...grid }: Volume, sample: 'float32' | 'uint16' = 'float32'): Uint8Array {
  const { width, height, depth, voxelSize } = grid;
  const quantization = sample === 'uint16' ? quantizationOf(data) : { scale: 1, offset: 0 };
  const samples = sample === 'uint16' ? quantized(data, quantization) : data;
  const pages = Array.from({ length: depth }, (_, slice) => samples.subarray(slice * width * height, (slice + 1) * width * height));
  return writeTiff(width, height, pages, sample, stackDescription(grid, quantization), voxelSize);
}

/** What the first page of such a file says about the whole. */
export function stackDescription(grid: VolumeGrid, { scale, offset } = { scale: 1, offset: 0 }): string {
  return [
    'attenuation in 1/mm = offset + scale * sample',
    `scale=${scale}`,
    `offset=${offset}`,
    `voxel=${grid.voxelSize} mm`,
    `slices=${grid.depth}, from the lowest`,
    `first voxel=${voxelPosition(grid, 0, 0, 0).join(' ')} mm (x y z; rows run to -y)`,
  ].join('\n');
}
