/** The command line on the capsule's photographs: from JPEG files to a volume in 1/mm, held against the numbers that the photographs were made from. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import { attenuationOf, readNrrd, readScan } from '../../src/lib/index.ts';

const capsule = join(import.meta.dirname, '../../datasets/capsule');
const folder = mkdtempSync(join(tmpdir(), 'capsule-'));
afterAll(() => rmSync(folder, { recursive: true }));

test('45 photographs become a volume: the axis is found, and what is inside has its attenuation', async () => {
  const truth = JSON.parse(readFileSync(join(capsule, 'truth.json'), 'utf8'));
  const scan = readScan(readFileSync(join(capsule, 'scan.json'), 'utf8'));
  if (scan.frames.kind !== 'photographs') throw new Error('the capsule is a set of photographs');
  const absolute = (names: readonly string[] = []) => names.map((name) => join(capsule, name));
  const smaller = { ...scan, frames: { ...scan.frames, files: absolute(scan.frames.files), dark: absolute(scan.frames.dark), flat: absolute(scan.frames.flat), bin: 4, glare: { share: truth.glare.share, sigma: truth.glare.sigmaPixels } }, reconstruction: { method: 'fbp', size: 96, pixelSize: 1 } };
  writeFileSync(join(folder, 'scan.json'), JSON.stringify(smaller));

  let out = '';
  vi.spyOn(process.stderr, 'write').mockImplementation(() => true);
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  expect(await main(['reconstruct', join(folder, 'scan.json'), '--out', join(folder, 'c.nrrd'), '--json'])).toBe(0);
  vi.restoreAllMocks();
  const said = JSON.parse(out);
  expect(Math.abs(said.axis.offset - truth.axisOffset.mm), 'the axis, mm').toBeLessThan(0.03); // a tenth of a photograph's pixel
  expect(Math.abs(said.axis.tilt - truth.tilt.degrees), 'its tilt, degrees').toBeLessThan(0.1);

  const volume = await readNrrd(readFileSync(join(folder, 'c.nrrd')));
  const meanAround = ([x, y, z]: number[], reach: number) => {
    let sum = 0, count = 0;
    for (let slice = 0; slice < volume.depth; slice++) for (let row = 0; row < volume.height; row++) for (let column = 0; column < volume.width; column++) {
      const from = Math.hypot(column - (volume.width - 1) / 2 - x, (volume.height - 1) / 2 - row - y, slice - (volume.depth - 1) / 2 - z);
      if (from <= reach) { sum += volume.data[(slice * volume.height + row) * volume.width + column]; count++; }
    }
    return sum / count;
  };
  // Many energies: the value lies between those of the tube's middle and its end (datasets/capsule/README.md: 30 to 90 keV).
  const glass = (keV: number) => attenuationOf({ material: 'sodaLime' }, keV);
  const marble = meanAround([10.5, -10, -5], 4);
  expect(marble, 'the marble, 1/mm').toBeGreaterThan(glass(80));
  expect(marble, 'the marble, 1/mm').toBeLessThan(glass(45));
  const air = meanAround([-13, 5, 18], 3);
  expect(Math.abs(air), 'air inside the shell, 1/mm').toBeLessThan(0.01);
}, 60_000);
