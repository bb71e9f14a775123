/**
 * The cone beam against the outside world. The world is exact mathematics: chords of solids, areas and volumes (handbooks of geometry),
 * and what Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984) say of their method. That it is the fan's in the plane of the source
 * stands in its abstract; that it is exact for what does not change along the axis, and keeps sums along the axis, is from memory.
 * The figures of check values G1 to G7 are in src/lib/verify/cone.ts.
 */
import { describe, expect, test } from 'vitest';
import {
  ball, coneBeam, coneRay, cylinder, fdk, forwardProjectCone, projectSolids, voxelizeSolids,
  type ConeBeam, type Projections, type Solid, type Vector, type VolumeGrid,
} from '../../src/lib/index.ts';

const ramp = { window: 'ramp' } as const;
const solidBall = (centre: Vector, radius: number, attenuation: number): Solid => ({ ...ball(centre, radius), name: 'ball', attenuation });

describe('fdk, as its paper has it', () => {
  const geometry = coneBeam({ views: 180, detectors: 128, rows: 96, pitch: 1, sourceToAxis: 200, sourceToDetector: 300 });

  test('exact for what does not change along the axis: a pillar of 0.02/mm is 0.02/mm up to a cone angle of 8°', () => {
    const pillar: Solid = { ...cylinder([6, 3, -1000], [6, 3, 1000], 14), name: 'pillar', attenuation: 0.02 };
    const grid: VolumeGrid = { width: 12, height: 12, depth: 27, voxelSize: 1, centre: [6, 3, 13] };
    const { data } = fdk(projectSolids([pillar], geometry), geometry, { ...ramp, grid });
    for (const value of data) expect(Math.abs(value / 0.02 - 1)).toBeLessThan(0.005);
  });

  test('sums along the axis are kept: a blob far above the plane of the source loses height, not content', () => {
    const [sigma, value] = [5, 0.05];
    const content = (z: number) => {
      const above = coneBeam({ views: 120, detectors: 64, rows: 100, pitch: 1.5, rowOffset: -1.5 * z, sourceToAxis: 200, sourceToDetector: 300 });
      const grid: VolumeGrid = { width: 9, height: 1, depth: 100, voxelSize: 1, centre: [6, -2, z] };
      const { data } = fdk(blobFrames([3, -2, z], sigma, value, above), above, { ...ramp, grid });
      const columns = Array.from({ length: 9 }, (_, column) => Array.from({ length: 100 }, (_, k) => data[k * 9 + column]));
      return { peak: Math.max(...columns[1]) / value, sums: columns.map((column) => column.reduce((sum, voxel) => sum + voxel, 0)) };
    };
    const inPlane = content(0);
    for (const z of [15, 30, 50]) {
      const { peak, sums } = content(z);
      if (z === 50) expect(inPlane.peak - peak, 'height lost at 14°').toBeGreaterThan(0.02);
      sums.forEach((sum, column) => {
        const exact = value * sigma * Math.sqrt(2 * Math.PI) * Math.exp(-((column - 1) ** 2) / (2 * sigma ** 2));
        expect(Math.abs(sum - exact) / (value * sigma * Math.sqrt(2 * Math.PI)), `${column - 1} mm aside, at ${z} mm`).toBeLessThan(0.01);
      });
    }
  });

  test('above the plane it falls short, the more the higher: 0.5 to 3 % in a large ball at 7°', () => {
    const frames = projectSolids([solidBall([0, 0, 0], 30, 0.02)], geometry);
    const values = [0, 8, 16, 24].map((z) => fdk(frames, geometry, { ...ramp, grid: { width: 1, height: 1, depth: 1, voxelSize: 1, centre: [0, 0, z] } }).data[0] / 0.02);
    values.forEach((value, k) => {
      if (k > 0) expect(value, `height ${8 * k} mm`).toBeLessThan(values[k - 1]);
    });
    expect(values[0]).toBeCloseTo(1, 2.5);
    expect(values[3]).toBeGreaterThan(0.97);
    expect(values[3]).toBeLessThan(0.995);
  });
});

