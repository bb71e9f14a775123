import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  capsule, connectedParts, fdk, coneBeam, finish, hexNut, joinMeshes, linearAttenuation, meshArea, meshVolume, projectSolids, readStl, smoothMesh, smoothMeshSteps, surface, surfaceSteps,
  volumeOf as exactVolume, voxelizeSolids, watertight, writeStl, type Mesh, type Volume,
} from '../../src/lib/index.ts';
import { cubeCases } from '../../src/lib/volume/cube-cases.ts';
import { refusal } from './support/bad-input.ts';

/** A field over voxels of 1 mm, about the origin. */
function volumeOf(size: readonly [number, number, number], value: (x: number, y: number, z: number) => number, voxelSize = 1): Volume {
  const [width, height, depth] = size;
  const data = new Float32Array(width * height * depth);
  for (let i = 0; i < data.length; i++) {
    data[i] = value((i % width) - (width - 1) / 2, (height - 1) / 2 - (Math.floor(i / width) % height), Math.floor(i / (width * height)) - (depth - 1) / 2);
  }
  return { width, height, depth, voxelSize, data };
}
const ballOf = (radius: number, size = Math.ceil(2 * radius + 4)) => volumeOf([size, size + 1, size + 2], (x, y, z) => radius - Math.hypot(x, y, z));
const tetrahedron: Mesh = { positions: Float32Array.from([0, 0, 0, 3, 0, 0, 0, 2, 0, 0, 0, 5]), triangles: Uint32Array.from([0, 2, 1, 0, 1, 3, 0, 3, 2, 1, 2, 3]) };

describe('cubeCases', () => {
  test('every case has an edge wherever the ends of an edge differ, and nowhere else', () => {
    const ends = [[0, 1], [2, 3], [4, 5], [6, 7], [0, 2], [4, 6], [1, 3], [5, 7], [0, 4], [1, 5], [2, 6], [3, 7]];
    for (let inside = 0; inside < 256; inside++) {
      const crossed = ends.flatMap(([a, b], edge) => (((inside >> a) ^ (inside >> b)) & 1 ? [edge] : []));
      expect([...new Set(cubeCases[inside])].sort((a, b) => a - b), `case ${inside}`).toEqual(crossed);
    }
  });
  test('at most five triangles, 820 in all: as many as the published table has', () => {
    expect(Math.max(...cubeCases.map((edges) => edges.length / 3))).toBe(5);
    expect(cubeCases.reduce((sum, edges) => sum + edges.length / 3, 0)).toBe(820); // Lorensen and Cline's table as it is commonly printed (from memory)
  });
});

