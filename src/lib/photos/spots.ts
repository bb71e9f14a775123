import { medianAround } from './around.ts';
import { mendPixels } from './bad-pixels.ts';
import type { Light } from './light.ts';
import { noiseByLevel, type Usual } from './noise-by-level.ts';
import { storedStep } from './stored-step.ts';

/** What is there in the next view too has at least this share of its height there. */
const sameHeight = 0.6;

export interface SpotOptions {
  /** So many times the usual noise above its surroundings; 6 when left out. */
  readonly threshold?: number;
  /** Frames of the neighbouring views, of the same size: what is there too belongs to the object. */
  readonly neighbours?: readonly Light[];
  /** How far a part of the object may move along a row from one view to the next, pixels; a thirtieth of the width when left out. */
  readonly reach?: number;
  /** The camera's noise, where it is known from another frame; measured in this one when left out. */
  readonly noise?: Usual;
}

/**
 * The pixels of a frame that a single photon lit when it hit the camera itself. Such a spot is the brightest of its 3 × 3 pixels,
 * brighter than the median of the sixteen two away by `threshold` times the noise at that brightness, and stands alone: the pixels joined to it
 * that are at least half as high stay within 5 × 5 (a corner or a slit of the object goes on). Where neighbouring views are given,
 * nothing of 0.6 of its height may be nearby in all of them: a small hole is a bright spot too, and is there in the next view, a
 * little to the side.
 * Result: indices, with those next to a spot that it has lit as well.   Common practice, no source.
 */
export function findSpots(light: Light, options: SpotOptions = {}): number[] {
  return spotsAmong(light, options, undefined);
}

/**
 * Finds the spots and puts the median of the good pixels around in their place, then once more beside them: a track longer than three
 * pixels shows its end when its middle is gone. Changes `light`; gives how many pixels it changed.
 */
export function removeSpots(light: Light, options: SpotOptions = {}): number {
  const known = { ...options, noise: options.noise ?? noiseByLevel(light) };
  const first = spotsAmong(light, known, undefined);
  mendPixels(light, first);
  const second = spotsAmong(light, known, first.flatMap((i) => [-2, -1, 0, 1, 2].flatMap((y) => [-2, -1, 0, 1, 2].map((x) => i + y * light.width + x))));
  mendPixels(light, second);
  return new Set([...first, ...second]).size;
}

/** Of all pixels, or of some. */
function spotsAmong(light: Light, { threshold = 6, neighbours = [], reach, noise = noiseByLevel(light) }: SpotOptions, some: readonly number[] | undefined): number[] {
  const { width, height, data } = light;
  const far = reach ?? Math.max(2, Math.round(width / 30));
  const around = medianAround(light);
  const others = neighbours.map((other) => ({ other, around: medianAround(other) }));
  const spots = new Set<number>();
  for (let k = 0; k < (some ?? data).length; k++) {
    const i = some ? some[k] : k;
    if (i < 0 || i >= data.length) continue;
    const row = Math.floor(i / width), column = i - row * width;
    if (!isBrightest(light, i, column, row)) continue;
    const median = around(column, row);
    const above = data[i] - median;
    const usual = noise.deviation(median) + storedStep(median) / 2;
    if (above <= threshold * usual || !standsAlone(light, column, row, median + above / 2)) continue;
    if (others.length > 0 && others.every(({ other, around: near }) => hasLike(other, near, column, row, far, sameHeight * above))) continue;
    // The picture's compression spreads a spot over its neighbours: those that stand out a little go with it.
    for (let y = Math.max(0, row - 1); y <= Math.min(height - 1, row + 1); y++) {
      for (let x = Math.max(0, column - 1); x <= Math.min(width - 1, column + 1); x++) {
        if (data[y * width + x] - median > 2 * usual) spots.add(y * width + x);
      }
    }
  }
  return [...spots];
}

/** Of its 3 × 3. */
function isBrightest({ width, height, data }: Light, i: number, column: number, row: number): boolean {
  const value = data[i];
  const left = column > 0, right = column < width - 1, above = row > 0, below = row < height - 1;
  return !(
    (left && value < data[i - 1]) || (right && value < data[i + 1]) || (above && value < data[i - width]) || (below && value < data[i + width]) ||
    (left && above && value < data[i - width - 1]) || (right && above && value < data[i - width + 1]) || (left && below && value < data[i + width - 1]) || (right && below && value < data[i + width + 1])
  );
}

const edge = 7;
const place = new Uint8Array(edge * edge);
const middle = (edge * edge - 1) / 2;
const eight = [-edge - 1, -edge, -edge + 1, -1, 1, edge - 1, edge, edge + 1];

/** Whether the pixels above `level` that are joined to this one, at a side or a corner, stay within its 5 × 5. */
function standsAlone({ width, height, data }: Light, column: number, row: number, level: number): boolean {
  // The square of 7 × 7 around it: 1 where it is bright, 2 where that is joined to the middle.
  for (let k = 0; k < place.length; k++) {
    const x = column + (k % edge) - 3, y = row + Math.floor(k / edge) - 3;
    place[k] = x >= 0 && x < width && y >= 0 && y < height && data[y * width + x] > level ? 1 : 0;
  }
  place[middle] = 2;
  for (let grown = true; grown; ) {
    grown = false;
    for (let k = 0; k < place.length; k++) {
      if (place[k] !== 2) continue;
      const x = k % edge, y = Math.floor(k / edge);
      if (x === 0 || x === edge - 1 || y === 0 || y === edge - 1) return false;
      for (const step of eight) {
        if (place[k + step] !== 1) continue;
        place[k + step] = 2;
        grown = true;
      }
    }
  }
  return true;
}

/** Is there something in this frame, within a row and `far` columns of the place, that stands out as much? */
function hasLike({ width, height, data }: Light, around: (column: number, row: number) => number, column: number, row: number, far: number, excess: number): boolean {
  for (let y = Math.max(0, row - 1); y <= Math.min(height - 1, row + 1); y++) {
    for (let x = Math.max(0, column - far); x <= Math.min(width - 1, column + far); x++) {
      if (data[y * width + x] - around(x, y) >= excess) return true;
    }
  }
  return false;
}
