import type { Volume } from '../types.ts';
import type { Point3 } from './point.ts';
import { voxelAt } from './voxel-position.ts';

/**
 * The volume at a point (mm), interpolated linearly in three directions; the outermost half voxel holds the value of its centre.
 * NaN outside the outermost voxels' faces.
 */
export function valueInVolume(volume: Volume, point: Point3): number {
  const [column, row, slice] = voxelAt(volume, point);
  return trilinear(volume, column, row, slice);
}

/** A point this far (in voxels) from the middle of a voxel is taken for its middle, and from the outer face for inside. */
const slack = 1e-9;

/** The same by column, row and slice, with fractions. At the middle of a voxel: that voxel's very number, whatever its neighbours hold. */
export function trilinear({ width, height, depth, data }: Volume, column: number, row: number, slice: number): number {
  const edge = 0.5 + slack;
  if (!(column >= -edge && row >= -edge && slice >= -edge && column <= width - 1 + edge && row <= height - 1 + edge && slice <= depth - 1 + edge)) return NaN;
  const c = column <= 0 ? 0 : column >= width - 1 ? width - 1 : column;
  const r = row <= 0 ? 0 : row >= height - 1 ? height - 1 : row;
  const s = slice <= 0 ? 0 : slice >= depth - 1 ? depth - 1 : slice;
  const c0 = Math.floor(c + slack), r0 = Math.floor(r + slack), s0 = Math.floor(s + slack);
  const u = c - c0, v = r - r0, w = s - s0;
  const across = u > slack ? 1 : 0, down = v > slack ? width : 0, up = w > slack ? width * height : 0;
  const i = (s0 * height + r0) * width + c0;
  let low = across ? data[i] + u * (data[i + 1] - data[i]) : data[i];
  if (down) low += v * ((across ? data[i + down] + u * (data[i + down + 1] - data[i + down]) : data[i + down]) - low);
  if (!up) return low;
  const j = i + up;
  let high = across ? data[j] + u * (data[j + 1] - data[j]) : data[j];
  if (down) high += v * ((across ? data[j + down] + u * (data[j + down + 1] - data[j + down]) : data[j + down]) - high);
  return low + w * (high - low);
}
