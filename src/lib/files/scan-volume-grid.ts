import { fieldRadius } from '../geometry/field-radius.ts';
import { magnification } from '../geometry/magnification.ts';
import type { ConeBeam, VolumeGrid } from '../types.ts';
import type { Scan } from './scan.ts';

/** Voxels along an edge that nobody asked for are no more than this. */
const largestUnasked = 256;

/**
 * The voxels that a cone-beam scan asks for: those of `reconstruction.size` and `pixelSize`. What is left out is chosen to cover the cylinder that
 * every view sees, with voxels as large as a cell's shadow at the axis and at most 256 an edge.
 * geometry: of the working frames (workingGeometry).   checkVolumeGrid says whether it fits into memory.
 */
export function scanVolumeGrid({ reconstruction }: Scan, geometry: ConeBeam): VolumeGrid {
  const times = magnification(geometry);
  const field = 2 * fieldRadius(geometry);
  const cell = geometry.pitch / times;
  const { size: asked, pixelSize, centre } = reconstruction ?? {};
  const size = asked ?? Math.min(largestUnasked, Math.max(8, Math.round(field / (pixelSize ?? cell))));
  const voxelSize = pixelSize ?? Number((field / size).toPrecision(6));
  const seen = geometry.rows * cell; // the height that the screen covers at the axis
  return { width: size, height: size, depth: Math.max(1, Math.min(size, Math.round(seen / voxelSize))), voxelSize, centre: [...(centre ?? [0, 0]), -geometry.rowOffset / times] as [number, number, number] };
}
