import { circleThrough, fitCircle } from '../measure/circle-through.ts';
import { regionStatistics, type Region } from '../measure/region-statistics.ts';
import type { Volume } from '../types.ts';
import { meshArea, meshVolume } from '../volume/mesh-volume.ts';
import type { Mesh } from '../volume/mesh.ts';
import type { Point3 } from '../volume/point.ts';
import { surface } from '../volume/surface.ts';
import { valueInVolume } from '../volume/trilinear.ts';
import { watertight } from '../volume/watertight.ts';
import type { Check, LoadFixture } from './check.ts';

/** Surfaces, values between voxels, regions and circles, held against what general-purpose libraries make of the same formulas. */

export interface SurfaceFigures {
  readonly name: string; readonly size: [number, number, number]; readonly threshold: number; readonly border: number | null;
  readonly vertices: number; readonly triangles: number; readonly euler: number; readonly area: number; readonly volume: number;
  readonly mean_vertex: number[]; readonly least: number[]; readonly greatest: number[];
}
export interface VolumeFigures {
  readonly by: string; readonly voxel: number; readonly middle: Point3; readonly surfaces: SurfaceFigures[];
  readonly between: { readonly size: [number, number, number]; readonly points: Point3[]; readonly values: number[] };
  readonly regions: { readonly kind: string; readonly count: number; readonly mean: number; readonly deviation: number; readonly least: number; readonly greatest: number }[];
  readonly circles: { readonly points: [number, number][]; readonly centre: [number, number]; readonly radius: number; readonly rms: number }[];
}

const tube = (a: number, b: number, c: number) => Math.min(3.4 - Math.sqrt((a - 0.2) ** 2 + (b + 0.3) ** 2), 11.3 - Math.abs(c - 0.1));
const bore = (a: number, b: number) => Math.sqrt((a - 0.1) ** 2 + (b - 0.2) ** 2) - 1.7;

/** The fields of datasets/check-values/made-by/make_volumes.py: x, y, z in voxels from the middle of the volume. */
const fields: Record<string, (x: number, y: number, z: number) => number> = {
  ball: (x, y, z) => 9.3 - Math.sqrt((x - 0.2) ** 2 + (y + 0.3) ** 2 + (z - 0.1) ** 2),
  torus: (x, y, z) => 3.2 - Math.sqrt((Math.sqrt((x - 0.2) ** 2 + (y + 0.3) ** 2) - 9.1) ** 2 + (z - 0.1) ** 2),
  frame: (x, y, z) => Math.min(Math.max(tube(x, y, z), tube(y, z, x), tube(z, x, y)), bore(x, y), bore(y, z), bore(z, x)),
  waves: (x, y, z) => Math.cos(x / 3.1 + 0.7) * Math.cos(y / 2.7) + Math.cos(z / 2.3 - 0.4) * 0.7 + Math.cos((x + y + z) / 4.1) * 0.5,
};

function volumeOf([width, height, depth]: readonly [number, number, number], { voxel, middle }: VolumeFigures, value: (column: number, row: number, slice: number) => number): Volume {
  const data = new Float32Array(width * height * depth);
  for (let i = 0; i < data.length; i++) data[i] = value(i % width, Math.floor(i / width) % height, Math.floor(i / (width * height)));
  return { width, height, depth, voxelSize: voxel, centre: middle, data };
}

/** The surface that ours finds in one of the fields. */
export function surfaceOf(figures: VolumeFigures, { name, size, threshold, border }: SurfaceFigures): Mesh {
  const [width, height, depth] = size;
  const rim = (i: number, count: number) => i === 0 || i === count - 1;
  const volume = volumeOf(size, figures, (c, r, s) => (border !== null && (rim(c, width) || rim(r, height) || rim(s, depth))
    ? border : fields[name](c - (width - 1) / 2, (height - 1) / 2 - r, s - (depth - 1) / 2)));
  return surface(volume, threshold);
}

/** Whole numbers of no pattern, as make_volumes.py has them. */
export const wholeNumbers = (figures: VolumeFigures): Volume =>
  volumeOf(figures.between.size, figures, (column, row, slice) => (column * 7919 + row * 104729 + slice * 1299709 + column * row * slice * 31) % 1009);

export const regionsOf: Readonly<Record<string, Region>> = {
  ball: { centre: [3.1, -1.8, 1.3], radius: 1.7 },
  box: { from: [1.6, -3.4, 2.1], to: [4.2, -0.9, -0.4] },
  disc: { centre: [3.1, -1.8, 1.3], radius: 1.7, normal: [0, 0, 1] },
};

