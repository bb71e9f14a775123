/**
 * Two measured fan-beam scans of acrylic discs (Helsinki Tomography Challenge 2022, DOI 10.5281/zenodo.7418878, CC BY 4.0), against
 * the data set's own reconstruction and segmentation. They are not part of the checkout: the tests say so where they are missing.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { fbp, linearFit, matthews, otsuThreshold, readNpy, readScan, rmse, scanGeometry, scanGrid, scanSinogram, type FlatBeam, type Image } from '../../src/lib/index.ts';
import { hasMeasured, measuredFolder } from '../lib/support/fixtures.ts';

if (!hasMeasured) console.warn('The measured discs were not tried: ../shared/measured is not there.');

describe.skipIf(!hasMeasured)('measured discs (skipped where ../shared/measured is not there)', () => {
  const file = (name: string, part: string) => readFileSync(new URL(`${name}/${part}`, measuredFolder));
  const done = new Map<string, ReturnType<typeof reconstructed>>();
  function discs(name: string) {
    if (!done.has(name)) done.set(name, reconstructed(name));
    return done.get(name)!;
  }
  function reconstructed(name: string) {
    const scan = readScan(file(name, 'scan.json').toString());
    const { shape: [rows, columns], data } = readNpy(file(name, 'sinogram.npy'));
    const geometry = scanGeometry(scan) as FlatBeam;
    const ours = fbp(scanSinogram(scan, { rows, columns, data }), geometry, { window: 'ramp', grid: scanGrid(scan) });
    const theirs: Image = { ...ours, data: readNpy(file(name, 'reference.npy')).data };
    return { geometry, sinogram: { views: rows, detectors: columns, data }, ours, theirs, segmentation: readNpy(file(name, 'segmentation.npy')).data };
  }

  // What an independent fan-beam fbp gets: slope 1.0002 and 1.0006, rms difference 1e-4/mm, Matthews 0.9997 and 0.9996.
  test.each([['disc-01a', 1.0002, 0.9997], ['disc-04b', 1.0006, 0.9996]])('%s comes out as its makers have it', (name, slope, agreement) => {
    const { ours, theirs, segmentation } = discs(name);
    const fit = linearFit(theirs, ours);
    expect(fit.correlation, 'correlation with their reconstruction').toBeGreaterThanOrEqual(0.9999);
    expect(Math.abs(fit.slope - 1), 'slope').toBeLessThanOrEqual(0.002);
    expect(fit.slope).toBeCloseTo(slope, 3);
    expect(rmse(ours, theirs), 'rms difference, 1/mm').toBeLessThan(1.5e-4);
    const threshold = otsuThreshold(ours);
    const found = matthews(ours.data.map((value) => Number(value > threshold)), segmentation);
    expect(found, 'Matthews correlation with their segmentation').toBeGreaterThanOrEqual(0.999);
    expect(found).toBeCloseTo(agreement, 3);
  });

  test('a disc turned the wrong way round, or with its axis two cells aside, would be seen', () => {
    const { geometry, sinogram, ours, theirs } = discs('disc-01a');
    const grid = { width: 128, height: 128, pixelSize: 4 * ours.pixelSize };
    const coarse = (beam: FlatBeam) => fbp(sinogram, beam, { window: 'ramp', grid });
    const right = coarse(geometry);
    const correlationWith = (beam: FlatBeam) => linearFit(right, coarse(beam)).correlation;
    expect(correlationWith({ ...geometry, angles: geometry.angles.map((angle) => -angle) }), 'turned counter-clockwise').toBeLessThan(0.99);
    expect(correlationWith({ ...geometry, axisOffset: 2 * geometry.pitch }), 'axis two cells aside').toBeLessThan(0.999);
    const mirrored = ours.data.map((_, i) => ours.data[i - (i % 512) + 511 - (i % 512)]);
    expect(linearFit(theirs, { ...ours, data: mirrored }).correlation, 'mirrored').toBeLessThan(0.99);
  });
});
