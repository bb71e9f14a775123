import { finish, type Steps } from '../engine/steps.ts';
import type { Volume, VolumeGrid } from '../types.ts';
import { attenuationOf } from './attenuation-of.ts';
import { stretchTracer } from './chord.ts';
import type { Solid } from './solids.ts';

export interface VoxelizeOptions {
  /** Lines along each of the two edges of a voxel that they cross square; 4 when left out. */
  readonly samples?: number;
  /** keV; needed where a solid is of a material. */
  readonly keV?: number;
}

/**
 * Solids on a grid of voxels, 1/mm: each voxel is the mean of samples² lines through it along x, and exact along each of them.
 * Where solids overlap the later counts. In a voxel that a face cuts, half a line's share, 1/(2·samples) of the step, is the most that can
 * be wrong, at a face along x; a face square to x is exact. Throws RangeError: samples not a whole number from 1, an energy missing or outside the table.
 */
export function voxelizeSolids(solids: readonly Solid[], grid: VolumeGrid, options: VoxelizeOptions = {}): Volume {
  return finish(voxelizeSolidsSteps(solids, grid, options));
}

export function* voxelizeSolidsSteps(solids: readonly Solid[], grid: VolumeGrid, { samples = 4, keV }: VoxelizeOptions = {}): Steps<Volume> {
  if (!Number.isInteger(samples) || samples < 1) throw new RangeError(`samples is ${samples} and should be a whole number from 1.`);
  const { width, height, depth, voxelSize, centre } = grid;
  const [x, y, z] = centre ?? [0, 0, 0];
  const attenuations = solids.map((solid) => attenuationOf(solid, keV));
  const data = new Float32Array(width * height * depth);
  const line = new Float64Array(width);
  const trace = stretchTracer(solids);
  const ray = Float64Array.of(x - (width * voxelSize) / 2, 0, 0, 1, 0, 0);
  const share = 1 / (voxelSize * samples * samples);
  for (let slice = 0; slice < depth; slice++) {
    for (let row = 0; row < height; row++) {
      line.fill(0);
      for (let i = 0; i < samples; i++) {
        for (let j = 0; j < samples; j++) {
          const offset = (k: number) => (k + 0.5) / samples - 0.5;
          ray[1] = y + ((height - 1) / 2 - row + offset(i)) * voxelSize;
          ray[2] = z + (slice - (depth - 1) / 2 + offset(j)) * voxelSize;
          trace(ray, (solid, from, to) => addStretch(line, voxelSize, from, to, attenuations[solid] * share));
        }
      }
      data.set(line, (slice * height + row) * width);
    }
    yield (slice + 1) / depth;
  }
  return { width, height, depth, voxelSize, ...(centre && { centre }), data };
}

/** Adds value · the length of the stretch in each cell of the line that it touches. */
function addStretch(line: Float64Array, cell: number, from: number, to: number, value: number): void {
  if (value === 0) return;
  const start = Math.max(0, from);
  const end = Math.min(line.length * cell, to);
  for (let k = Math.floor(start / cell); k < line.length && k * cell < end; k++) {
    line[k] += value * Math.max(0, Math.min(end, (k + 1) * cell) - Math.max(start, k * cell));
  }
}
