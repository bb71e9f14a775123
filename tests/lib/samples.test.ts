import { readdirSync, readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { discMask, fbp, linearAttenuation, readNpy, readScan, scanGeometry, scanGrid, scanSinogram, statistics, type FlatBeam, type Image } from '../../src/lib/index.ts';
import { sampleFiles } from '../../scripts/make-samples.ts';

const datasets = new URL('../../datasets/', import.meta.url);

function slice(folder: string): Image {
  const scan = readScan(readFileSync(new URL(`${folder}/scan.json`, datasets), 'utf8'));
  const { shape: [rows, columns], data } = readNpy(new Uint8Array(readFileSync(new URL(`${folder}/sinogram.npy`, datasets))));
  return fbp(scanSinogram(scan, { rows, columns, data }), scanGeometry(scan) as FlatBeam, { window: 'ramp', ...scan.reconstruction, grid: scanGrid(scan) } as Parameters<typeof fbp>[2]);
}

describe('the sample scans', () => {
  // The sinograms were made with a table of attenuation that had four digits: they differ from what the script makes today by less than 10⁻⁴ of their greatest value.
  test('are what scripts/make-samples.ts makes: change the script, then run it', () => {
    for (const [path, bytes] of sampleFiles()) {
      const committed = new Uint8Array(readFileSync(new URL(path, datasets)));
      if (path.endsWith('.npy')) {
        const [made, kept] = [bytes as Uint8Array, committed].map((file) => readNpy(file));
        expect(made.shape, path).toEqual(kept.shape);
        const greatest = kept.data.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
        const apart = made.data.reduce((most, value, i) => Math.max(most, Math.abs(value - kept.data[i])), 0);
        expect(apart / greatest, `${path}: largest difference, as a share of the greatest value`).toBeLessThan(1e-4);
      } else {
        expect(Buffer.from(bytes).equals(committed), path).toBe(true);
      }
      expect(bytes.length, `${path}: bytes, so that the book stays light`).toBeLessThan(300_000);
    }
    const folders = readdirSync(datasets).filter((name) => readdirSync(new URL(name, datasets)).includes('scan.json'));
    expect(folders.sort()).toEqual([...new Set([...sampleFiles().keys()].map((path) => path.split('/')[0])), 'capsule'].sort()); // photographs: capsule-photographs.test.ts
  });

  test.each([
    ['head-parallel', 0, 35, 12, 0.3 * linearAttenuation('bone', 60), 0.01],
    ['capsule-fan', -9, 13, 5, linearAttenuation('sodaLime', 60), 0.01],
    ['lost-frames-fan', -9, 13, 5, linearAttenuation('sodaLime', 60), 0.02],
    ['capsule-fan', 16, 5, 5, linearAttenuation('polyethylene', 60, 0.87), 0.03],
  ])('%s comes back in 1/mm about (%s, %s)', (folder, x, y, radius, expected, tolerance) => {
    const image = slice(folder);
    const { mean } = statistics(image, discMask(image, x, y, radius));
    expect(Math.abs(mean / expected - 1), `mean ${mean}, should be ${expected}`).toBeLessThan(tolerance);
  });
});
