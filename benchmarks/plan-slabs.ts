import { coneBeam, slabCuts, slabOf } from '../src/lib/index.ts';

export interface BigScan {
  /** Cells and voxels along an edge: as many of the one as of the other. */
  readonly size: number;
  readonly views: number;
  /** Between the lowest and the highest ray, degrees. */
  readonly coneAngle: number;
}

/** What a volume in slabs takes. Bytes. */
export interface SlabPlan {
  readonly slabs: number;
  /** Of the detector, needed by the slab that needs most, and by all together in shares of the whole. */
  readonly mostRows: number;
  readonly readShare: number;
  /** Read from the frames by all slabs, and held by the largest: rows and slab. */
  readonly read: number;
  readonly held: number;
}

/**
 * A cone-beam volume that fills the field of view, cut into slabs: by slabOf, which says what slices reconstruct --slab reads. Half as far
 * from source to axis again is the detector.
 */
export function planSlabs({ size, views, coneAngle }: BigScan, slabs: number): SlabPlan {
  const sourceToDetector = size / 2 / Math.tan((coneAngle * Math.PI) / 360); // in cells
  const sourceToAxis = sourceToDetector / 1.5;
  const geometry = coneBeam({ views: 4, detectors: size, rows: size, pitch: 1, sourceToAxis, sourceToDetector }); // the rows do not depend on how many views there are
  const field = 2 * sourceToAxis * Math.sin(Math.atan((size - 1) / 2 / sourceToDetector));
  const grid = { width: size, height: size, depth: size, voxelSize: field / size };
  const cuts = slabCuts(size, slabs);
  const parts = cuts.slice(1).map((end, k) => slabOf(geometry, grid, cuts[k]!, end));
  const rows = parts.map(({ firstRow, endRow }) => endRow - firstRow);
  const row = 4 * views * size, slice = 4 * size * size;
  return {
    slabs, mostRows: Math.max(...rows), readShare: rows.reduce((sum, count) => sum + count, 0) / size,
    read: rows.reduce((sum, count) => sum + count * row, 0),
    held: Math.max(...parts.map(({ firstSlice, endSlice }, k) => rows[k]! * row + (endSlice - firstSlice) * slice)),
  };
}

export const framesBytes = ({ size, views }: BigScan) => 4 * views * size ** 2;
export const volumeBytes = ({ size }: BigScan) => 4 * size ** 3;
export const updates = ({ size, views }: BigScan) => size ** 3 * views;
