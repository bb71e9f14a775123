/** Alignment on frames that the tests did not make for themselves: a demo sinogram, and measured discs; the demo photographs are in align-photographs. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { findAxis, placeFrames, readNpy, readScan, scanGeometry, type BeamWithoutAngles, type FanBeam, type Geometry, type Sinogram } from '../../src/lib/index.ts';
import { keptSteps, seeded } from '../lib/support/ellipsoid-scene.ts';
import { hasMeasured, measuredFolder } from '../lib/support/fixtures.ts';

const datasets = new URL('../../datasets/', import.meta.url);
const withoutAngles = ({ angles: _, ...beam }: Geometry) => ({ ...beam, axisOffset: 0, ...(beam.beam === 'cone' ? { tilt: 0 } : {}) }) as BeamWithoutAngles;

describe('the demo sinogram of which five frames are lost', () => {
  test('the frames fit the angles that its scan file lists, and its axis', () => {
    const folder = new URL('lost-frames-fan/', datasets);
    const scan = readScan(readFileSync(new URL('scan.json', folder), 'utf8'));
    const { shape: [views, detectors], data } = readNpy(new Uint8Array(readFileSync(new URL('sinogram.npy', folder))));
    const placed = placeFrames({ views: views!, detectors: detectors!, data }, withoutAngles(scanGeometry(scan)), { steps: 90 });
    expect(placed.lost).toEqual([17, 18, 43, 61, 78]);
    expect(placed.sure).toBeGreaterThan(0.99);
    expect(Math.abs(placed.axis!.axisOffset - 1.8) / scan.detector.pitch, 'cells').toBeLessThan(0.1);
  });
});

if (!hasMeasured) console.warn('Alignment was not tried on the measured discs: ../shared/measured is not there.');

// Source: A. Meaney et al., Helsinki Tomography Challenge 2022, Zenodo, DOI 10.5281/zenodo.7418878 (CC BY 4.0).
describe.skipIf(!hasMeasured)('measured discs (skipped where ../shared/measured is not there)', () => {
  const steps = 45;
  function disc(name: string) {
    const file = (part: string) => readFileSync(new URL(`${name}/${part}`, measuredFolder));
    const geometry = scanGeometry(readScan(file('scan.json').toString())) as FanBeam;
    const { shape: [views, detectors], data } = readNpy(file('sinogram.npy'));
    return { geometry, sinogram: { views: views!, detectors: detectors!, data } };
  }
  const chosen = ({ detectors, data }: Sinogram, views: readonly number[]): Sinogram => {
    const result = new Float32Array(views.length * detectors);
    views.forEach((view, i) => result.set(data.subarray(view * detectors, (view + 1) * detectors), i * detectors));
    return { views: views.length, detectors, data: result };
  };

  test.each(['disc-01a', 'disc-04b'])('%s: 45 views, or 40 of them, have their axis where all 720 have it, to 0.1 cells', (name) => {
    const { geometry, sinogram } = disc(name);
    const all = findAxis(sinogram, geometry);
    expect(Math.abs(all.axisOffsetPixels), 'its makers have it at 0').toBeLessThan(0.3);
    expect(all.deviation.axisOffset / geometry.pitch).toBeLessThan(0.05);
    for (const draw of [1, 2, 3, 4]) {
      const views = (draw === 1 ? keptSteps(steps, 0, seeded(0)) : keptSteps(steps, 5, seeded(draw))).map((k) => 16 * k + draw);
      const few = findAxis(chosen(sinogram, views), { ...geometry, angles: views.map((view) => geometry.angles[view]!) });
      expect(Math.abs(few.axisOffsetPixels - all.axisOffsetPixels), `draw ${draw}`).toBeLessThan(0.1);
    }
  });

  test('the axis follows when columns are added at one side, up to 20 cells each way', () => {
    const { geometry, sinogram: { views, detectors, data } } = disc('disc-04b');
    const here = findAxis({ views, detectors, data }, geometry).axisOffsetPixels;
    for (const [left, right] of [[40, 0], [0, 40], [13, 0]] as const) {
      const wide = new Float32Array(views * (detectors + left + right));
      for (let view = 0; view < views; view++) wide.set(data.subarray(view * detectors, (view + 1) * detectors), view * (detectors + left + right) + left);
      const axis = findAxis({ views, detectors: detectors + left + right, data: wide }, { ...geometry, detectors: detectors + left + right });
      expect(Math.abs(axis.axisOffsetPixels - here - (left - right) / 2)).toBeLessThan(0.05);
    }
  });

  // Fifty draws of each are in benchmarks/lost-frames.ts. A single row of a disc that is nearly round tells little; nothing was adjusted to it.
  test.each([['disc-01a', 1], ['disc-01a', 2], ['disc-04b', 3]] as const)('%s, one row, five of 45 frames lost, draw %d: none more than one step out, and not sure where any is out', (name, draw) => {
    const { geometry, sinogram } = disc(name);
    const kept = keptSteps(steps, 5, seeded(draw));
    const placed = placeFrames(chosen(sinogram, kept.map((k) => 16 * k)), withoutAngles(geometry), { steps, step: (-2 * Math.PI) / steps });
    const turns = placed.steps.map((step, i) => (((step - kept[i]!) % steps) + steps) % steps);
    const usual = turns.reduce((best, turn) => (turns.filter((each) => each === turn).length > turns.filter((each) => each === best).length ? turn : best));
    const out = turns.map((turn) => Math.min((turn - usual + steps) % steps, (usual - turn + steps) % steps));
    expect(Math.max(...out)).toBeLessThanOrEqual(1);
    if (Math.max(...out) > 0) expect(placed.sure, `${out.filter(Boolean).length} frames out`).toBeLessThan(0.8);
    if (name === 'disc-04b') expect(Math.max(...out)).toBe(0);
  });
});
