import type { Grid } from '../types.ts';

/** 1 for every pixel whose centre lies within `radius` of (x, y), mm, else 0; row-major as the grid. */
export function discMask(grid: Grid, x: number, y: number, radius: number): Uint8Array {
  const { width, height, pixelSize, centre = [0, 0] } = grid;
  const mask = new Uint8Array(width * height);
  for (let row = 0; row < height; row++) {
    const dy = centre[1] + ((height - 1) / 2 - row) * pixelSize - y;
    for (let column = 0; column < width; column++) {
      const dx = centre[0] + (column - (width - 1) / 2) * pixelSize - x;
      if (dx * dx + dy * dy <= radius * radius) mask[row * width + column] = 1;
    }
  }
  return mask;
}
