/**
 * The parity with scikit-image and Octave (verify.test.ts runs the checks themselves): that a fault in a convention would be seen, and
 * that the figures written into the checks are what those libraries give here, where they are installed.
 */
import { execFileSync, spawnSync } from 'node:child_process';
import { describe, expect, test } from 'vitest';
import { equalAngles, fbp, type Grid, type ParallelBeam, type Sinogram } from '../../src/lib/index.ts';
import { reconstructionChecks } from '../../src/lib/verify/reconstruction.ts';
import { fixture, tableOf } from '../lib/support/fixtures.ts';

const n = 65, views = 90; // odd, so that axis, middle and pixel 32 are one
const geometry: ParallelBeam = { beam: 'parallel', angles: equalAngles(views, Math.PI), detectors: n, pitch: 1, axisOffset: 0 };
const grid: Grid = { width: n, height: n, pixelSize: 1 };
const theirs = tableOf(fixture(`skimage_iradon_blobs_${n}_${views}_ramp`)).data;
const table = tableOf(fixture(`skimage_radon_blobs_${n}_${views}`));
const sinogram: Sinogram = { views, detectors: n, data: Float32Array.from({ length: views * n }, (_, i) => table.data[(i % n) * views + Math.floor(i / n)]) };
/** Largest difference from scikit-image's picture, 30 pixels about the axis; its cells are ours without any mapping at this size. */
function difference(beam: ParallelBeam, pixels: Grid = grid, data = sinogram.data): number {
  const ours = fbp({ ...sinogram, data }, beam, { window: 'ramp', grid: pixels }).data;
  return ours.reduce((most, value, i) => (Math.hypot((i % n) - 32, Math.floor(i / n) - 32) > 30 ? most : Math.max(most, Math.abs(value - theirs[i]))), 0);
}

describe('parity with iradon of scikit-image', () => {
  test('without any mapping at all where the conventions coincide: within 1e-6', () => {
    expect(difference(geometry)).toBeLessThan(1e-6);
  });

  test.each<[string, () => number]>([
    ['the axis half a cell aside', () => difference({ ...geometry, axisOffset: 0.5 })],
    ['views turned the other way', () => difference({ ...geometry, angles: geometry.angles.map((angle) => -angle) })],
    ['y pointing down', () => difference({ ...geometry, angles: geometry.angles.map((angle) => Math.PI - angle) })],
    ['cells in the opposite order', () => difference(geometry, grid, sinogram.data.map((_, i) => sinogram.data[i - (i % n) + n - 1 - (i % n)]))],
    ['half a pixel aside', () => difference(geometry, { ...grid, centre: [0.5, 0] })],
    ['a scale 1 % off', () => difference(geometry, grid, sinogram.data.map((value) => 1.01 * value))],
  ])('%s would be seen', (_, fault) => {
    expect(fault()).toBeGreaterThan(5e-3);
  });
});

const python = ['/usr/bin/python3', 'python3'].find((name) => spawnSync(name, ['-c', 'import skimage']).status === 0);
if (!python) console.warn('scikit-image was not asked again: it is not installed (Debian: python3-skimage).');

describe.skipIf(!python)('scikit-image itself (skipped where it is not installed)', () => {
  test('gives the figures for the head phantom that the checks expect', () => {
    const found = JSON.parse(execFileSync(python!, [new URL('head_iradon.py', import.meta.url).pathname], { encoding: 'utf8' })) as Record<string, number>;
    const expected = (id: string) => reconstructionChecks.find((check) => check.id === id)!;
    expect(found.rms_error_per_mm / expected('S1').expected, `made by ${found.made_by}`).toBeCloseTo(1, 4);
    expect(Math.abs(found.mean_over_true_mean - 1), 'the tolerance of the scale is wider than its own error').toBeLessThan(expected('S2').tolerance);
    expect(found.mean_over_true_mean).toBeCloseTo(0.99996, 5);
  });
});
