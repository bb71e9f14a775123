import { cellOfCone, detectorRow, placeOfCell } from '../project/point-in-cone.ts';
import type { ConeBeam, Projections, VolumeGrid } from '../types.ts';

/** Some slices of a volume, one above the other, and the rows of the detector that they need: a scan of its own. */
export interface Slab {
  /** Slices firstSlice … endSlice − 1 of the whole. */
  readonly firstSlice: number;
  readonly endSlice: number;
  /** Rows firstRow … endRow − 1 of the whole detector. */
  readonly firstRow: number;
  readonly endRow: number;
  readonly grid: VolumeGrid;
  readonly geometry: ConeBeam;
  /** What it is a part of. */
  readonly whole: { readonly grid: VolumeGrid; readonly geometry: ConeBeam };
}

/** The whole, as the slab that it is of itself. */
export function wholeSlab(geometry: ConeBeam, grid: VolumeGrid): Slab {
  return { firstSlice: 0, endSlice: grid.depth, firstRow: 0, endRow: geometry.rows, grid, geometry, whole: { grid, geometry } };
}

/**
 * What the slices firstSlice … endSlice − 1 of a volume need. Reconstructed from its rows alone (rowsOf), a slab is that part of the whole
 * volume, but for rounding, and to the last bit where fdk is told of the slab: frames are filtered row by row, and a row that no voxel of the slab falls on in any view is not missed.
 * A leaning detector's rows are made upright first, which takes some more of them.
 * Throws RangeError unless 0 ≤ firstSlice < endSlice ≤ grid.depth.
 */
export function slabOf(geometry: ConeBeam, grid: VolumeGrid, firstSlice: number, endSlice: number): Slab {
  const { depth, voxelSize, centre = [0, 0, 0] } = grid;
  if (!(firstSlice >= 0 && firstSlice < endSlice && endSlice <= depth)) throw new RangeError(`A slab of slices ${firstSlice} to ${endSlice} is not one of a volume with ${depth}.`);
  const middle = centre[2] + ((firstSlice + endSlice - depth) / 2) * voxelSize;
  const slab: VolumeGrid = { ...grid, depth: endSlice - firstSlice, centre: [centre[0], centre[1], middle] };
  const { firstRow, endRow } = rowsNeeded(geometry, slab);
  const rowOffset = geometry.rowOffset + ((geometry.rows - firstRow - endRow) / 2) * geometry.pitch;
  return { firstSlice, endSlice, firstRow, endRow, grid: slab, geometry: { ...geometry, rows: endRow - firstRow, rowOffset }, whole: { grid, geometry } };
}

/** The slab's rows of the frames, copied: of all views, or of views from … end − 1. room: where they are put, if they fit. */
export function rowsOf({ views, rows, columns, data }: Projections, { firstRow, endRow }: Slab, from = 0, end = views, room?: Float32Array): Projections {
  const length = (end - from) * (endRow - firstRow) * columns;
  const taken = room && room.length >= length ? room.subarray(0, length) : new Float32Array(length);
  for (let view = from; view < end; view++) {
    taken.set(data.subarray((view * rows + firstRow) * columns, (view * rows + endRow) * columns), (view - from) * (endRow - firstRow) * columns);
  }
  return { views: end - from, rows: endRow - firstRow, columns, data: taken };
}

/** Where a volume is cut into `count` slabs of as many slices, but for one: the first slice of each, and the depth. */
export function slabCuts(depth: number, count: number): number[] {
  return Array.from({ length: count + 1 }, (_, k) => Math.round((k * depth) / count));
}

/** The rows on which the grid's voxels fall in any view, one row to spare at both ends; at least one. */
function rowsNeeded(geometry: ConeBeam, { width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid): { firstRow: number; endRow: number } {
  const { rows, detectors, sourceToAxis, sourceToDetector } = geometry;
  const reach = Math.hypot(Math.abs(centre[0]) + ((width - 1) / 2) * voxelSize, Math.abs(centre[1]) + ((height - 1) / 2) * voxelSize);
  const nearest = sourceToAxis - reach;
  if (nearest <= voxelSize) return { firstRow: 0, endRow: rows }; // the source may pass through the grid
  const half = ((depth - 1) / 2) * voxelSize;
  const ends = [centre[2] - half, centre[2] + half].flatMap((z) => [nearest, sourceToAxis + reach].map((far) => (z * sourceToDetector) / far));
  const upright = { ...geometry, tilt: 0 };
  let low = detectorRow(upright, Math.min(...ends)), high = detectorRow(upright, Math.max(...ends));
  if (geometry.tilt !== 0) {
    for (const row of [low, high]) {
      for (const column of [0, detectors - 1]) {
        const { u, v } = placeOfCell(upright, column, row);
        const there = cellOfCone(geometry, u, v).row;
        low = Math.min(low, there - 2); // interpolated between four rows
        high = Math.max(high, there + 2);
      }
    }
  }
  const firstRow = Math.min(rows - 1, Math.max(0, Math.floor(low) - 1));
  return { firstRow, endRow: Math.max(firstRow + 1, Math.min(rows, Math.ceil(high) + 2)) };
}
