import { finish, type Steps } from '../engine/steps.ts';
import type { Volume } from '../types.ts';

export interface VolumeStatistics {
  /** Voxels that hold a number. */
  readonly count: number;
  readonly mean: number;
  /** Standard deviation over `count`. */
  readonly deviation: number;
  readonly least: number;
  readonly greatest: number;
  /** Voxels that are not a number. */
  readonly missing: number;
  /** ∫ of the values over the volume, 1/mm · mm³. */
  readonly total: number;
}

/** Mean, spread, ends and total of a volume; of no number, NaN. The same figures for a region: regionStatistics. */
export function volumeStatistics(volume: Volume): VolumeStatistics {
  return finish(volumeStatisticsSteps(volume));
}

/** The same as steps that can be followed and stopped. */
export function* volumeStatisticsSteps({ width, height, depth, voxelSize, data }: Volume): Steps<VolumeStatistics> {
  const layer = width * height;
  let count = 0, sum = 0, squares = 0, least = Infinity, greatest = -Infinity;
  for (let slice = 0; slice < depth; slice++) {
    // Each slice about its own mean, and the slices put together by Chan's rule: nothing is lost where the mean is far from 0.
    let own = 0, ownSum = 0, ownSquares = 0;
    for (let i = slice * layer; i < (slice + 1) * layer; i++) {
      const value = data[i];
      if (Number.isNaN(value)) continue;
      own++;
      ownSum += value;
      if (value < least) least = value;
      if (value > greatest) greatest = value;
    }
    const mean = ownSum / own;
    for (let i = slice * layer; i < (slice + 1) * layer; i++) if (!Number.isNaN(data[i])) ownSquares += (data[i] - mean) ** 2;
    if (own > 0) {
      squares += ownSquares + (count > 0 ? (mean - sum / count) ** 2 * ((count * own) / (count + own)) : 0);
      count += own;
      sum += ownSum;
    }
    yield (slice + 1) / depth;
  }
  const missing = layer * depth - count;
  if (count === 0) return { count, mean: NaN, deviation: NaN, least: NaN, greatest: NaN, missing, total: NaN };
  return { count, mean: sum / count, deviation: Math.sqrt(squares / count), least, greatest, missing, total: sum * voxelSize ** 3 };
}
