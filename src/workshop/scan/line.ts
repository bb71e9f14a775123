/** The line along which values are read. */
import type { Grid } from '../../lib/index.ts';
import type { Line } from './model.ts';

type Point = readonly [x: number, y: number];

/** From the left edge of the picture to the right one, through its middle. */
export function usualLine({ width, pixelSize, centre = [0, 0] }: Grid): Line {
  const half = (width * pixelSize) / 2;
  return { from: [centre[0] - half, centre[1]], to: [centre[0] + half, centre[1]] };
}

/** Which end of the line a press at `point` takes hold of, if it comes within `reach`. */
export function endAt(line: Line, [x, y]: Point, reach: number): 'from' | 'to' | undefined {
  const far = (end: Point) => Math.hypot(end[0] - x, end[1] - y);
  const nearer = far(line.from) < far(line.to) ? 'from' : 'to';
  return far(line[nearer]) <= reach ? nearer : undefined;
}

/** A tenth of a pixel is as fine as a line is placed. */
export function rounded([x, y]: Point, pixelSize: number): Point {
  const digits = Math.max(0, Math.ceil(1 - Math.log10(pixelSize)));
  return [Number(x.toFixed(digits)), Number(y.toFixed(digits))];
}
