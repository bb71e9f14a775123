import { brightestAround, medianAround } from './around.ts';
import { mendPixels } from './bad-pixels.ts';
import type { Light } from './light.ts';
import { noiseByLevel } from './noise-by-level.ts';
import { storedStep } from './stored-step.ts';

export interface SpotOptions {
  /** So many times the usual noise above its surroundings; 6 when left out. */
  readonly threshold?: number;
  /** Frames of the neighbouring views, of the same size: what is there too belongs to the object. */
  readonly neighbours?: readonly Light[];
  /** How far a part of the object may move along a row from one view to the next, pixels; a thirtieth of the width when left out. */
  readonly reach?: number;
}

/**
 * The pixels of a frame that a single photon lit when it hit the camera itself. Of the sixteen pixels two away, such a spot, up to 3 × 3
 * pixels large, is brighter than the median by `threshold` times the noise at that brightness, and than the brightest by half of that (a corner
 * or a slit of the object goes on to one side). Where neighbouring views are given, nothing of at least half its height may be
 * nearby in all of them: a small hole is a bright spot too, and is there in the next view, a little to the side.
 * Result: indices, with those next to a spot that it has lit as well.   Common practice, no source.
 */
export function findSpots(light: Light, { threshold = 6, neighbours = [], reach }: SpotOptions = {}): number[] {
  const { width, height, data } = light;
  const far = reach ?? Math.max(2, Math.round(width / 30));
  const noise = noiseByLevel(light);
  const around = medianAround(light);
  const others = neighbours.map((other) => ({ other, around: medianAround(other) }));
  const spots = new Set<number>();

  for (let row = 0, i = 0; row < height; row++) {
    for (let column = 0; column < width; column++, i++) {
      const value = data[i];
      if (column >= 2 && row >= 2 && column < width - 2 && row < height - 2) {
        // Quickly passed over: no brighter than the mean of four of the sixteen.
        if (4 * value <= data[i - 2] + data[i + 2] + data[i - 2 * width] + data[i + 2 * width]) continue;
      }
      const median = around(column, row);
      const above = value - median;
      const usual = noise.deviation(median) + storedStep(median) / 2;
      if (above <= threshold * usual || value - brightestAround(light, column, row) <= (threshold / 2) * usual) continue;
      if (others.length > 0 && others.every(({ other, around: near }) => hasLike(other, near, column, row, far, above / 2))) continue;
      // The picture's compression spreads a spot over its neighbours: those that stand out a little go with it.
      for (let y = Math.max(0, row - 1); y <= Math.min(height - 1, row + 1); y++) {
        for (let x = Math.max(0, column - 1); x <= Math.min(width - 1, column + 1); x++) {
          if (data[y * width + x] - median > 2 * usual) spots.add(y * width + x);
        }
      }
    }
  }
  return [...spots];
}

/** Finds the spots and puts the median of the good pixels around in their place. Changes `light`; gives how many pixels it changed. */
export function removeSpots(light: Light, options: SpotOptions = {}): number {
  const spots = findSpots(light, options);
  mendPixels(light, spots);
  return spots.length;
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