describe('surface(volume, threshold)', () => {
  test('of any values whatever, noise too: closed, every edge in two triangles that run along it in opposite directions', () => {
    const value = fc.oneof({ weight: 8, arbitrary: fc.float({ min: -1, max: 1, noNaN: true }) }, { weight: 2, arbitrary: fc.constant(0) }, { weight: 1, arbitrary: fc.constantFrom(NaN, Infinity, -Infinity, 1e30) });
    let meshes = 0;
    fc.assert(fc.property(fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 6 }), fc.integer({ min: 1, max: 6 }), fc.infiniteStream(value), (width, height, depth, values) => {
      const volume: Volume = { width, height, depth, voxelSize: 0.7, centre: [20, -30, 40], data: Float32Array.from(values.take(width * height * depth)) };
      if (!volume.data.some((v) => v >= 0)) return;
      const mesh = surface(volume, 0);
      const { watertight: tight, faulty, euler } = watertight(mesh);
      expect(tight, `${faulty} faulty edges`).toBe(true);
      expect(Math.abs(euler % 2), 'each closed piece has an even Euler characteristic').toBe(0);
      expect(meshVolume(mesh), 'it encloses something').toBeGreaterThan(0);
      const again = readStl(writeStl(mesh));
      expect(watertight(again), 'the same after the STL file, where vertices are known by their places alone').toEqual(watertight(mesh));
      meshes++;
    }), { seed: 1, numRuns: 250 });
    expect(meshes).toBeGreaterThan(200);
  });

  test('of a ball: its volume to 0.6/r², its area to 0.35/r², one piece without a hole', () => {
    for (const radius of [2.5, 5, 10, 20]) {
      const mesh = surface(ballOf(radius), 0);
      const [volume, area] = [(4 / 3) * Math.PI * radius ** 3, 4 * Math.PI * radius ** 2];
      expect(Math.abs(meshVolume(mesh) / volume - 1), `volume of ${radius} voxels`).toBeLessThan(0.6 / radius ** 2);
      expect(Math.abs(meshArea(mesh) / area - 1), `area of ${radius} voxels`).toBeLessThan(0.35 / radius ** 2);
      expect(watertight(mesh)).toMatchObject({ watertight: true, euler: 2 });
      for (let i = 0; i < mesh.positions.length; i += 3) expect(Math.hypot(...mesh.positions.subarray(i, i + 3)), 'a vertex off the ball').toBeCloseTo(radius, 0.5);
    }
  });

  test('lies where the volume lies, y up, z up', () => {
    const lump = volumeOf([20, 20, 20], (x, y, z) => 2.5 - Math.hypot(x - 4, y - 2, z + 3), 0.5);
    const mesh = surface({ ...lump, centre: [100, 200, 300] }, 0);
    const middle = [0, 1, 2].map((k) => Array.from(mesh.positions).filter((_, i) => i % 3 === k).reduce((a, b) => a + b) / (mesh.positions.length / 3));
    [102, 201, 298.5].forEach((expected, k) => expect(middle[k]).toBeCloseTo(expected, 1));
  });

  test('a linear field is cut exactly where it has the threshold', () => {
    const mesh = surface(volumeOf([6, 7, 8], (x, y, z) => 0.3 * x - 0.2 * y + 0.15 * z), 0.1);
    let on = 0;
    for (let i = 0; i < mesh.positions.length; i += 3) {
      const [x, y, z] = mesh.positions.subarray(i, i + 3);
      if (Math.abs(0.3 * x - 0.2 * y + 0.15 * z - 0.1) < 1e-5) on++;
      else expect(Math.abs(x) === 3 || Math.abs(y) === 3.5 || Math.abs(z) === 4, `(${x}, ${y}, ${z}) is neither on the plane nor on a face of the volume`).toBe(true);
    }
    expect(on).toBeGreaterThan(40);
  });

  test('a volume that is full is a box with its very edges cut off, closed at the outer faces', () => {
    const mesh = surface(volumeOf([4, 3, 2], () => 1), 0.5);
    expect(watertight(mesh)).toMatchObject({ watertight: true, euler: 2 });
    expect([0, 1, 2].map((k) => Math.max(...Array.from(mesh.positions).filter((_, i) => i % 3 === k)))).toEqual([2, 1.5, 1]);
    // From voxel to voxel an edge loses a prism of 1/8 square; at a corner, of a cube of 1/8 a tetrahedron of 1/48 is left.
    expect(meshVolume(mesh)).toBeCloseTo(24 - (4 * (3 + 2 + 1)) / 8 - 8 * (1 / 8 - 1 / 48), 5);
  });

  test('a hollow has a wall of its own that faces into it; pieces and hollows are told apart', () => {
    const hollow = volumeOf([44, 24, 24], (x, y, z) => Math.min(Math.max(9 - Math.hypot(x + 10, y, z), 6 - Math.hypot(x - 11, y, z)), Math.hypot(x + 10, y, z) - 4));
    const parts = connectedParts(surface(hollow, 0));
    expect(parts.length, 'a hollow ball and a full one: three walls').toBe(3);
    const ball = (radius: number) => (4 / 3) * Math.PI * radius ** 3;
    [ball(9), ball(6), -ball(4)].forEach((expected, i) => expect(parts[i].volume / expected).toBeCloseTo(1, 1));
    for (const part of parts) expect(watertight(part)).toMatchObject({ watertight: true, euler: 2 });
    expect(connectedParts(joinMeshes(parts)).map(({ volume }) => volume)).toEqual(parts.map(({ volume }) => volume));
    expect(connectedParts(joinMeshes(parts), 500).length, 'the hollow, of 268 mm³, is left out').toBe(2);
    expect(meshVolume(joinMeshes(parts))).toBeCloseTo(parts.reduce((sum, { volume }) => sum + volume, 0), 2);
  });

  test('a threshold that no voxel reaches, or that is no number, is refused', async () => {
    expect(await refusal(() => surface(ballOf(3), 5))).toContain('There is no surface at 5/mm: the greatest value of the volume is');
    expect(await refusal(() => surface(ballOf(3), NaN))).toContain('threshold of the surface is NaN');
    expect(await refusal(() => surface(volumeOf([2, 2, 2], () => NaN), 0))).toContain('the volume holds no number');
  });

  test('steps rise to 1, with smoothing too', () => {
    for (const smooth of [0, 2]) {
      const heard: number[] = [];
      const steps = surfaceSteps(ballOf(4), 0, { smooth });
      let step = steps.next();
      for (; !step.done; step = steps.next()) heard.push(step.value as number);
      expect(heard.every((value, i) => value > (heard[i - 1] ?? 0))).toBe(true);
      expect(heard.at(-1)).toBeCloseTo(1, 12);
      expect(step.value).toEqual(surface(ballOf(4), 0, { smooth }));
    }
  });
});

