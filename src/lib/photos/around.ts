import type { Light } from './light.ts';
import { medianOfFew } from './median.ts';

/** The sixteen outer pixels of a square of 5 × 5, as steps of column and row. */
const steps: readonly (readonly [number, number])[] = Array.from({ length: 25 }, (_, i) => [(i % 5) - 2, Math.floor(i / 5) - 2] as const).filter(([x, y]) => Math.max(Math.abs(x), Math.abs(y)) === 2);

/**
 * The median of the sixteen pixels two away, which a spot of up to 3 × 3 pixels does not touch; fewer at the edge of the picture.
 * The returned function reads `light` as it is when called.
 */
export function medianAround({ width, height, data }: Light): (column: number, row: number) => number {
  const values = new Float64Array(16);
  const offsets = steps.map(([x, y]) => y * width + x);
  return (column, row) => {
    const at = row * width + column;
    if (column >= 2 && row >= 2 && column < width - 2 && row < height - 2) {
      for (let i = 0; i < 16; i++) values[i] = data[at + offsets[i]];
      return medianOfFew(values, 16);
    }
    let count = 0;
    for (const [x, y] of steps) {
      if (column + x >= 0 && column + x < width && row + y >= 0 && row + y < height) values[count++] = data[at + y * width + x];
    }
    return count === 0 ? data[at] : medianOfFew(values, count);
  };
}
