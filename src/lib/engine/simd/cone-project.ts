import { detectorPosition } from '../../geometry/detector-position.ts';
import { coneWalker, emptyConeWalk, type ConeWalk } from '../../project/cone-walk.ts';
import type { Numbers } from '../../reconstruct/operator.ts';
import type { ConeBeam, VolumeGrid } from '../../types.ts';
import type { Steps } from '../steps.ts';
import { columnLayout, type ColumnLayout } from './columns.ts';
import type { Kernels } from './kernels.ts';

/**
 * Line integrals of volumes, and their transpose, by the kernels: the matrix of forwardProjectCone. In their memory a volume lies in columns of voxels
 * along z. The rays to one column of an upright detector that step along x or y share their way from column to column of voxels (projectColumn,
 * spreadColumn); steeper rays, and those to a leaning detector, go one by one.
 */

/** The frames of these views, one after the other. */
export function* projectConeSteps(kernels: Kernels, picture: Numbers, geometry: ConeBeam, grid: VolumeGrid, views: readonly number[]): Steps<Float32Array> {
  const { rows, detectors } = geometry, cells = rows * detectors;
  kernels.clear();
  const volume = takeVolume(kernels, grid);
  yield* setVolumeSteps(kernels, picture, grid, volume);
  const blend = kernels.take(4 * (volume.tall + 16)), sums = kernels.take(rows + 4);
  const result = new Float32Array(views.length * cells);
  const column = emptyColumn(), columnOf = columnWalker(geometry, grid, volume);
  const rayOf = rayWalker(kernels, geometry, grid, volume);
  for (const [done, view] of views.entries()) {
    for (let j = 0; j < detectors; j++) {
      columnOf(column, view, j);
      const { first, end, planeStride, oneStride, oneAt, oneSlope, oneCount, slice, source, rise, riseStep, firstRow, endRow } = column;
      const at = done * cells + j;
      if (endRow > firstRow) {
        kernels.f32(sums, rows + 4).fill(0);
        kernels.call.projectColumn(
          volume.address, planeStride, oneStride, volume.tall, grid.depth, first, end, oneAt, oneSlope, oneCount, slice, source, rise, riseStep, firstRow, endRow, sums, blend,
        );
        const met = kernels.f32(sums, rows);
        for (let row = firstRow; row < endRow; row++) result[at + row * detectors] = met[row] * stepOf(column, row);
      }
      for (let row = 0; row < firstRow; row++) result[at + row * detectors] = rayOf.project(view, row, j);
      for (let row = endRow; row < rows; row++) result[at + row * detectors] = rayOf.project(view, row, j);
      if (j % 16 === 15) yield (done + j / detectors) / views.length;
    }
    yield (done + 1) / views.length;
  }
  return result;
}

/** The transpose of it: a volume, in slices, from the frames of these views. */
export function* transposeConeSteps(kernels: Kernels, rays: Numbers, geometry: ConeBeam, grid: VolumeGrid, views: readonly number[]): Steps<Float32Array> {
  const { rows, detectors } = geometry, cells = rows * detectors;
  kernels.clear();
  const volume = takeVolume(kernels, grid);
  const values = kernels.take(rows + 32) + 4 * 16;
  const column = emptyColumn(), columnOf = columnWalker(geometry, grid, volume);
  const rayOf = rayWalker(kernels, geometry, grid, volume);
  for (const [done, view] of views.entries()) {
    for (let j = 0; j < detectors; j++) {
      columnOf(column, view, j);
      const { first, end, planeStride, oneStride, oneAt, oneSlope, oneCount, slice, source, rise, riseStep, firstRow, endRow } = column;
      const at = done * cells + j;
      if (endRow > firstRow) {
        const into = kernels.f32(values - 4 * 16, rows + 32).fill(0).subarray(16);
        let any = false;
        for (let row = firstRow; row < endRow; row++) {
          const value = rays[at + row * detectors];
          into[row] = value * stepOf(column, row);
          any ||= value !== 0;
        }
        if (any) {
          kernels.call.spreadColumn(
            volume.address, planeStride, oneStride, volume.tall, grid.depth, first, end, oneAt, oneSlope, oneCount, slice, source, rise, riseStep, firstRow, endRow, values,
          );
        }
      }
      for (let row = 0; row < firstRow; row++) rayOf.spread(view, row, j, rays[at + row * detectors]);
      for (let row = endRow; row < rows; row++) rayOf.spread(view, row, j, rays[at + row * detectors]);
      if (j % 16 === 15) yield (done + j / detectors) / views.length;
    }
    yield (done + 1) / views.length;
  }
  return takeSlices(kernels, grid, volume);
}

