import { BadInput } from '../files/bad-input.ts';
import { grouped, inWords, memoryLimit } from '../files/memory-limit.ts';
import type { VolumeGrid } from '../types.ts';

/** What a volume of this grid takes, bytes: 4 a voxel. */
export function volumeMemory({ width, height, depth }: Pick<VolumeGrid, 'width' | 'height' | 'depth'>): number {
  return 4 * width * height * depth;
}

/**
 * The finest grid of cubic voxels that covers what this one does and takes at most so many bytes; the grid itself where it fits.
 * Where that is more than half the size, its voxels are at most a 64th larger than they need be: sizes are whole numbers.
 * Throws RangeError unless bytes is at least 4.
 */
export function fitGrid(grid: VolumeGrid, bytes: number): VolumeGrid {
  if (!(bytes >= 4)) throw new RangeError(`A volume cannot fit into ${bytes} bytes; one voxel takes 4.`);
  if (volumeMemory(grid) <= bytes) return grid;
  const coarser = (factor: number): VolumeGrid => {
    const size = (length: number) => Math.max(1, Math.ceil(length / factor - 1e-9));
    return { ...grid, width: size(grid.width), height: size(grid.height), depth: size(grid.depth), voxelSize: grid.voxelSize * factor };
  };
  let enough = Math.max(grid.width, grid.height, grid.depth), tooFine = 1;
  while (enough - tooFine > 1e-4 * tooFine) {
    const factor = (enough + tooFine) / 2;
    if (volumeMemory(coarser(factor)) <= bytes) enough = factor;
    else tooFine = factor;
  }
  return coarser(enough);
}

/**
 * Refuses, before anything is allocated, a volume that cannot be or that would take more than `bytes` (memoryLimit when left out).
 * Throws BadInput with the memory it would take and the size that would fit.
 */
export function checkVolumeGrid(grid: VolumeGrid, bytes = memoryLimit): void {
  const { width, height, depth, voxelSize } = grid;
  if (![width, height, depth].every((size) => Number.isInteger(size) && size >= 1)) {
    throw new BadInput(`The volume is to have ${width} × ${height} × ${depth} voxels; all three have to be whole numbers from 1.`);
  }
  if (!(voxelSize > 0 && Number.isFinite(voxelSize))) throw new BadInput(`The voxel size is ${voxelSize} mm; it has to be above 0.`);
  if (volumeMemory(grid) <= bytes) return;
  const fits = fitGrid(grid, bytes);
  throw new BadInput(
    `A volume of ${inGrouped(grid)} voxels of ${inMm(voxelSize)} mm would take ${inWords(volumeMemory(grid))} of memory and at most ${inWords(bytes)} are allowed for: `
    + `${inGrouped(fits)} voxels of ${inMm(fits.voxelSize)} mm would fit (${inWords(volumeMemory(fits))}), or a smaller region.`,
  );
}

const inGrouped = ({ width, height, depth }: VolumeGrid) => [width, height, depth].map(grouped).join(' × ');
const inMm = (size: number) => String(Number(size.toPrecision(3)));
