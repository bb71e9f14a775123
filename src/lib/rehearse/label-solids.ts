import { stretchTracer } from '../phantom/chord.ts';
import type { Solid } from '../phantom/solids.ts';
import type { VolumeGrid } from '../types.ts';

/** Which solid has the middle of each voxel, −1 for none: labels[(z · height + row) · width + column]. */
export function labelSolids(solids: readonly Solid[], { width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid): Int16Array {
  const labels = new Int16Array(width * height * depth).fill(-1);
  const trace = stretchTracer(solids);
  const first = centre[0] - ((width - 1) / 2) * voxelSize;
  const ray = Float64Array.of(first - voxelSize, 0, 0, 1, 0, 0);
  for (let z = 0; z < depth; z++) {
    for (let row = 0; row < height; row++) {
      ray[1] = centre[1] + ((height - 1) / 2 - row) * voxelSize;
      ray[2] = centre[2] + (z - (depth - 1) / 2) * voxelSize;
      const at = (z * height + row) * width;
      trace(ray, (solid, from, to) => {
        const end = Math.min(width - 1, Math.floor(to / voxelSize - 1));
        for (let x = Math.max(0, Math.ceil(from / voxelSize - 1)); x <= end; x++) labels[at + x] = solid;
      });
    }
  }
  return labels;
}