describe('meshVolume, meshArea and watertight', () => {
  test('a tetrahedron by hand, wherever it lies, and turned inside out', () => {
    expect(meshVolume(tetrahedron)).toBeCloseTo((3 * 2 * 5) / 6, 12);
    expect(meshArea(tetrahedron)).toBeCloseTo((3 * 2 + 3 * 5 + 2 * 5 + Math.hypot(2 * 5, 3 * 5, 3 * 2)) / 2, 6);
    expect(watertight(tetrahedron)).toEqual({ watertight: true, edges: 6, faulty: 0, euler: 2 });
    const moved = { ...tetrahedron, positions: tetrahedron.positions.map((v) => v + 1000) };
    expect(meshVolume(moved)).toBeCloseTo(5, 8);
    expect(meshVolume({ ...tetrahedron, triangles: tetrahedron.triangles.slice().reverse() })).toBeCloseTo(-5, 12);
  });
  test('a hole, a triangle turned over, one too many and an empty mesh are found', () => {
    const { positions, triangles } = tetrahedron;
    expect(watertight({ positions, triangles: triangles.slice(0, 9) }), 'a hole').toMatchObject({ watertight: false, faulty: 3, edges: 6, euler: 1 });
    expect(watertight({ positions, triangles: Uint32Array.from([...triangles.slice(0, 9), 2, 1, 3]) }), 'turned over').toMatchObject({ watertight: false, faulty: 3 });
    expect(watertight({ positions, triangles: Uint32Array.from([...triangles, 1, 2, 3]) }), 'twice').toMatchObject({ watertight: false, faulty: 3 });
    expect(watertight({ positions, triangles: Uint32Array.from([...triangles, 1, 1, 2]) }), 'a triangle of no area').toMatchObject({ watertight: false });
    expect(watertight({ positions, triangles: new Uint32Array(0) })).toMatchObject({ watertight: false, edges: 0 });
  });
});

