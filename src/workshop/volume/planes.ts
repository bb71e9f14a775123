/** Where the four cuts lie, what each shows, and how the cross-hair moves on them. Places in mm; pure. */
import {
  gridOfCut, normalOf, planeAcross, planeThrough, pointOnPlane, polygonOfCut, voxelAt, voxelPosition,
  type Grid, type Plane, type Point3, type VolumeGrid,
} from '../../lib/index.ts';
import type { CutName, Facing, SavedView } from './model.ts';

const axes = { x: 0, y: 1, z: 2 } as const;
export const axisOf = (cut: Exclude<CutName, 'free'>) => axes[cut];
const dot = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const moved = (a: Point3, b: Point3, times: number): Point3 => [a[0] + times * b[0], a[1] + times * b[1], a[2] + times * b[2]];

export const middleOf = ({ centre = [0, 0, 0] }: VolumeGrid): Point3 => centre;

/** From the middle of the volume to its faces, along x, y and z. */
export function reach({ width, height, depth, voxelSize }: VolumeGrid): Point3 {
  return [(width * voxelSize) / 2, (height * voxelSize) / 2, (depth * voxelSize) / 2];
}

/** The lowest and the highest coordinate of a voxel's middle along an axis: what a slider runs between. */
export function endsOf(grid: VolumeGrid, axis: 0 | 1 | 2): readonly [from: number, to: number] {
  const half = reach(grid)[axis] - grid.voxelSize / 2, middle = middleOf(grid)[axis];
  return [middle - half, middle + half];
}

/** The nearest point between the middles of the outermost voxels. */
export function held(grid: VolumeGrid, point: Point3): Point3 {
  return point.map((at, axis) => {
    const [from, to] = endsOf(grid, axis as 0 | 1 | 2);
    return Math.min(to, Math.max(from, at));
  }) as unknown as Point3;
}

/** The middle of the voxel in which the point lies, along these axes alone. */
export function snapped(grid: VolumeGrid, point: Point3, along: readonly number[] = [0, 1, 2]): Point3 {
  const sizes = [grid.width, grid.height, grid.depth];
  const voxel = voxelAt(grid, point).map((at, axis) => Math.min(sizes[axis] - 1, Math.max(0, Math.round(at))));
  const middle = voxelPosition(grid, voxel[0], voxel[1], voxel[2]);
  return point.map((at, axis) => (along.includes(axis) ? middle[axis] : at)) as unknown as Point3;
}

/** So many voxels further along an axis, + to higher coordinates, onto the middle of a voxel; 0: onto the nearest one's. */
export function stepped(grid: VolumeGrid, point: Point3, axis: 0 | 1 | 2, voxels: number): Point3 {
  if (voxels === 0) return snapped(grid, point);
  const [from] = endsOf(grid, axis);
  const at = (point[axis] - from) / grid.voxelSize;
  const whole = voxels > 0 ? Math.floor(at + 1e-6) : Math.ceil(at - 1e-6);
  const size = [grid.width, grid.height, grid.depth][axis];
  const next = Math.min(size - 1, Math.max(0, whole + voxels));
  return point.map((old, i) => (i === axis ? from + next * grid.voxelSize : old)) as unknown as Point3;
}

/** Degrees: the direction to the viewer, and what they see upwards. Unlike a fixed "up" this has no seam where one looks straight down. */
export function directions({ turn, tilt }: Facing): { normal: Point3; up: Point3 } {
  const a = (turn * Math.PI) / 180, b = (tilt * Math.PI) / 180;
  return {
    normal: [Math.sin(a) * Math.cos(b), -Math.cos(a) * Math.cos(b), Math.sin(b)],
    up: [-Math.sin(a) * Math.sin(b), Math.cos(a) * Math.sin(b), Math.cos(b)],
  };
}

/** How far along its normal the free plane lies from the middle of the volume. */
export function offsetOf(grid: VolumeGrid, { cross, free }: Pick<SavedView, 'cross' | 'free'>): number {
  return dot(moved(cross, middleOf(grid), -1), directions(free).normal);
}

/** How far the free plane can be moved either way with the cross-hair still in the volume. */
export function mostOffset(grid: VolumeGrid, free: Facing): number {
  const { normal } = directions(free);
  return normal.reduce((sum, n, axis) => sum + Math.abs(n) * (reach(grid)[axis] - grid.voxelSize / 2), 0);
}

/**
 * The point of the volume on the free plane at an offset that is nearest to `from`; where the plane misses the volume, the nearest to the plane.
 * It is `from` moved along the normal and held in the volume; how far is found by halving, because the offset grows with it all the way.
 */
export function onFreePlane(grid: VolumeGrid, free: Facing, offset: number, from: Point3): Point3 {
  const { normal } = directions(free);
  const middle = middleOf(grid);
  const after = (way: number) => held(grid, moved(from, normal, way));
  const offsetAfter = (way: number) => dot(moved(after(way), middle, -1), normal);
  const all = 2 * reach(grid).reduce((sum, half) => sum + half, 0) + Math.hypot(...moved(from, middle, -1));
  // Where the plane all but touches a face, the way to it runs along the directions in which the normal leans least.
  const least = Math.min(...normal.map(Math.abs).filter((n) => n > 1e-9));
  let [short, far] = [(-2 * all) / least, (2 * all) / least];
  for (let i = 0; i < 120; i++) {
    const way = (short + far) / 2;
    if (offsetAfter(way) < offset) short = way;
    else far = way;
  }
  return after(far);
}