const skimage = 'scikit-image 0.19.3';
const scipy = 'SciPy 1.10.1';
const numpy = 'NumPy 1.24.2';
const all = async (load: LoadFixture) => (await load('volumes')) as VolumeFigures;

/** Figures of the four surfaces, as they stand in volumes.json; the file itself is loaded with the check. */
const surfaces: readonly (readonly [name: string, what: string, vertices: number, euler: number, area: number])[] = [
  ['ball', 'a ball', 1606, 2, 270.73046544987824],
  ['torus', 'a ring', 1590, 0, 285.79658670084143],
  ['frame', 'three tubes that cross, with five holes', 2306, -8, 436.34850543960783],
  ['waves', 'waves that reach the end of the volume', 3698, 10, 636.6969620401983],
];

const surfaceChecks: Check[] = surfaces.flatMap(([name, what, vertices, euler, area], k) => {
  const found = async (load: LoadFixture) => {
    const figures = await all(load);
    const expected = figures.surfaces.find((one) => one.name === name)!;
    return { mesh: surfaceOf(figures, expected), expected, figures };
  };
  const exactly = (id: string, of: string, expected: number, ours: (mesh: Mesh) => number): Check => ({
    id: `P${k + 1}.${id}`, what: `the surface of ${what}: ${of}`, expected, tolerance: 0, kind: 'absolute', source: skimage, ours: async (load) => ours((await found(load)).mesh),
  });
  return [
    exactly('1', 'vertices', vertices, ({ positions }) => positions.length / 3),
    exactly('2', 'Euler characteristic (2 for each piece, 2 less for each hole)', euler, (mesh) => watertight(mesh).euler),
    { id: `P${k + 1}.3`, what: `the surface of ${what}: area`, expected: area, tolerance: 5e-4, kind: 'relative', unit: 'mm²', source: skimage, ours: async (load) => meshArea((await found(load)).mesh) },
    {
      id: `P${k + 1}.4`, what: `the surface of ${what}: distance from theirs, on average, by the volumes`, expected: 0, tolerance: 0.005, kind: 'absolute', unit: 'voxels', source: skimage,
      ours: async (load) => { const { mesh, expected, figures } = await found(load); return (meshVolume(mesh) - expected.volume) / expected.area / figures.voxel; },
    },
    { ...exactly('5', 'edges that are not in exactly two triangles, in opposite directions', 0, (mesh) => watertight(mesh).faulty), source: 'what a closed surface is' },
  ];
});

const greatest = (values: number[]) => values.reduce((most, value) => Math.max(most, Math.abs(value)), 0);

export const volumeChecks: readonly Check[] = [
  ...surfaceChecks,
  {
    id: 'P5', what: 'values between voxels, at 60 points: the greatest difference', expected: 0, tolerance: 1e-8, kind: 'absolute', source: `${scipy}, map_coordinates, order 1`,
    ours: async (load) => { const figures = await all(load); const volume = wholeNumbers(figures); return greatest(figures.between.points.map((point, i) => valueInVolume(volume, point) - figures.between.values[i])); },
  },
  ...['ball', 'box', 'disc'].map((kind, k): Check => ({
    id: `P6.${k + 1}`, what: `mean, standard deviation and number of voxels in a ${kind}: the greatest difference`, expected: 0, tolerance: 1e-8, kind: 'absolute', source: numpy,
    ours: async (load) => {
      const figures = await all(load);
      const expected = figures.regions.find((region) => region.kind === kind)!, found = regionStatistics(wholeNumbers(figures), regionsOf[kind]);
      return greatest([found.mean - expected.mean, found.deviation - expected.deviation, found.count - expected.count]);
    },
  })),
  ...['12 points', '40 points, noisy', '15 points on an arc of 69°'].map((what, k): Check => ({
    id: `P7.${k + 1}`, what: `the circle fitted to ${what}: the greatest difference of centre, radius and rms`, expected: 0, tolerance: 1e-7, kind: 'absolute', unit: 'mm', source: `${scipy}, least_squares`,
    ours: async (load) => {
      const { points, centre, radius, rms } = (await all(load)).circles[k];
      const found = fitCircle(points);
      return greatest([found.centre[0] - centre[0], found.centre[1] - centre[1], found.radius - radius, found.rms - rms]);
    },
  })),
  {
    id: 'P8', what: 'radius of the circle through (0, 0), (3, 0) and (0, 4)', expected: 2.5, tolerance: 1e-12, kind: 'absolute', unit: 'mm', source: "Thales' theorem",
    ours: () => circleThrough([0, 0], [3, 0], [0, 4]).radius,
  },
];
