import { detectorReach } from '../geometry/fan.ts';
import { coneBeam, fanBeam } from '../geometry/beams.ts';
import { coneRay } from '../geometry/cone-ray.ts';
import { equalAngles } from '../geometry/equal-angles.ts';
import { chord } from '../phantom/chord.ts';
import { projectSolids } from '../phantom/project-solids.ts';
import { ball, type Solid } from '../phantom/solids.ts';
import { pointInCone } from '../project/point-in-cone.ts';
import { coneWeights } from '../reconstruct/cone-weights.ts';
import { fbp } from '../reconstruct/fbp.ts';
import { fdk } from '../reconstruct/fdk.ts';
import type { ConeBeam } from '../types.ts';
import type { Check } from './check.ts';
import { computed, radians, series } from './series.ts';

/**
 * The cone: check values G1 to G7. Source at (−D sin β, D cos β, 0), the detector upright, on the axis: sourceToDetector = D. In G3
 * t is our a, x cos β + y sin β, and D − s our depth.
 */

const feldkamp = `${computed}; equations of Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984) from memory`;

/** A detector of one cell at (30, 20), D = 500. */
const oneRay = coneBeam({ angles: equalAngles(8, 2 * Math.PI), detectors: 1, rows: 1, pitch: 1, axisOffset: -30, rowOffset: -20, sourceToAxis: 500, sourceToDetector: 500 });

/** The weight before the filter, without the half that every ray counts for because it is seen twice. */
function cosineWeight(): number {
  const weights = new Float64Array(1);
  coneWeights(oneRay, 1)(0, 0, weights);
  return 2 * weights[0];
}

function distanceToOrigin(): number {
  const { origin: [x, y, z], direction: [a, b, c] } = coneRay(oneRay, 0, 0, 0);
  return Math.hypot(y * c - z * b, z * a - x * c, x * b - y * a);
}

const point = () => pointInCone(coneBeam({ angles: [radians(60)], detectors: 1, rows: 1, pitch: 1, sourceToAxis: 500, sourceToDetector: 500 }), 0, 40, -30, 25);

/** What fdk makes of a ball, in one voxel: 720 views, cells of `pitch` on the axis, with no more rows than the voxel needs. */
function valueAt([x, y, z]: Place, { centre, radius, value }: Ball, D: number, pitch = 0.01): number {
  const aside = Math.hypot(x, y);
  const reach = Math.max(Math.hypot(centre[0], centre[1]) + radius, aside);
  const lowest = (D * z) / (D + aside), highest = (D * z) / (D - aside);
  const distances = { sourceToAxis: D, sourceToDetector: D };
  const geometry = coneBeam({
    views: 720, detectors: 2 * Math.ceil(detectorReach(reach, distances) / pitch) + 3, rows: z === 0 ? 1 : Math.ceil((highest - lowest) / pitch) + 2,
    pitch, rowOffset: -(lowest + highest) / 2, ...distances,
  });
  const solid: Solid = { ...ball(centre, radius), name: 'ball', attenuation: value };
  return fdk(projectSolids([solid], geometry), geometry, { window: 'ramp', grid: { width: 1, height: 1, depth: 1, voxelSize: 0.01, centre: [x, y, z] } }).data[0];
}

type Place = readonly [x: number, y: number, z: number];
interface Ball { readonly centre: Place; readonly radius: number; readonly value: number }

const inMiddle: Ball = { centre: [0, 0, 0], radius: 0.5, value: 1 };
const aside: Ball = { centre: [0.6, 0.2, 0], radius: 0.3, value: 2 };
const small = (z: number): Ball => ({ centre: [0, 0, z], radius: 0.1, value: 1 });

const g4: readonly (readonly [Place, number])[] = [[[0, 0, 0], 0.99989], [[0.3, 0, 0], 0.99958], [[0, 0, 0.1], 0.99906], [[0, 0, 0.2], 0.99724], [[0, 0, 0.3], 0.9946], [[0.8, 0, 0], -0.00045]];
const g5: readonly (readonly [Place, number])[] = [[[0.6, 0.2, 0], 1.99989], [[0.6, 0.2, 0.1], 1.99806], [[0.4, 0.2, 0], 2.00004], [[0, 0, 0], 0.00044]];
const g7: readonly (readonly [number, number])[] = [[0, 0.99821], [0.2, 0.99741], [0.4, 0.99503]];
const written = (place: Place) => `(${place.join(', ')})`;

