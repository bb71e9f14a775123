import type { Numbers } from './operator.ts';

/** An axis of a picture: its neighbours lie `stride` numbers apart, `count` of them in a line. */
export interface Axis {
  readonly axis: number;
  readonly stride: number;
  readonly count: number;
}

/**
 * D: the differences of each pixel to its next neighbour along x, y and, of a volume, z; 0 where there is none. ‖D‖² ≤ 4 an axis.
 * The functions below take one axis each.
 */
export function* axesOf(size: readonly number[]): Generator<Axis> {
  let stride = 1;
  for (const [axis, count] of size.entries()) {
    yield { axis, stride, count };
    stride *= count;
  }
}

/** out = D·picture along one axis. */
export function differencesAlong(picture: Numbers, stride: number, count: number, out: Numbers): void {
  const line = stride * count, inner = stride * (count - 1);
  for (let from = 0; from < picture.length; from += line) {
    for (let k = from; k < from + inner; k++) out[k] = picture[k + stride] - picture[k];
    out.fill(0, from + inner, from + line);
  }
}

/** out += factor · Dᵀ·slopes along one axis. */
export function addTransposed(slopes: Numbers, stride: number, count: number, factor: number, out: Numbers): void {
  const line = stride * count, inner = stride * (count - 1);
  for (let from = 0; from < out.length; from += line) {
    for (let k = from; k < from + inner; k++) {
      out[k] -= factor * slopes[k];
      out[k + stride] += factor * slopes[k];
    }
  }
}

/** sums += (D·picture)² along one axis. */
export function addSquaredDifferences(picture: Numbers, stride: number, count: number, sums: Numbers): void {
  const line = stride * count, inner = stride * (count - 1);
  for (let from = 0; from < picture.length; from += line) {
    for (let k = from; k < from + inner; k++) {
      const difference = picture[k + stride] - picture[k];
      sums[k] += difference * difference;
    }
  }
}
