import { capsule, voxelizeSolidsSteps, type Point3, type Solid, type Steps, type Volume, type VolumeGrid } from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';

/** keV: one energy, so that the voxels of each part have the value of its material in the table. */
export const energy = 60;
/** The middle of the capsule's box, mm. */
export const middle: Point3 = [1.5, -1, 0];
/** Edges of the box that holds it, mm. */
const box = { width: 58, height: 58, depth: 74 };
export const solids: readonly Solid[] = capsule();

/** Voxels of this edge (mm) that hold the whole capsule and a little air. */
export function gridOf(voxelSize: number): VolumeGrid {
  const count = (length: number) => Math.ceil(length / voxelSize);
  return { width: count(box.width), height: count(box.height), depth: count(box.depth), voxelSize, centre: middle };
}

/** The capsule in voxels, 1/mm at `energy`: made once a size, exact but for the mean within each voxel. */
export function* capsuleVolume(voxelSize: number): Steps<Volume> {
  const kept = remember('capsule-volume', `${voxelSize}`, () => ({ volume: undefined as Volume | undefined }), 4);
  kept.volume ??= yield* voxelizeSolidsSteps(solids, gridOf(voxelSize), { samples: 2, keV: energy });
  return remember('capsule-volume', `${voxelSize}`, () => kept, 4).volume!;
}
