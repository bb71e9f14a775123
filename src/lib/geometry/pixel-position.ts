import type { Grid } from '../types.ts';

/** Middle of a pixel, mm: columns go to +x, rows go down, to −y. Fractions and pixels off the grid are welcome. */
export function pixelPosition(grid: Grid, column: number, row: number): [x: number, y: number] {
  const [x, y] = grid.centre ?? [0, 0];
  return [x + (column - (grid.width - 1) / 2) * grid.pixelSize, y + ((grid.height - 1) / 2 - row) * grid.pixelSize];
}

/** The other way round: the column and row, with fractions, in which the point (x, y) lies. */
export function pixelAt(grid: Grid, x: number, y: number): [column: number, row: number] {
  const [middleX, middleY] = grid.centre ?? [0, 0];
  return [(x - middleX) / grid.pixelSize + (grid.width - 1) / 2, (grid.height - 1) / 2 - (y - middleY) / grid.pixelSize];
}
