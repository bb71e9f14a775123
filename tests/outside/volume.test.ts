/**
 * Volumes held against general-purpose libraries: scikit-image, SciPy and NumPy by figures among the check values (volumes.json says how
 * they were made), three by its own readers of NRRD and STL, tifffile as it is installed on this machine.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { NRRDLoader } from 'three/examples/jsm/loaders/NRRDLoader.js';
import { STLLoader } from 'three/examples/jsm/loaders/STLLoader.js';
import { afterAll, describe, expect, test } from 'vitest';
import {
  castRays, chord, ball as ballOf, cut, planeThrough, readNrrd, readTable, surface, voxelPosition, voxelizeSolids, writeNpy, writeNrrd, writeNrrdGzip, writeStl,
  writeTiffStack, type Camera, type Mesh, type Point3, type Volume,
} from '../../src/lib/index.ts';
import { surfaceOf, wholeNumbers, type VolumeFigures } from '../../src/lib/verify/volumes.ts';
import { fixture } from '../lib/support/fixtures.ts';

const figures = fixture<VolumeFigures>('volumes');

function volumeOf([width, height, depth]: readonly [number, number, number], value: (column: number, row: number, slice: number) => number): Volume {
  const data = new Float32Array(width * height * depth);
  for (let i = 0; i < data.length; i++) data[i] = value(i % width, Math.floor(i / width) % height, Math.floor(i / (width * height)));
  return { width, height, depth, voxelSize: figures.voxel, centre: figures.middle, data };
}

function bounds({ positions }: Mesh): { mean: number[]; least: number[]; greatest: number[] } {
  const axis = (k: number) => Array.from(positions).filter((_, i) => i % 3 === k);
  const of = (find: (values: number[]) => number) => [0, 1, 2].map((k) => find(axis(k)));
  return { mean: of((v) => v.reduce((a, b) => a + b, 0) / v.length), least: of((v) => Math.min(...v)), greatest: of((v) => Math.max(...v)) };
}

// Their numbers, areas and volumes, and the regions and circles, are among the checks (P1 to P8) that verify.test.ts runs.
test.each(figures.surfaces)(`the surface of $name lies where scikit-image has it (${figures.by})`, (expected) => {
  const mesh = surfaceOf(figures, expected);
  const { mean, least, greatest } = bounds(mesh);
  // Theirs are kept as float32 in voxels, ours as float32 in mm, and ours keep 1/512 of a voxel away from a voxel's middle.
  for (let k = 0; k < 3; k++) {
    expect(mean[k], `middle of all vertices along axis ${k}, mm`).toBeCloseTo(expected.mean_vertex[k], 4);
    expect(least[k], `least along axis ${k}, mm`).toBeCloseTo(expected.least[k], 2.5);
    expect(greatest[k], `greatest along axis ${k}, mm`).toBeCloseTo(expected.greatest[k], 2.5);
  }
});

test('an oblique cut shows what SciPy finds between voxels', () => {
  const [a, b] = figures.between.points;
  const normal: Point3 = [a[1] - b[1] + 0.1, b[0] - a[0], 0.35 * (a[0] - b[0]) + 0.2];
  const { data } = cut(wholeNumbers(figures), planeThrough(a, normal), { grid: { width: 1, height: 1, pixelSize: 0.5 } });
  expect(data[0]).toBeCloseTo(figures.between.values[0], 3);
});

test('rays through a ball of 0.02/mm lose what the exact chord says', () => {
  const solid = { ...ballOf([1, -2, 0.5], 8), attenuation: 0.02 };
  const volume = voxelizeSolids([solid], { width: 44, height: 44, depth: 44, voxelSize: 0.5, centre: [1, -2, 0.5] }, { samples: 4 });
  const camera: Camera = { projection: 'perspective', eye: [40, -75, 22], target: [1, -2, 0.5], width: 21, height: 21, field: 20 };
  const { data } = castRays(volume, camera, { kind: 'integral' });
  // The pixel in the middle looks at the target, the next ones to the right and up by 20/21 mm.
  const forward = [0, 1, 2].map((k) => camera.target[k] - camera.eye[k]);
  const away = Math.hypot(...forward);
  const right = [forward[1], -forward[0], 0].map((v) => v / Math.hypot(forward[0], forward[1]));
  for (const column of [10, 12, 14, 16]) {
    const through = [0, 1, 2].map((k) => camera.target[k] + ((column - 10) * 20) / 21 * right[k]);
    const direction = through.map((value, k) => (value - camera.eye[k]) / Math.hypot(...through.map((v, i) => v - camera.eye[i]))) as unknown as Point3;
    const exact = 0.02 * chord(solid, camera.eye, direction);
    expect(data[10 * 21 + column], `column ${column}, from ${away} mm away`).toBeCloseTo(exact, 2.5);
  }
});

describe('files, read by others', () => {
  const volume = volumeOf([5, 4, 3], (c, r, s) => Math.fround(0.02 + (c - 2 * r + 7 * s) / 300));

  /** Its types take the bytes for text, which it does not. */
  const byThree = (bytes: Uint8Array) => new NRRDLoader().parse(bytes.slice().buffer as unknown as string);

  test.each([['raw', () => writeNrrd(volume, 'capsule')], ['gzip', () => writeNrrdGzip(volume, 'capsule')]] as const)('NRRD (%s) by three: sizes, numbers and place', async (_, write) => {
    const bytes = await write();
    const seen = byThree(bytes);
    expect([seen.xLength, seen.yLength, seen.zLength]).toEqual([5, 4, 3]);
    expect(Array.from(seen.data as Float32Array)).toEqual(Array.from(volume.data));
    // Its matrix carries steps from voxel to voxel to mm: columns to +x, rows to −y, slices to +z; the first voxel's place stands in its header.
    const m = (seen.matrix as { elements: number[] }).elements;
    const origin = (seen as unknown as { header: { space_origin: string[] } }).header.space_origin.map(Number);
    const place = (i: number, j: number, k: number) => [0, 1, 2].map((axis) => origin[axis] + m[axis] * i + m[4 + axis] * j + m[8 + axis] * k);
    for (const [i, j, k] of [[0, 0, 0], [4, 0, 0], [0, 3, 0], [1, 2, 2]]) place(i, j, k).forEach((value, axis) => expect(value).toBeCloseTo(voxelPosition(volume, i, j, k)[axis], 6));
  });

  test('NRRD of 16 bits by three: samples that its scale carries back', async () => {
    const bytes = writeNrrd(volume, '', 'uint16');
    const seen = byThree(bytes);
    const { fields } = await readNrrd(bytes);
    Array.from(seen.data as Uint16Array).forEach((sample, i) => expect(Number(fields.offset) + Number(fields.scale) * sample).toBeCloseTo(volume.data[i], 5.5));
  });

  test('STL by three: the same triangles, in mm, facing outwards', () => {
    const mesh = surface(volumeOf([9, 9, 9], (c, r, s) => 3.3 - Math.hypot(c - 4, r - 4, s - 4.2)), 0);
    const geometry = new STLLoader().parse(writeStl(mesh).slice().buffer);
    const corners = Array.from(geometry.getAttribute('position').array as Float32Array);
    expect(corners).toEqual(Array.from(mesh.triangles).flatMap((vertex) => Array.from(mesh.positions.subarray(3 * vertex, 3 * vertex + 3))));
    const normals = geometry.getAttribute('normal').array as Float32Array;
    const middle = figures.middle;
    for (let i = 0; i < corners.length; i += 9) {
      const outwards = [0, 1, 2].reduce((sum, k) => sum + normals[i + k] * (corners[i + k] - middle[k]), 0);
      expect(outwards, `the normal of triangle ${i / 9}`).toBeGreaterThan(0);
    }
  });

  const python = ['/usr/bin/python3', 'python3'].find((path) => spawnSync(path, ['-c', 'import numpy, tifffile']).status === 0);
  const folder = mkdtempSync(join(tmpdir(), 'slices-volume-'));
  afterAll(() => rmSync(folder, { recursive: true }));
  const byPython = (name: string, bytes: Uint8Array, script: string): unknown => {
    writeFileSync(join(folder, name), bytes);
    return JSON.parse(execFileSync(python!, ['-c', `import json, sys, numpy as np, tifffile\nf = sys.argv[1]\nprint(json.dumps(${script}))`, join(folder, name)], { encoding: 'utf8' }));
  };

  test.skipIf(!python)('TIFF stacks and NPY by tifffile and NumPy: values, scale, size of a pixel (skipped where these are not installed)', async () => {
    const described = '{"shape": a.shape, "dtype": a.dtype.str, "values": a.astype("f8").ravel().tolist()}';
    const values = Array.from(volume.data);
    expect(byPython('a.tif', writeTiffStack(volume), `(lambda a: ${described})(tifffile.imread(f))`)).toEqual({ shape: [3, 4, 5], dtype: '<f4', values });
    const resolution = byPython('a.tif', writeTiffStack(volume), '(lambda p: [p.tags[282].value, p.tags[283].value, int(p.tags[296].value), p.tags[270].value])(tifffile.TiffFile(f).pages[2])') as [number[], number[], number, string];
    expect(resolution[0][0] / resolution[0][1], 'pixels per cm').toBeCloseTo(10 / 0.5, 9);
    expect(resolution[1]).toEqual(resolution[0]);
    expect(resolution[2], 'per centimetre').toBe(3);

    const sixteen = byPython('b.tif', writeTiffStack(volume, 'uint16'), '(lambda t: {"values": t.asarray().astype("f8").ravel().tolist(), "dtype": t.asarray().dtype.str, "text": t.pages[0].description})(tifffile.TiffFile(f))') as { values: number[]; dtype: string; text: string };
    expect(sixteen.dtype).toBe('<u2');
    const [, scale, offset] = /scale=(\S+)\noffset=(\S+)\n/.exec(sixteen.text) ?? [];
    sixteen.values.forEach((sample, i) => expect(Math.abs(Number(offset) + Number(scale) * sample - values[i])).toBeLessThan(0.51 * Number(scale)));

    expect(byPython('c.npy', writeNpy([3, 4, 5], volume.data), `(lambda a: ${described})(np.load(f))`)).toEqual({ shape: [3, 4, 5], dtype: '<f4', values });
  });

  test('readTable takes a NRRD apart into its slices', async () => {
    const tables = await readTable(writeNrrd(volume), 'a.nrrd');
    expect(tables.map(({ rows, columns }) => [rows, columns])).toEqual([[4, 5], [4, 5], [4, 5]]);
    expect(tables.flatMap(({ data }) => Array.from(data))).toEqual(Array.from(volume.data));
  });
});
