/** Lost frames and axis from the demo photographs of the capsule, through the whole chain. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { lineIntegralsFrom, placeFrames, readPhotograph, readScan, scanGeometry, scanPhotoOptions, type ConeBeam } from '../../src/lib/index.ts';

const datasets = new URL('../../datasets/', import.meta.url);

describe('the demo photographs of the capsule', () => {
  test('which five of 45 were never taken, where the axis falls and how it leans, as truth.json has it', async () => {
    const folder = new URL('capsule/', datasets);
    const read = (name: string) => readFileSync(new URL(name, folder));
    const scan = readScan(read('lost-frames.scan.json').toString());
    const truth = JSON.parse(read('truth.json').toString());
    if (scan.frames.kind !== 'photographs') throw new Error('lost-frames.scan.json should list photographs.');
    const list = (names: readonly string[] = []) => ({ count: names.length, frame: (k: number) => readPhotograph(new Uint8Array(read(names[k]!)), names[k]!) });
    const bin = scan.frames.bin!;
    const { projections } = await lineIntegralsFrom({ views: list(scan.frames.files), dark: list(scan.frames.dark), flat: list(scan.frames.flat) }, scanPhotoOptions(scan));
    const { angles: _, ...beam } = scanGeometry(scan) as ConeBeam;
    const placed = placeFrames(projections, { ...beam, detectors: projections.columns, rows: projections.rows, pitch: bin * beam.pitch, axisOffset: 0, tilt: 0 }, { steps: truth.lostFrames.steps });
    expect(placed.steps, 'the first was taken at step 0').toEqual(truth.lostFrames.taken);
    expect(placed.lost).toEqual(truth.lostFrames.notTaken);
    expect(placed.sure).toBeGreaterThan(0.99);
    expect(placed.moved).toEqual([]);
    expect(placed.duplicates).toEqual([]);
    expect(Math.abs(placed.axis!.axisOffset - truth.axisOffset.mm) / scan.detector.pitch, 'pixels of the photographs').toBeLessThan(0.1);
    expect(Math.abs((placed.axis!.tilt * 180) / Math.PI - truth.tilt.degrees), 'degrees').toBeLessThan(0.1);
  });
});