/** All four planes go through the cross-hair. The free one is reckoned from the foot of the volume's middle on it. */
export function planeOf(grid: VolumeGrid, view: Pick<SavedView, 'cross' | 'free'>, cut: CutName): Plane {
  if (cut !== 'free') return planeAcross(cut, view.cross[axisOf(cut)]);
  const { normal, up } = directions(view.free);
  return planeThrough(moved(middleOf(grid), normal, offsetOf(grid, view)), normal, up);
}

/** Where a point of space falls on a plane, in the plane's own coordinates. */
export function onPlane(plane: Plane, point: Point3): [u: number, v: number] {
  const from = moved(point, plane.origin, -1);
  return [dot(from, plane.across), dot(from, plane.up)];
}

/**
 * All that a cut can show. The free plane's is a square that holds the cylinder about the axis, whichever way it faces, so that its
 * scale stays the same as it is turned; only for corners that reach further it grows.
 */
export function wholeGrid(grid: VolumeGrid, plane: Plane, cut: CutName): Grid {
  if (cut !== 'free') return gridOfCut(grid, plane);
  const [x, y, z] = reach(grid);
  const corners = polygonOfCut(grid, plane).flat().map(Math.abs);
  const half = Math.max(Math.hypot(Math.max(x, y), z), ...corners);
  const pixels = Math.ceil((2 * half) / grid.voxelSize - 1e-6);
  return { width: pixels, height: pixels, pixelSize: grid.voxelSize, centre: [0, 0] };
}

/** What is shown of a cut when it is magnified: the same pixels, fewer of them, about `middle`, and in any case about the cross-hair. */
export function shownGrid(whole: Grid, plane: Plane, { zoom, middle, cross }: Pick<SavedView, 'zoom' | 'middle' | 'cross'>): Grid {
  if (zoom <= 1) return whole;
  const [u, v] = onPlane(plane, middle), [crossU, crossV] = onPlane(plane, cross);
  const [left, width] = stretch(whole.width, zoom, pixelAlong(whole, 0, u), pixelAlong(whole, 0, crossU));
  const [bottom, height] = stretch(whole.height, zoom, pixelAlong(whole, 1, v), pixelAlong(whole, 1, crossV));
  const [middleU, middleV] = whole.centre ?? [0, 0];
  return {
    width, height, pixelSize: whole.pixelSize,
    centre: [middleU + (left + (width - whole.width) / 2) * whole.pixelSize, middleV + (bottom + (height - whole.height) / 2) * whole.pixelSize],
  };
}

/** Which pixel, from the left or from the bottom, a coordinate falls into, with fraction: 0 is the outer edge of the first. */
function pixelAlong({ width, height, pixelSize, centre = [0, 0] }: Grid, axis: 0 | 1, at: number): number {
  return (at - centre[axis]) / pixelSize + (axis === 0 ? width : height) / 2;
}

/** First pixel and number of the pixels shown of `all`. */
function stretch(all: number, zoom: number, middle: number, cross: number): [first: number, count: number] {
  const count = Math.max(1, Math.ceil(all / zoom));
  let first = Math.round(middle - count / 2);
  first = Math.min(Math.floor(cross), Math.max(Math.ceil(cross) - count, first));
  return [Math.min(all - count, Math.max(0, first)), count];
}

/** The point of the volume that a press at (u, v) on a cut means: on voxels of the three cuts, anywhere on the free one. */
export function pressed(grid: VolumeGrid, view: SavedView, cut: CutName, u: number, v: number, exact = false): Point3 {
  const point = pointOnPlane(planeOf(grid, view, cut), u, v);
  if (cut === 'free') return onFreePlane(grid, view.free, offsetOf(grid, view), point);
  const across = [0, 1, 2].filter((axis) => axis !== axisOf(cut));
  return held(grid, exact ? point : snapped(grid, point, across));
}

/** The cross-hair after so many voxels to the right, up, and through the cut (towards higher coordinates; on the free plane towards the viewer). */
export function walked(grid: VolumeGrid, view: SavedView, cut: CutName, right: number, up: number, through: number): Point3 {
  if (cut === 'free') {
    const plane = planeOf(grid, view, cut);
    const offset = Math.min(mostOffset(grid, view.free), Math.max(-mostOffset(grid, view.free), offsetOf(grid, view) + through * grid.voxelSize));
    const to = moved(moved(view.cross, plane.across, right * grid.voxelSize), plane.up, up * grid.voxelSize);
    return onFreePlane(grid, view.free, offset, to);
  }
  const [u, v] = ({ z: [0, 1], y: [0, 2], x: [1, 2] } as const)[cut];
  let point = view.cross;
  if (right) point = stepped(grid, point, u, right);
  if (up) point = stepped(grid, point, v, up);
  if (through) point = stepped(grid, point, axisOf(cut), through);
  return point;
}

/** The line in which another plane through the cross-hair meets a cut: its direction there, or nothing where they are the same plane. */
export function lineOn(plane: Plane, other: Plane): [u: number, v: number] | undefined {
  const normal = normalOf(other);
  const [a, b] = [dot(normal, plane.across), dot(normal, plane.up)];
  const length = Math.hypot(a, b);
  return length < 1e-6 ? undefined : [-b / length, a / length];
}