describe('values in 1/mm do not depend on how the scan was taken', () => {
  // Two balls of different material off the axis and off the plane; the mean over the inner half of each, as a share of the truth.
  const solids = [solidBall([12, -7, 6], 9, 0.02), solidBall([-10, 8, -8], 7, 0.05)] as const;
  const half = Math.atan((127 / 2 + 6) / 300);
  const detector = { detectors: 128, rows: 96, pitch: 1, sourceToAxis: 200, sourceToDetector: 300 };
  test.each([
    ['upright and centred', { ...detector, views: 120 }],
    ['axis 6 mm aside, detector 5 mm low, tilted by 2°', { ...detector, views: 120, axisOffset: 6, rowOffset: -5, tilt: Math.PI / 90 }],
    ['a finer detector', { ...detector, detectors: 192, rows: 144, pitch: 2 / 3, views: 60 }],
    ['a short scan, tilted', { ...detector, views: 100, turn: Math.PI + 2 * half + 0.1, start: 0.7, axisOffset: -6, tilt: -0.02 }],
    ['uneven steps, the other way round', { ...detector, angles: Array.from({ length: 130 }, (_, k) => -k * 0.05 - 0.01 * Math.sin(k)) }],
    ['45 views', { ...detector, views: 45 }],
  ])('%s: within 1 percent of the truth for either ball and voxel size', (_, options) => {
    const geometry = coneBeam(options);
    const frames = projectSolids(solids, geometry);
    for (const { centre, semiAxes: [radius], attenuation } of solids as unknown as readonly { centre: Vector; semiAxes: Vector; attenuation: number }[]) {
      for (const voxelSize of [0.6, 1.1]) {
        const n = Math.floor(radius / voxelSize);
        const { data } = fdk(frames, geometry, { ...ramp, grid: { width: n, height: n, depth: n, voxelSize, centre } });
        let sum = 0, count = 0;
        data.forEach((value, i) => {
          if (Math.hypot((i % n) - (n - 1) / 2, (Math.floor(i / n) % n) - (n - 1) / 2, Math.floor(i / n / n) - (n - 1) / 2) * voxelSize > radius / 2) return;
          sum += value;
          count++;
        });
        expect(Math.abs(sum / count / attenuation - 1), `voxels of ${voxelSize} mm, ${count} of them`).toBeLessThan(0.01);
      }
    }
  });
});

describe('forwardProjectCone and exact line integrals', () => {
  const geometry = coneBeam({ angles: [0, 0.4, 1.1, 2.7, 4.4], detectors: 60, rows: 44, pitch: 1, axisOffset: 2, rowOffset: -3, tilt: 0.08, sourceToAxis: 90, sourceToDetector: 130 });
  const cube = (voxelSize: number): VolumeGrid => ({ width: Math.round(36 / voxelSize), height: Math.round(36 / voxelSize), depth: Math.round(36 / voxelSize), voxelSize });
  const apart = (ours: Float32Array, exact: Float32Array) => Math.sqrt(ours.reduce((sum, value, k) => sum + (value - exact[k]) ** 2, 0) / exact.reduce((sum, value) => sum + value ** 2, 0));

  test('a Gaussian blob: the error falls with the square of the voxel size, to 0.4 % at 0.5 mm', () => {
    const [x, y, z] = [4, -3, 2];
    const exact = blobFrames([x, y, z], 3, 0.02, geometry).data;
    const [coarse, fine] = [1, 0.5].map((voxelSize) => {
      const grid = cube(voxelSize), n = grid.width, middle = (n - 1) / 2;
      const data = Float32Array.from({ length: n ** 3 }, (_, i) => {
        const [column, row, slice] = [i % n, Math.floor(i / n) % n, Math.floor(i / n / n)];
        return 0.02 * Math.exp(-(((column - middle) * voxelSize - x) ** 2 + ((middle - row) * voxelSize - y) ** 2 + ((slice - middle) * voxelSize - z) ** 2) / 18);
      });
      return apart(forwardProjectCone({ ...grid, data }, geometry).data, exact);
    });
    expect(fine).toBeLessThan(0.004);
    expect(coarse / fine, 'order of the error: 4 is the second').toBeGreaterThan(3.7);
  });

  test('two balls: the error is that of their voxelated edges, and halves with the voxels; no light is made or lost', () => {
    const solids: Solid[] = [solidBall([4, -3, 2], 9, 0.02), solidBall([-6, 5, -3], 4, 0.05)];
    const exact = projectSolids(solids, geometry).data;
    const [coarse, fine] = [1, 0.5].map((voxelSize) => forwardProjectCone(voxelizeSolids(solids, cube(voxelSize)), geometry).data);
    expect(apart(fine, exact)).toBeLessThan(0.6 * apart(coarse, exact));
    const sum = (data: Float32Array) => data.reduce((total, value) => total + value, 0);
    expect(sum(fine) / sum(exact)).toBeCloseTo(1, 2.5);
  });
});

/** Exact line integrals of A·exp(−r²/2σ²) about a point: A·σ·√(2π)·exp(−d²/2σ²), d the ray's distance from it (handbooks of integrals). */
function blobFrames(centre: Vector, sigma: number, value: number, geometry: ConeBeam): Projections {
  const { rows, detectors: columns } = geometry, views = geometry.angles.length;
  const data = Float32Array.from({ length: views * rows * columns }, (_, k) => {
    const { origin, direction } = coneRay(geometry, Math.floor(k / (rows * columns)), k % columns, Math.floor(k / columns) % rows);
    const from = [centre[0] - origin[0], centre[1] - origin[1], centre[2] - origin[2]];
    const along = from[0] * direction[0] + from[1] * direction[1] + from[2] * direction[2];
    const squared = from[0] ** 2 + from[1] ** 2 + from[2] ** 2 - along ** 2;
    return value * sigma * Math.sqrt(2 * Math.PI) * Math.exp(-squared / (2 * sigma ** 2));
  });
  return { views, rows, columns, data };
}
