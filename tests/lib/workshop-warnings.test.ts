import { expect, test } from 'vitest';
import { disc, fanBeam, parallelBeam, projectPhantom, type FlatBeam } from '../../src/lib/index.ts';
import { remarks, shadowOf, viewsForReach } from '../../src/workshop/scan/warnings.ts';

const grid = { width: 100, height: 100, pixelSize: 1 };
const seen = (geometry: FlatBeam, radius = 20, x = 0) => projectPhantom([disc(x, 0, radius, 0.02)], geometry);
const about = (geometry: FlatBeam, radius?: number, x?: number) => remarks(geometry, seen(geometry, radius, x), grid);
const kinds = (found: ReturnType<typeof remarks>) => found.filter(({ kind }) => kind === 'warning').map(({ about: what }) => what);

const good = parallelBeam({ views: 120, detectors: 101, pitch: 1 });

test('remarks: a good scan has no warning, and says what its views cover', () => {
  const found = about(good);
  expect(kinds(found)).toEqual([]);
  expect(found[0]).toMatchObject({ kind: 'note', about: 'coverage' });
  expect(found[0].sentence).toContain('180°');
});

test('remarks: half, short and full turns are told from an incomplete one', () => {
  const fan = { detectors: 101, pitch: 1, sourceToAxis: 200, sourceToDetector: 200, views: 180 };
  expect(about(fanBeam({ ...fan, turn: 2 * Math.PI }))[0].sentence).toContain('360°');
  expect(about(fanBeam({ ...fan, turn: (4 / 3) * Math.PI }))[0].sentence).toContain('short scan');
  expect(about(fanBeam({ ...fan, turn: Math.PI }))[0]).toMatchObject({ kind: 'warning', about: 'coverage' });
  expect(about(parallelBeam({ views: 120, turn: (2 / 3) * Math.PI, detectors: 101, pitch: 1 }))[0].sentence).toContain('120°');
});

test('remarks: an object wider than the field', () => {
  expect(kinds(about(good, 60))).toContain('truncation');
  expect(kinds(about(good, 20, 40))).toContain('truncation'); // off the axis, it leaves the field in some views only
  expect(kinds(about(good, 40))).not.toContain('truncation');
});

test('remarks: too few views by the rule N = (π/2)·n of the check values, H2', () => {
  // H2: n = 64, 128, 200 cells across take 101, 202, 315 views.
  expect([64, 128, 200].map((cells) => viewsForReach(good, cells / 2))).toEqual([101, 202, 315]);
  const few = about(parallelBeam({ views: 30, detectors: 101, pitch: 1 }));
  expect(kinds(few)).toEqual(['views']);
  expect(about(parallelBeam({ views: 45, detectors: 101, pitch: 1 })).find(({ about: what }) => what === 'views')!.kind).toBe('note');
  expect(few.find(({ about: what }) => what === 'views')!.sentence).toMatch(/There are 30 views in each half turn.*39 mm wide.*takes 62/); // 40 mm, to within a cell
});

test('shadowOf: how far the object reaches, at the axis', () => {
  expect(shadowOf(seen(good), good).reach).toBeCloseTo(20, -0.5);
  const fan = fanBeam({ views: 60, detectors: 201, pitch: 1, sourceToAxis: 200, sourceToDetector: 400 });
  const { reach } = shadowOf(seen(fan, 20, 10), fan);
  expect(reach).toBeGreaterThan(28);
  expect(reach).toBeLessThan(30.5);
});

test('remarks: light where there should be shadow', () => {
  const sinogram = seen(good);
  const shifted = { ...sinogram, data: sinogram.data.map((value) => value - 0.3) };
  expect(kinds(remarks(good, shifted, grid))).toContain('bright');
  expect(kinds(remarks(good, sinogram, grid, 3))).toEqual(['light']);
});