/** A volume in the kernels' memory. */
interface Columns extends ColumnLayout {
  readonly address: number;
  /** Slices that are turned into columns at a time, and room for them. */
  readonly atOnce: number;
  readonly slices: number;
}

function takeVolume(kernels: Kernels, grid: VolumeGrid): Columns {
  const area = grid.width * grid.height, layout = columnLayout(grid);
  const atOnce = Math.max(1, Math.min(grid.depth, Math.floor(2 ** 20 / area)));
  return { ...layout, address: kernels.take(layout.length + 16), atOnce, slices: kernels.take(atOnce * area) };
}

function* setVolumeSteps(kernels: Kernels, picture: Numbers, { width, height, depth }: VolumeGrid, { address, wide, tall, atOnce, slices }: Columns): Steps<void> {
  const area = width * height;
  for (let z = 0; z < depth; z += atOnce) {
    const end = Math.min(depth, z + atOnce);
    kernels.f32(slices, (end - z) * area).set(picture.subarray(z * area, end * area));
    kernels.call.toColumns(slices, width, height, z, end, address, wide, tall);
    yield 0;
  }
}

function takeSlices(kernels: Kernels, { width, height, depth }: VolumeGrid, { address, wide, tall, atOnce, slices }: Columns): Float32Array {
  const area = width * height, picture = new Float32Array(area * depth);
  for (let z = 0; z < depth; z += atOnce) {
    const end = Math.min(depth, z + atOnce);
    kernels.call.fromColumns(slices, width, height, z, end, address, wide, tall);
    picture.set(kernels.f32(slices, (end - z) * area), z * area);
  }
  return picture;
}

/** The rays to one column of an upright detector that step along x or y: its cells firstRow … endRow − 1. See projectColumn. */
interface ColumnWalk {
  first: number;
  end: number;
  planeStride: number;
  oneStride: number;
  oneAt: number;
  oneSlope: number;
  oneCount: number;
  slice: number;
  source: number;
  rise: number;
  riseStep: number;
  firstRow: number;
  endRow: number;
  /** Length of a step of the ray at height v on the detector: voxelSize · √(flat + v²) / main, mm. */
  flat: number;
  main: number;
  lowest: number;
  pitch: number;
  voxelSize: number;
}

function emptyColumn(): ColumnWalk {
  return {
    first: 0, end: 0, planeStride: 0, oneStride: 0, oneAt: 0, oneSlope: 0, oneCount: 0, slice: 0, source: 0, rise: 0, riseStep: 0,
    firstRow: 0, endRow: 0, flat: 0, main: 0, lowest: 0, pitch: 0, voxelSize: 0,
  };
}

function stepOf({ flat, main, lowest, pitch, voxelSize }: ColumnWalk, row: number): number {
  const v = lowest + row * pitch;
  return (voxelSize * Math.sqrt(flat + v * v)) / main;
}

