import { BadInput } from '../files/bad-input.ts';
import { checkMemory, grouped } from '../files/memory-limit.ts';
import type { Light } from './light.ts';

/** Averages squares of factor × factor pixels into one. Rows and columns left over at the bottom and right are dropped. */
export function binFrame(light: Light, factor: number): Light {
  if (factor === 1) return light;
  const width = Math.floor(light.width / factor), height = Math.floor(light.height / factor);
  if (!Number.isInteger(factor) || factor < 1 || width < 1 || height < 1) {
    throw new BadInput(`Binning by ${factor} does not suit a frame of ${light.width} × ${light.height} pixels: a whole number is needed, and at least one pixel must remain.`);
  }
  const sums = new Float64Array(width);
  const data = new Float32Array(width * height);
  for (let row = 0; row < height; row++) {
    sums.fill(0);
    for (let y = row * factor; y < (row + 1) * factor; y++) {
      for (let column = 0, from = y * light.width; column < width; column++) {
        for (let k = 0; k < factor; k++) sums[column] += light.data[from++];
      }
    }
    for (let column = 0; column < width; column++) data[row * width + column] = sums[column] / factor ** 2;
  }
  return { width, height, data };
}

/** What a scan takes at a working size. */
export interface WorkingSize {
  readonly columns: number;
  readonly rows: number;
  /** Of all views together, 32 bits a pixel. */
  readonly bytes: number;
}

/** The size of the working frames and the memory that they take. Throws BadInput above memoryLimit, with the figure. */
export function workingSize(width: number, height: number, views: number, bin: number): WorkingSize {
  const columns = Math.floor(width / bin), rows = Math.floor(height / bin);
  checkMemory(views * columns * rows, `${grouped(views)} frames of ${grouped(columns)} × ${grouped(rows)} pixels`);
  return { columns, rows, bytes: 4 * views * columns * rows };
}

/** The least binning with which the frames are at most `widest` pixels wide and all views together take at most `bytes`. */
export function suggestedBin(width: number, height: number, views: number, { widest = 512, bytes = 250e6 } = {}): number {
  let bin = 1;
  while (bin < Math.min(width, height) && (Math.floor(width / bin) > widest || 4 * views * Math.floor(width / bin) * Math.floor(height / bin) > bytes)) bin++;
  return bin;
}
