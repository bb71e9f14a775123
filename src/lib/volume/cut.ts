import { finish, type Steps } from '../engine/steps.ts';
import { checkGrid } from '../reconstruct/match-sinogram.ts';
import type { Grid, Image, Volume, VolumeGrid } from '../types.ts';
import { dot, plus, type Point3 } from './point.ts';
import { normalOf, pointOnPlane, type Plane } from './plane.ts';
import { trilinear } from './trilinear.ts';
import { voxelAt, voxelPosition } from './voxel-position.ts';

export interface CutOptions {
  /** The picture's pixels, in the plane's own coordinates (mm); when left out, gridOfCut: the whole of the volume, in pixels of its voxels' size. */
  readonly grid?: Grid;
  /** Of the slab about the plane, half on either side, mm; 0 when left out: the plane alone. */
  readonly thickness?: number;
  /** What a pixel shows of the slab; 'mean' when left out. */
  readonly slab?: 'mean' | 'maximum';
}

/**
 * A picture of the volume on any plane, interpolated linearly in three directions; pixels outside the volume are NaN.
 * A plane through the middles of voxels, with pixels of their size, gives the voxels' very numbers (planeAcross and no grid).
 * A slab is sampled in layers at most a voxel apart, at the middles of equal shares of its thickness: across an axis, with an odd
 * number of voxels about the middle of one, these are the voxels themselves. Layers outside the volume are left out.
 * Throws: BadInput for a grid that cannot be; RangeError where the plane misses the volume and no grid is given, or for a thickness below 0.
 */
export function cut(volume: Volume, plane: Plane, options: CutOptions = {}): Image {
  return finish(cutSteps(volume, plane, options));
}

/** The same as steps that can be followed and stopped: a slab through the whole of a volume takes its time. */
export function* cutSteps(volume: Volume, plane: Plane, { grid = gridOfCut(volume, plane), thickness = 0, slab = 'mean' }: CutOptions = {}): Steps<Image> {
  checkGrid(grid);
  if (!(thickness >= 0 && Number.isFinite(thickness))) throw new RangeError(`The thickness of the slab is ${thickness} and should be a length in mm, 0 or more.`);
  const { width, height, pixelSize } = grid;
  const [middleU, middleV] = grid.centre ?? [0, 0];
  const layers = Math.max(1, Math.ceil(thickness / volume.voxelSize - 1e-6));
  const normal = normalOf(plane);
  // In columns, rows and slices: where the middle of the picture lies, and the steps from pixel to pixel and from layer to layer.
  const middle = voxelAt(volume, pointOnPlane(plane, middleU, middleV));
  const right = inVoxels(plane.across, pixelSize, volume), down = inVoxels(plane.up, -pixelSize, volume), out = inVoxels(normal, thickness / layers, volume);
  const data = new Float64Array(width * height).fill(NaN);
  const counts = slab === 'mean' && layers > 1 ? new Uint16Array(width * height) : undefined;
  for (let layer = 0; layer < layers; layer++) {
    const k = layer - (layers - 1) / 2; // layer after layer, because neighbours in a layer are near one another in memory too
    for (let row = 0; row < height; row++) {
      const j = row - (height - 1) / 2;
      const c = middle[0] + j * down[0] + k * out[0], r = middle[1] + j * down[1] + k * out[1], s = middle[2] + j * down[2] + k * out[2];
      for (let column = 0, at = row * width; column < width; column++, at++) {
        const i = column - (width - 1) / 2;
        const value = trilinear(volume, c + i * right[0], r + i * right[1], s + i * right[2]);
        if (Number.isNaN(value)) continue;
        if (Number.isNaN(data[at])) data[at] = value;
        else if (counts) data[at] += value;
        else if (value > data[at]) data[at] = value;
        if (counts) counts[at]++;
      }
      if (row % 8 === 7) yield (layer + (row + 1) / height) / layers;
    }
  }
  if (counts) for (let at = 0; at < data.length; at++) data[at] /= counts[at]; // where there is no layer: NaN, as it is
  return { ...grid, data: new Float32Array(data) };
}

/**
 * The pixels that show all of the volume on this plane, in the plane's own coordinates: the rectangle about the polygon in which the
 * plane cuts the volume's box, in pixels of its voxels' size unless another (mm) is given.
 * Throws RangeError where the plane misses the volume.
 */
export function gridOfCut(volume: VolumeGrid, plane: Plane, pixelSize = volume.voxelSize): Grid {
  const points = polygonOfCut(volume, plane);
  if (points.length === 0) throw new RangeError(`The plane misses the volume, whose middle is at (${voxelPosition(volume, ...middleVoxel(volume)).join(', ')}) mm.`);
  const us = points.map(([u]) => u), vs = points.map(([, v]) => v);
  const [left, right, bottom, top] = [Math.min(...us), Math.max(...us), Math.min(...vs), Math.max(...vs)];
  const pixels = (length: number) => Math.max(1, Math.ceil(length / pixelSize - 1e-6));
  return { width: pixels(right - left), height: pixels(top - bottom), pixelSize, centre: [(left + right) / 2, (bottom + top) / 2] };
}

/** Corners, in the plane's own coordinates (mm), of the polygon in which it cuts the volume's box; in no order; none where it misses it. */
export function polygonOfCut(volume: VolumeGrid, plane: Plane): [u: number, v: number][] {
  const { width, height, depth } = volume;
  const normal = normalOf(plane);
  const corners = Array.from({ length: 8 }, (_, i) => voxelPosition(volume, i & 1 ? width - 0.5 : -0.5, i & 2 ? height - 0.5 : -0.5, i & 4 ? depth - 0.5 : -0.5));
  const slack = 1e-9 * volume.voxelSize;
  const side = corners.map((corner) => { const d = dot(plus(corner, plane.origin, -1), normal); return Math.abs(d) < slack ? 0 : d; });
  const found: Point3[] = corners.filter((_, i) => side[i] === 0);
  for (let i = 0; i < 8; i++) {
    for (const bit of [1, 2, 4]) {
      const j = i | bit;
      if (j === i || side[i] * side[j] >= 0) continue;
      const share = side[i] / (side[i] - side[j]);
      found.push(plus(corners[i], plus(corners[j], corners[i], -1), share));
    }
  }
  return found.map((point) => [dot(plus(point, plane.origin, -1), plane.across), dot(plus(point, plane.origin, -1), plane.up)]);
}

const middleVoxel = ({ width, height, depth }: VolumeGrid): Point3 => [(width - 1) / 2, (height - 1) / 2, (depth - 1) / 2];

/** A direction times a length (mm), in columns, rows and slices. */
function inVoxels([x, y, z]: Point3, length: number, { voxelSize }: VolumeGrid): Point3 {
  const voxels = length / voxelSize;
  return [x * voxels, -y * voxels, z * voxels];
}
