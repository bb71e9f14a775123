/** Two slices side by side: the second brought onto the pixels of the first, and how far apart they are. */
import { correlation, interpolated, linearFit, pixelPosition, psnr, rmse, ssim, turned, type Grid, type Image, type Table2D } from '../../lib/index.ts';

/** How a picture that the reader loads is to be laid beside a slice. */
export interface Placement {
  /** Edge of one of its pixels, mm; its middle lies on the slice's middle. */
  readonly pixelSize: number;
  /** Quarter turns to the left, then mirrored left to right. */
  readonly turns: number;
  readonly flipped: boolean;
  /** Attenuation = slope · grey + intercept, 1/mm. */
  readonly slope: number;
  readonly intercept: number;
}

export interface Comparison {
  /** Root mean squared difference, 1/mm. */
  readonly rmse: number;
  /** dB, and the range it is reckoned from: greatest less least of the second. */
  readonly psnr: number;
  readonly range: number;
  readonly ssim: number;
  readonly correlation: number;
}

/** The picture turned and mirrored, still in its own greys. */
export function oriented(table: Table2D, turns: number, flipped: boolean): Table2D {
  let result = table;
  for (let k = 0; k < ((turns % 4) + 4) % 4; k++) result = quarterLeft(result);
  return flipped ? mirroredTable(result) : result;
}

/** The picture as a slice in 1/mm on its own pixels. */
export function placed(table: Table2D, placement: Placement, centre: readonly [number, number] = [0, 0]): Image {
  const { columns, rows, data } = oriented(table, placement.turns, placement.flipped);
  return {
    width: columns, height: rows, pixelSize: placement.pixelSize, centre,
    data: Float32Array.from(data, (grey) => placement.slope * grey + placement.intercept),
  };
}

/** The same pixels in the same places, to a thousandth of a pixel? */
export function sameGrid(a: Grid, b: Grid): boolean {
  const slack = a.pixelSize / 1000;
  const [ax, ay] = a.centre ?? [0, 0], [bx, by] = b.centre ?? [0, 0];
  return a.width === b.width && a.height === b.height && Math.abs(a.pixelSize - b.pixelSize) * a.width < slack
    && Math.abs(ax - bx) < slack && Math.abs(ay - by) < slack;
}

/** The image read between its pixels (linearly) at the pixel centres of `grid`; 0 where it does not reach. */
export function resampled(image: Image, grid: Grid): Image {
  if (sameGrid(image, grid)) return image;
  const data = new Float32Array(grid.width * grid.height);
  for (let row = 0; row < grid.height; row++) {
    for (let column = 0; column < grid.width; column++) {
      const [x, y] = pixelPosition(grid, column, row);
      data[row * grid.width + column] = interpolated(image, x, y) || 0; // NaN outside the image
    }
  }
  return { ...grid, data };
}

/** `second` is what `first` is measured against; both on the same pixels. */
export function compared(first: Image, second: Image): Comparison {
  let least = Infinity, most = -Infinity;
  for (const value of second.data) { if (value < least) least = value; if (value > most) most = value; }
  const range = most - least;
  return {
    rmse: rmse(first, second), range,
    psnr: range > 0 ? psnr(first, second, range) : NaN,
    ssim: range > 0 && Math.min(first.width, first.height) >= 11 ? ssim(first, second, range, { kind: 'wang2004' }) : NaN,
    correlation: correlation(first, second),
  };
}

export function differenceOf(first: Image, second: Image): Image {
  return { ...first, data: first.data.map((value, k) => value - second.data[k]) };
}

/** The slope and intercept that bring the picture's greys nearest to the slice. */
export function fitted(table: Table2D, placement: Placement, slice: Image): { slope: number; intercept: number; correlation: number } {
  return linearFit(resampled(placed(table, { ...placement, slope: 1, intercept: 0 }, slice.centre), slice), slice);
}

/** One way to lay a picture, and how closely its greys then follow the slice. */
export interface Laid {
  readonly turns: number;
  readonly flipped: boolean;
  /** Size of the correlation: a picture in which dense parts are dark follows as closely as one in which they are bright. */
  readonly closeness: number;
}

/** Of the eight ways to lay a picture, the present one and the one that follows the slice most closely. */
export function bestLaid(table: Table2D, placement: Placement, slice: Image): { now: Laid; best: Laid } {
  const laid = (turns: number, flipped: boolean): Laid => {
    const image = placed(table, { ...placement, turns, flipped, slope: 1, intercept: 0 }, slice.centre);
    return { turns, flipped, closeness: Math.abs(correlation(resampled(image, slice), slice)) };
  };
  const now = laid(placement.turns, placement.flipped);
  let best = now;
  for (const flipped of [false, true]) {
    for (let turns = 0; turns < 4; turns++) {
      const found = laid(turns, flipped);
      if (found.closeness > best.closeness + 1e-9) best = found;
    }
  }
  return { now, best };
}

/** A quarter turn to the left: rows and columns exchanged, then upside down. */
function quarterLeft(table: Table2D): Table2D {
  const { rows, columns, data } = turned(table);
  const result = new Float32Array(data.length);
  for (let row = 0; row < rows; row++) result.set(data.subarray(row * columns, (row + 1) * columns), (rows - 1 - row) * columns);
  return { rows, columns, data: result };
}

function mirroredTable({ rows, columns, data }: Table2D): Table2D {
  const result = new Float32Array(data.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) result[row * columns + columns - 1 - column] = data[row * columns + column];
  }
  return { rows, columns, data: result };
}
