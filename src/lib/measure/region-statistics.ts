import { BadInput } from '../files/bad-input.ts';
import type { Image, Volume } from '../types.ts';
import { dot, unit, type Point3 } from '../volume/point.ts';
import { voxelAt } from '../volume/voxel-position.ts';

/**
 * A part of a volume, mm: a ball; a disc, flat about `centre` and square to `normal`, a voxel thick unless `thickness` is given; or a box
 * between two opposite corners.
 */
export type Region =
  | { readonly centre: Point3; readonly radius: number }
  | { readonly centre: Point3; readonly radius: number; readonly normal: Point3; readonly thickness?: number }
  | { readonly from: Point3; readonly to: Point3 };

/** A part of a picture, mm: a disc, or a rectangle between two opposite corners. */
export type FlatRegion =
  | { readonly centre: readonly [x: number, y: number]; readonly radius: number }
  | { readonly from: readonly [x: number, y: number]; readonly to: readonly [x: number, y: number] };

export interface RegionStatistics {
  /** Voxels, or pixels, whose middles lie in the region and that hold a number. */
  readonly count: number;
  readonly mean: number;
  /** Standard deviation of one voxel, over count − 1; NaN of a single one. */
  readonly deviation: number;
  /** Of the mean: deviation/√count, as if voxels did not know of one another. In a reconstruction neighbours do, so it is a lower bound. */
  readonly standardError: number;
  readonly least: number;
  readonly greatest: number;
}

/**
 * Mean ± standard deviation of a volume, or of a picture, in a region of it, in the unit of its values.
 * Throws BadInput for a region in which no voxel has its middle, or that holds no number; RangeError for a radius or thickness that is not above 0.
 */
export function regionStatistics(volume: Volume, region: Region): RegionStatistics;
export function regionStatistics(image: Image, region: FlatRegion): RegionStatistics;
export function regionStatistics(given: Volume | Image, region: Region | FlatRegion): RegionStatistics {
  const volume = 'depth' in given ? given : asVolume(given);
  const values = valuesIn(volume, 'depth' in given ? (region as Region) : standing(region as FlatRegion));
  const count = values.length;
  if (count === 0) {
    throw new BadInput(`The region holds no ${'depth' in given ? 'voxel' : 'pixel'} with a number: make it larger than ${volume.voxelSize} mm, the size of one, or move it onto the ${'depth' in given ? 'volume' : 'picture'}.`);
  }
  const mean = values.reduce((sum, value) => sum + value, 0) / count;
  const deviation = Math.sqrt(values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / (count - 1));
  let least = Infinity, greatest = -Infinity;
  for (const value of values) {
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  return { count, mean, deviation, standardError: deviation / Math.sqrt(count), least, greatest };
}

/** A picture as a volume of one slice at z = 0. */
function asVolume({ width, height, pixelSize, centre = [0, 0], data }: Image): Volume {
  return { width, height, depth: 1, voxelSize: pixelSize, centre: [...centre, 0], data };
}

function standing(region: FlatRegion): Region {
  if ('radius' in region) return { centre: [...region.centre, 0], radius: region.radius };
  return { from: [...region.from, 0], to: [...region.to, 0] };
}

function valuesIn(volume: Volume, region: Region): number[] {
  const { width, height, depth, voxelSize, data } = volume;
  const inside = testOf(region, voxelSize);
  const [low, high] = boundsOf(region, voxelSize);
  const [c0, r1, s0] = voxelAt(volume, low), [c1, r0, s1] = voxelAt(volume, high);
  const [cx, cy, cz] = volume.centre ?? [0, 0, 0];
  const values: number[] = [];
  const slack = 1e-9;
  for (let slice = Math.max(0, Math.ceil(s0 - slack)); slice <= Math.min(depth - 1, s1 + slack); slice++) {
    const z = cz + (slice - (depth - 1) / 2) * voxelSize;
    for (let row = Math.max(0, Math.ceil(r0 - slack)); row <= Math.min(height - 1, r1 + slack); row++) {
      const y = cy + ((height - 1) / 2 - row) * voxelSize;
      for (let column = Math.max(0, Math.ceil(c0 - slack)); column <= Math.min(width - 1, c1 + slack); column++) {
        if (!inside(cx + (column - (width - 1) / 2) * voxelSize, y, z)) continue;
        const value = data[(slice * height + row) * width + column];
        if (!Number.isNaN(value)) values.push(value);
      }
    }
  }
  return values;
}

function testOf(region: Region, voxelSize: number): (x: number, y: number, z: number) => boolean {
  if ('from' in region) return () => true; // its bounds are the box
  const { centre, radius } = region;
  if (!(radius > 0)) throw new RangeError(`The radius of the region is ${radius} mm and should be above 0.`);
  const most = (radius * (1 + 1e-12)) ** 2;
  if (!('normal' in region)) return (x, y, z) => (x - centre[0]) ** 2 + (y - centre[1]) ** 2 + (z - centre[2]) ** 2 <= most;
  const normal = unit(region.normal, 'The normal of the region');
  const half = (region.thickness ?? voxelSize) / 2;
  if (!(half > 0)) throw new RangeError(`The thickness of the region is ${region.thickness} mm and should be above 0.`);
  return (x, y, z) => {
    const from: Point3 = [x - centre[0], y - centre[1], z - centre[2]];
    const height = dot(from, normal);
    // One face belongs to the disc, the other not: a disc that lies just between two layers of voxels takes one of them.
    return height > -half * (1 - 1e-9) && height <= half * (1 + 1e-9) && dot(from, from) - height * height <= most;
  };
}

function boundsOf(region: Region, voxelSize: number): [low: Point3, high: Point3] {
  if ('from' in region) {
    const { from, to } = region;
    return [[0, 1, 2].map((k) => Math.min(from[k], to[k])) as unknown as Point3, [0, 1, 2].map((k) => Math.max(from[k], to[k])) as unknown as Point3];
  }
  const thickness = 'normal' in region ? region.thickness ?? voxelSize : 0;
  const reach = Math.hypot(region.radius, thickness / 2);
  return [region.centre.map((value) => value - reach) as unknown as Point3, region.centre.map((value) => value + reach) as unknown as Point3];
}
