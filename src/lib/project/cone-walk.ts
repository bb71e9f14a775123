import { writeConeRay } from '../geometry/cone-ray.ts';
import type { ConeBeam, VolumeGrid } from '../types.ts';

/**
 * Joseph's walk along one ray through a volume: one step for each plane of voxels that lies most nearly square to the ray; at each it
 * passes between four neighbouring voxel middles and takes their bilinear interpolant. Source: Joseph, IEEE Trans. Med. Imaging
 * MI-1:192 (1982), for slices, citation from memory; in three dimensions common practice, no source.
 *
 *   step k, first ≤ k < end:  one = oneAt + k·oneSlope,  other = otherAt + k·otherSlope   (voxels along the two other axes)
 *   the four voxels: k·along + ⌊one⌋·oneStride + ⌊other⌋·otherStride and its neighbours one stride further, 0 outside the volume
 * Of these, insideFirst ≤ k < insideEnd have all four inside.
 */
export interface ConeWalk {
  first: number;
  end: number;
  insideFirst: number;
  insideEnd: number;
  along: number;
  oneAt: number;
  oneSlope: number;
  oneStride: number;
  oneCount: number;
  otherAt: number;
  otherSlope: number;
  otherStride: number;
  otherCount: number;
  /** Length of a step, mm. */
  step: number;
  /** The axis that it steps along; `one` is then the first, and `other` the second, of the two that are left, x, y, z in order. */
  axis: 'x' | 'y' | 'z';
}

/** A walk to be written to, so that the loop over the rays makes no objects. */
export function emptyConeWalk(): ConeWalk {
  return { first: 0, end: 0, insideFirst: 0, insideEnd: 0, along: 0, oneAt: 0, oneSlope: 0, oneStride: 0, oneCount: 0, otherAt: 0, otherSlope: 0, otherStride: 0, otherCount: 0, step: 0, axis: 'x' };
}

/** A function that writes the way of the ray to a cell through the volume into `walk`. A ray that misses the volume has end ≤ first. */
export function coneWalker(geometry: ConeBeam, { width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid): (walk: ConeWalk, view: number, row: number, column: number) => void {
  const ray = new Float64Array(6);
  const area = width * height;

  return (walk, view, row, column) => {
    writeConeRay(geometry, view, column, row, ray);
    // Source and direction in voxels, from the middle of the first one: columns to +x, rows to −y, slices to +z.
    const sourceColumn = (ray[0] - centre[0]) / voxelSize + (width - 1) / 2;
    const sourceRow = (height - 1) / 2 - (ray[1] - centre[1]) / voxelSize;
    const sourceSlice = (ray[2] - centre[2]) / voxelSize + (depth - 1) / 2;
    const columns = ray[3], rows = -ray[4], slices = ray[5];
    const x = Math.abs(columns), y = Math.abs(rows), z = Math.abs(slices);
    if (x >= y && x >= z) setAxes(walk, 1, sourceColumn, columns, width, width, sourceRow, rows, height, area, sourceSlice, slices, depth);
    else if (y >= z) setAxes(walk, width, sourceRow, rows, height, 1, sourceColumn, columns, width, area, sourceSlice, slices, depth);
    else setAxes(walk, area, sourceSlice, slices, depth, 1, sourceColumn, columns, width, width, sourceRow, rows, height);
    walk.step = voxelSize / Math.max(x, y, z);
    walk.axis = x >= y && x >= z ? 'x' : y >= z ? 'y' : 'z';
  };
}

/** The main axis, along which the walk steps, and the two others: stride, the source's place, the ray's direction and how many voxels. */
function setAxes(
  walk: ConeWalk, along: number, source: number, direction: number, count: number,
  oneStride: number, oneSource: number, oneDirection: number, oneCount: number,
  otherStride: number, otherSource: number, otherDirection: number, otherCount: number,
): void {
  walk.along = along;
  walk.oneStride = oneStride;
  walk.oneCount = oneCount;
  walk.oneSlope = oneDirection / direction;
  walk.oneAt = oneSource - source * walk.oneSlope;
  walk.otherStride = otherStride;
  walk.otherCount = otherCount;
  walk.otherSlope = otherDirection / direction;
  walk.otherAt = otherSource - source * walk.otherSlope;

  // Nothing behind the source counts.
  walk.first = direction > 0 ? Math.max(0, Math.ceil(source)) : 0;
  walk.end = direction > 0 ? count : Math.min(count, Math.floor(source) + 1);
  keepBetween(walk, walk.oneAt, walk.oneSlope, -1, oneCount);
  keepBetween(walk, walk.otherAt, walk.otherSlope, -1, otherCount);
  const { first, end } = walk;
  keepBetween(walk, walk.oneAt, walk.oneSlope, 0, oneCount - 1);
  keepBetween(walk, walk.otherAt, walk.otherSlope, 0, otherCount - 1);
  walk.insideFirst = Math.min(walk.first, end);
  walk.insideEnd = Math.max(walk.end, walk.insideFirst);
  walk.first = first;
  walk.end = end;
}

/** Narrows first … end to the steps whose place along one axis lies between two ends, the lower left out if it is −1, the upper left out. */
function keepBetween(walk: ConeWalk, at: number, slope: number, lower: number, upper: number): void {
  if (slope !== 0) {
    const enter = (lower - at) / slope, leave = (upper - at) / slope;
    walk.first = Math.max(walk.first, Math.ceil(Math.min(enter, leave)));
    walk.end = Math.min(walk.end, Math.floor(Math.max(enter, leave)) + 1);
  }
  // Rounding may have let in one step too many, which would read beyond the volume.
  while (walk.first < walk.end && !isBetween(at + walk.first * slope, lower, upper)) walk.first++;
  while (walk.end > walk.first && !isBetween(at + (walk.end - 1) * slope, lower, upper)) walk.end--;
}

function isBetween(place: number, lower: number, upper: number): boolean {
  return place < upper && (lower < 0 ? place > lower : place >= lower);
}
