/** A volume as a graphics card takes it: 16-bit floats, which every WebGL 2 can read between voxels. */
import type { Volume } from '../../lib/index.ts';

export interface Texture {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  /** Halves of values / unit: 0…1 for values from 0 to the greatest. Order as the volume's. */
  readonly data: Uint16Array;
  /** 1/mm */
  readonly unit: number;
  /** Voxels of the volume along an edge of one of these. */
  readonly every: number;
}

/** Voxels whose mean takes the place of each cube so that no edge has more than `mostAlong` and all together not more than `most`. */
export function coarseness({ width, height, depth }: Pick<Volume, 'width' | 'height' | 'depth'>, mostAlong: number, most: number): number {
  let every = 1;
  const size = (length: number) => Math.ceil(length / every);
  while (Math.max(size(width), size(height), size(depth)) > mostAlong || size(width) * size(height) * size(depth) > most) every++;
  return every;
}

/** NaN becomes 0. At the far faces the last cubes hold fewer voxels. */
export function textureOf({ width, height, depth, data }: Volume, every: number): Texture {
  let greatest = 0;
  for (let i = 0; i < data.length; i++) if (data[i] > greatest && data[i] < Infinity) greatest = data[i];
  const unit = greatest || 1;
  const size = (length: number) => Math.ceil(length / every);
  const [w, h, d] = [size(width), size(height), size(depth)];
  const halves = new Uint16Array(w * h * d);
  for (let z = 0, at = 0; z < d; z++) {
    for (let row = 0; row < h; row++) {
      for (let column = 0; column < w; column++, at++) {
        const value = every === 1 ? data[at] : meanOf(data, width, height, depth, every, column, row, z);
        halves[at] = half((value || 0) / unit);
      }
    }
  }
  return { width: w, height: h, depth: d, data: halves, unit, every };
}

function meanOf(data: Float32Array, width: number, height: number, depth: number, every: number, column: number, row: number, slice: number): number {
  let sum = 0, count = 0;
  for (let z = slice * every; z < Math.min(depth, (slice + 1) * every); z++) {
    for (let r = row * every; r < Math.min(height, (row + 1) * every); r++) {
      for (let c = column * every; c < Math.min(width, (column + 1) * every); c++) {
        const value = data[(z * height + r) * width + c];
        if (Number.isNaN(value)) continue;
        sum += value;
        count++;
      }
    }
  }
  return count > 0 ? sum / count : 0;
}

const single = new Float32Array(1);
const bits = new Uint32Array(single.buffer);

/** The bits of the 16-bit float nearest to a number (IEEE 754 binary16); beyond ±65504 that end of its range. */
export function half(value: number): number {
  single[0] = value;
  const sign = (bits[0] >>> 16) & 0x8000;
  const size = bits[0] & 0x7fffffff;
  if (size > 0x7f800000) return 0x7e00; // NaN
  if (size >= 0x477ff000) return sign | 0x7bff;
  if (size < 0x38800000) return sign | Math.round(Math.abs(single[0]) * 2 ** 24); // below 2⁻¹⁴: multiples of 2⁻²⁴
  const even = (size >>> 13) & 1;
  return sign | ((size - 0x38000000 + 0xfff + even) >>> 13);
}