/** A function that writes the way of a detector column's rays through the volume; endRow ≤ firstRow where all its rays go one by one. */
function columnWalker(geometry: ConeBeam, { width, height, depth, voxelSize, centre = [0, 0, 0] }: VolumeGrid, { wide, tall }: Columns): (walk: ColumnWalk, view: number, column: number) => void {
  const { angles, rows, pitch, rowOffset, tilt, sourceToAxis, sourceToDetector } = geometry;
  const lowest = -((rows - 1) / 2) * pitch - rowOffset;
  const slice = -centre[2] / voxelSize + (depth - 1) / 2;

  return (walk, view, column) => {
    walk.firstRow = walk.endRow = 0;
    if (tilt !== 0) return;
    const cos = Math.cos(angles[view]), sin = Math.sin(angles[view]), u = detectorPosition(geometry, column);
    // Source and direction in voxels, from the middle of the first one: columns to +x, rows to −y.
    const sourceColumn = (-sourceToAxis * sin - centre[0]) / voxelSize + (width - 1) / 2;
    const sourceRow = (height - 1) / 2 - (sourceToAxis * cos - centre[1]) / voxelSize;
    const columns = sourceToDetector * sin + u * cos, downwards = sourceToDetector * cos - u * sin;
    const alongX = Math.abs(columns) >= Math.abs(downwards);
    const main = alongX ? columns : downwards, other = alongX ? downwards : columns;
    const source = alongX ? sourceColumn : sourceRow, otherSource = alongX ? sourceRow : sourceColumn;
    const count = alongX ? width : height;
    const area = Math.abs(main);
    // Rays that rise or fall more steeply step along z. Right at the limit both ways are as long, and the plain code's rounding decides: one by one.
    const limit = area * (1 - 1e-9);
    if (Math.abs(lowest) > limit || Math.abs(lowest + (rows - 1) * pitch) > limit) {
      walk.firstRow = Math.min(rows, Math.max(0, Math.ceil((-limit - lowest) / pitch)));
      walk.endRow = Math.max(walk.firstRow, Math.min(rows, Math.floor((limit - lowest) / pitch) + 1));
    } else walk.endRow = rows;
    walk.planeStride = alongX ? tall : wide * tall;
    walk.oneStride = alongX ? wide * tall : tall;
    walk.oneCount = alongX ? height : width;
    walk.oneSlope = other / main;
    walk.oneAt = otherSource - source * walk.oneSlope;
    walk.slice = slice;
    walk.source = source;
    walk.rise = lowest / main;
    walk.riseStep = pitch / main;
    walk.first = main > 0 ? Math.max(0, Math.ceil(source)) : 0;
    walk.end = main > 0 ? count : Math.min(count, Math.floor(source) + 1);
    walk.flat = columns * columns + downwards * downwards;
    walk.main = area;
    walk.lowest = lowest;
    walk.pitch = pitch;
    walk.voxelSize = voxelSize;
  };
}

/** One ray of any kind, there and back, by the plain code's own walk. */
function rayWalker(kernels: Kernels, geometry: ConeBeam, grid: VolumeGrid, { address, wide, tall }: Columns): { project(view: number, row: number, column: number): number; spread(view: number, row: number, column: number, value: number): void } {
  const walk = emptyConeWalk(), walkTo = coneWalker(geometry, grid);
  const x = tall, y = wide * tall, z = 1;
  const strides = ({ axis }: ConeWalk): [along: number, one: number, other: number] => (axis === 'x' ? [x, y, z] : axis === 'y' ? [y, x, z] : [z, x, y]);
  return {
    project(view, row, column) {
      walkTo(walk, view, row, column);
      if (walk.end <= walk.first) return 0;
      const [along, one, other] = strides(walk);
      return walk.step * kernels.call.projectRay(
        address, walk.first, walk.insideFirst, walk.insideEnd, walk.end, along, walk.oneAt, walk.oneSlope, one, walk.oneCount, walk.otherAt, walk.otherSlope, other, walk.otherCount,
      );
    },
    spread(view, row, column, value) {
      if (value === 0) return;
      walkTo(walk, view, row, column);
      if (walk.end <= walk.first) return;
      const [along, one, other] = strides(walk);
      kernels.call.spreadRay(
        address, walk.first, walk.insideFirst, walk.insideEnd, walk.end, along, walk.oneAt, walk.oneSlope, one, walk.oneCount, walk.otherAt, walk.otherSlope, other, walk.otherCount,
        walk.step * value,
      );
    },
  };
}