/** The largest difference between a slice in the plane of the source and the fan's fbp of the middle row, 1/mm: 90 views, axis off the middle. */
function midPlaneApart(): number {
  const views = { views: 90, detectors: 101, pitch: 0.02, axisOffset: 0.07, sourceToAxis: 5, sourceToDetector: 6 };
  const cone: ConeBeam = coneBeam({ ...views, rows: 5 });
  const frames = projectSolids([{ ...ball([0.3, -0.1, 0], 0.4), name: 'ball', attenuation: 1 }], cone);
  const data = new Float32Array(90 * 101);
  for (let view = 0; view < 90; view++) data.set(frames.data.subarray((view * 5 + 2) * 101, (view * 5 + 3) * 101), view * 101);
  const ours = fdk(frames, cone, { window: 'ramp', grid: { width: 40, height: 40, depth: 1, voxelSize: 0.04 } }).data;
  const fan = fbp({ views: 90, detectors: 101, data }, fanBeam(views), { window: 'ramp', grid: { width: 40, height: 40, pixelSize: 0.04 } }).data;
  return ours.reduce((most, value, i) => Math.max(most, Math.abs(value - fan[i])), 0);
}

export const coneChecks: readonly Check[] = [
  ...series('G1', { tolerance: 1e-9, kind: 'absolute', source: feldkamp }, [
    ['cosine weight of the cone’s ray to (30, 20) on the plane through the axis, D = 500', 0.997410096, cosineWeight],
  ]),
  ...series('G2', { tolerance: 1e-5, kind: 'absolute', source: computed }, [
    ['the cone’s ray to (30, 20), D = 500: its distance from the origin', 35.962132, distanceToOrigin],
    ['the cone’s ray to (30, 20), D = 500: its chord through a ball of radius 50', 69.475896, () => {
      const { origin, direction } = coneRay(oneRay, 0, 0, 0);
      return chord(ball([0, 0, 0], 50), origin, direction);
    }],
  ]),
  ...series('G3', { tolerance: 1e-6, kind: 'absolute', source: `${computed}, and by meeting of ray and plane` }, [
    ['the voxel (40, −30, 25) at β = 60°, D = 500: t', -5.980762, () => (point().u * point().depth) / 500],
    ['the voxel (40, −30, 25) at β = 60°, D = 500: s, towards the source', -49.641016, () => 500 - point().depth],
    ['the voxel (40, −30, 25) at β = 60°, D = 500: u on the plane through the axis', -5.440608, () => point().u],
    ['the voxel (40, −30, 25) at β = 60°, D = 500: v on the plane through the axis', 22.742116, () => point().v],
    ['the voxel (40, −30, 25) at β = 60°, D = 500: weight of cone backprojection', 0.827526178, () => (500 / point().depth) ** 2],
  ]),
  ...series('G4', { tolerance: 0.003, kind: 'absolute', source: feldkamp }, g4.map(([place, value]) => [
    `fdk of a ball of 1 and radius 0.5 about the origin, D = 5, 720 views: at ${written(place)}`, value, () => valueAt(place, inMiddle, 5),
  ])),
  ...series('G5', { tolerance: 0.006, kind: 'absolute', source: feldkamp }, g5.map(([place, value]) => [
    `fdk of a ball of 2 and radius 0.3 about (0.6, 0.2, 0), D = 4, 720 views: at ${written(place)}`, value, () => valueAt(place, aside, 4),
  ])),
  ...series('G6', { tolerance: 1e-9, kind: 'absolute', unit: '1/mm', source: 'Feldkamp, Davis & Kress (1984), abstract: in the plane of the source the method is that of the fan' }, [
    ['fdk in the plane of the source and the fan’s fbp of the same row: largest difference in 40² pixels of a ball of 1/mm', 0, midPlaneApart],
  ]),
  // The check value names no pitch: a twentieth of the radius here. At a tenth ours are 0.0036 lower, still within the tolerance.
  ...series('G7', { tolerance: 0.005, kind: 'absolute', source: feldkamp }, g7.map(([z, value]) => [
    `fdk of a ball of 1 and radius 0.1 at height ${z}, D = 5, 720 views, cells of 0.005: at its middle`, value, () => valueAt([0, 0, z], small(z), 5, 0.005),
  ])),
];