describe('smoothMesh(mesh, passes)', () => {
  // A ball whose voxels are all or nothing has a surface of steps; smooth, it should be rounder and as large.
  const steps = volumeOf([26, 26, 26], (x, y, z) => (Math.hypot(x, y, z) < 10.3 ? 1 : 0));
  const mesh = surface(steps, 0.5);
  const roughness = ({ positions }: Mesh) => {
    const radii = Array.from({ length: positions.length / 3 }, (_, i) => Math.hypot(...positions.subarray(3 * i, 3 * i + 3)));
    const mean = radii.reduce((a, b) => a + b) / radii.length;
    return Math.sqrt(radii.reduce((sum, r) => sum + (r - mean) ** 2, 0) / radii.length);
  };
  test('takes the steps away and keeps the volume', () => {
    const smooth = smoothMesh(mesh, 10);
    expect(roughness(smooth) / roughness(mesh), 'spread of the radii, as a share of what it was').toBeLessThan(0.6);
    expect(meshVolume(smooth) / meshVolume(mesh)).toBeCloseTo(1, 1.9);
    expect(watertight(smooth)).toEqual(watertight(mesh));
    // The same number of moves inwards only would shrink it.
    expect(Math.abs(meshVolume(smoothMesh(mesh, 40)) / meshVolume(mesh) - 1), 'after forty passes').toBeLessThan(0.03);
  });
  test('none is none, and off is the default', () => {
    expect(smoothMesh(mesh, 0).positions).toEqual(mesh.positions);
    expect(surface(steps, 0.5, { smooth: 3 })).toEqual(smoothMesh(mesh, 3));
    expect(finish(smoothMeshSteps(mesh, 1))).toEqual(smoothMesh(mesh, 1));
    expect(() => smoothMesh(mesh, 1.5)).toThrow('smoothing passes is 1.5');
  });
});

describe('the nut of the capsule, as STL', () => {
  const keV = 60;
  const nut = capsule().find(({ name }) => name === 'nut')!;
  const exact = exactVolume(nut)!;
  const aluminium = linearAttenuation('aluminium', keV);

  test.each([0.3, 0.5, 0.8].map((voxelSize) => ({ voxelSize })))('from voxels of $voxelSize mm: watertight, one piece with one hole, its volume within 3 % of the exact solid', ({ voxelSize }) => {
    const size = Math.ceil(24 / voxelSize);
    const volume = voxelizeSolids([nut], { width: size, height: size, depth: size, voxelSize, centre: [-0.5, 2, -17.5] }, { keV });
    const file = readStl(writeStl(surface(volume, aluminium / 2), 'nut'));
    expect(watertight(file)).toMatchObject({ watertight: true, euler: 0 });
    expect(connectedParts(file).length).toBe(1);
    expect(Math.abs(meshVolume(file) / exact - 1), `volume against ${exact} mm³`).toBeLessThan(0.03);
  });

  test('by the formula of a hexagonal prism less a cylinder', () => {
    expect(exactVolume(hexNut([0, 0, 0], 18, 10, 10.5))).toBeCloseTo(exact, 9);
    expect(exact).toBeCloseTo((Math.sqrt(3) / 2) * 18 ** 2 * 10 - Math.PI * 5.25 ** 2 * 10, 9);
  });

  test('from 90 exact cone-beam views of the whole capsule, reconstructed in voxels of 0.5 mm: the same', () => {
    const geometry = coneBeam({ views: 90, turn: 2 * Math.PI, detectors: 160, rows: 120, pitch: 1, sourceToAxis: 300, sourceToDetector: 450 });
    const projections = projectSolids(capsule(), geometry, { keV });
    const size = 52;
    const volume = fdk(projections, geometry, { window: 'ramp', grid: { width: size, height: size, depth: size, voxelSize: 0.5, centre: [-0.5, 2, -17.5] } });
    const parts = connectedParts(surface(volume, aluminium / 2));
    const file = readStl(writeStl(parts[0], 'nut'));
    expect(watertight(file)).toMatchObject({ watertight: true, euler: 0 });
    expect(Math.abs(meshVolume(file) / exact - 1), `volume against ${exact} mm³`).toBeLessThan(0.03);
  });
});
