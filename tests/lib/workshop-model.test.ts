import { existsSync, readFileSync } from 'node:fs';
import { expect, test } from 'vitest';
import { bead, disc, fbp, parallelBeam, projectPhantom, readScan, readTable, scanGeometry, scanGrid, scanSinogram, turned, writeScan, type FlatBeam, type Scan, type Table2D } from '../../src/lib/index.ts';
import { faultsOf, firstFault, unusable } from '../../src/workshop/scan/faults.ts';
import * as model from '../../src/workshop/scan/model.ts';
import { emptySheet, type Brought, type Sheet, type Slice } from '../../src/workshop/scan/model.ts';
import { darkCells, lineIntegrals } from '../../src/workshop/scan/prepare.ts';
import { scanOf, takenFrom } from '../../src/workshop/scan/scanfile.ts';

// Invented: a disc with two beads, half a turn of parallel light.
const geometry = parallelBeam({ views: 90, detectors: 48, pitch: 1 });
const exact = projectPhantom([disc(1, -1, 15, 0.02), bead(6, 3, 4, 0.05), bead(-5, 6, 3, 0.05)], geometry);
const table: Table2D = { rows: 90, columns: 48, data: exact.data };
const brought = (pages: Table2D[], more: Partial<Brought> = {}): Brought => ({ name: 'disc.npy', pages, page: 0, unused: [], ...more });
const laid = model.bring(emptySheet, brought([table]));

const scan: Scan = {
  format: 'scan', version: 1, title: 'A test',
  beam: { shape: 'fan', sourceToAxis: 100, sourceToDetector: 150 },
  detector: { pitch: 0.5, columns: 48, axisOffset: 1.25, mirrored: true },
  angles: { start: 10, step: 4, count: 90 }, turn: 'clockwise',
  frames: { kind: 'line-integrals', file: 'disc.npy' },
  reconstruction: { method: 'fbp', window: 'hann', cutoff: 0.8, size: 64, pixelSize: 0.25, centre: [1, 2] },
};
const slice = (sheet: Sheet): Slice => {
  const { width, height, pixelSize } = { width: 32, height: 32, pixelSize: 1 };
  return { image: fbp(exact, geometry, { window: 'ramp', grid: { width, height, pixelSize } }), taken: sheet.taken!, recipe: sheet.recipe, page: 0, seconds: 1 };
};

test('bring: what the numbers tell is guessed, with reasons, and the picture fills the field', () => {
  expect(laid.taken).toMatchObject({ viewsIn: 'rows', numbers: 'line-integrals', beam: 'parallel', angles: { kind: 'even', start: 0, step: 2 } });
  expect(laid.reasons.angles).toContain('half a turn');
  expect(laid.recipe).toMatchObject({ size: 47, pixelSize: 1 }); // from the middle of the first cell to that of the last: 47 mm
  const onItsSide = model.bring(emptySheet, brought([turned(table)]));
  expect(onItsSide.taken!.viewsIn).toBe('columns');
  expect(model.shape(turned(table), onItsSide.taken!)).toEqual({ views: 90, detectors: 48 });
});

test('bring: brightness is recognised whichever way it lies', () => {
  const light: Table2D = { ...table, data: table.data.map((p) => Math.round(40000 * Math.exp(-p))) };
  for (const [given, viewsIn] of [[light, 'rows'], [turned(light), 'columns']] as const) {
    const { taken } = model.bring(emptySheet, brought([given]));
    expect(taken).toMatchObject({ viewsIn, numbers: 'brightness', bright: 40000 });
  }
});

test('bring: a scan file answers every question, and nothing is guessed over it', () => {
  const sheet = model.bring(emptySheet, brought([table], { scanName: 'scan.json' }), scan);
  expect(sheet.taken).toMatchObject({ title: 'A test', beam: 'fan', sourceToAxis: 100, pitch: 0.5, axisOffset: 1.25, mirrored: true, turn: 'clockwise', angles: { kind: 'even', start: 10, step: 4 } });
  expect(sheet.recipe).toMatchObject({ window: 'hann', cutoff: 0.8, size: 64, pixelSize: 0.25, centre: [1, 2] });
  expect(Object.values(sheet.reasons).filter(Boolean)).toEqual([]);
});

test('the sheet writes the scan file that it was given, and the library reads it back', () => {
  const sheet = model.bring(emptySheet, brought([table], { scanName: 'scan.json' }), scan);
  const written = readScan(writeScan(scanOf(sheet.taken!, sheet.recipe, 90, 48, 'disc.npy')));
  expect(written).toEqual({ ...scan, detector: { ...scan.detector, rows: 1 } });
  expect(scanGeometry(written)).toEqual(scanGeometry(scan));
  expect(scanGrid(written)).toEqual(scanGrid(scan));
});

test('a list of angles and a formula go into the file and come back', () => {
  const list = Array.from({ length: 90 }, (_, k) => k * 2 + (k % 3) * 0.1);
  let sheet = model.answer(laid, { angles: { kind: 'list', list } });
  sheet = model.wish(sheet, { window: 'formula', formula: '1 - f/fc' });
  const written = readScan(writeScan(model.scanOfSheet(sheet)!));
  const back = takenFrom(written, 'scan.json');
  expect(back.taken.angles).toEqual({ kind: 'list', list });
  expect(back.recipe).toMatchObject({ window: 'formula', formula: '1 - f/fc' });
});

test('answer: the reason goes with the guess, and the picture follows the geometry until it is the reader’s own', () => {
  const wider = model.answer(laid, { pitch: 2 });
  expect(wider.reasons.pitch).toBeUndefined();
  expect(wider.recipe).toMatchObject({ size: 47, pixelSize: 2 });
  const own = model.answer(model.wish(wider, { size: 100 }), { pitch: 4 });
  expect(own.recipe).toMatchObject({ size: 100, pixelSize: 2 });
  expect(model.fillField(own).recipe).toMatchObject({ size: 47, pixelSize: 4 });
});

test('answer: turning it exchanges views and cells and guesses the angles anew', () => {
  const other = model.answer(laid, { viewsIn: 'columns' });
  expect(model.shape(table, other.taken!)).toEqual({ views: 48, detectors: 90 });
  const angles = other.taken!.angles;
  expect(angles.kind === 'even' && [180, 360].some((turn) => [turn / 48, turn / 47].includes(angles.step))).toBe(true);
  expect(model.answer(other, { viewsIn: 'rows' }).taken!.angles).toEqual(laid.taken!.angles);
});

test('a complaint leaves everything else as it is', () => {
  const sheet = model.complain(laid, 'brought', 'Something is wrong.');
  expect({ ...sheet, complaints: {} }).toEqual({ ...laid, complaints: {} });
  expect(model.bring(sheet, brought([table])).complaints).toEqual({});
});

test('developed, layAside, isStale: a slice remembers its settings', () => {
  const done = model.developed(laid, slice(laid));
  expect(model.isStale(done)).toBe(false);
  const changed = model.wish(model.layAside(done), { window: 'hann' });
  expect(model.isStale(changed)).toBe(true);
  expect(changed.beside).toMatchObject({ kind: 'slice', slice: { recipe: { window: 'ramp' } } });
  expect(model.isStale(model.answer(done, { axisOffset: 1 }))).toBe(true);
  expect(model.clearBeside(changed).beside).toBeUndefined();
});

test('layPicture: whole greys are fitted to the slice, broken numbers are believed', () => {
  const done = model.developed(laid, slice(laid));
  const { image } = done.slice!;
  const greys: Table2D = { rows: 32, columns: 32, data: image.data.map((value) => Math.round(128 + 2000 * value)) };
  const beside = model.layPicture(done, 'theirs.png', greys).beside!;
  expect(beside).toMatchObject({ kind: 'picture', scaling: 'fitted', placement: { pixelSize: 1 } });
  expect(beside.kind === 'picture' && beside.placement.slope).toBeCloseTo(1 / 2000, 5);
  const plain = model.layPicture(done, 'theirs.npy', { rows: 64, columns: 64, data: new Float32Array(4096).fill(0.5) }).beside!;
  expect(plain).toMatchObject({ scaling: 'as-it-is', placement: { pixelSize: 0.5, slope: 1, intercept: 0 } });
  const own = model.movePicture(model.layPicture(done, 'theirs.png', greys), { slope: 0.001 }).beside!;
  expect(own).toMatchObject({ scaling: 'own', placement: { slope: 0.001 } });
});

test('lineIntegrals: brightness becomes −ln of its share of the open beam, and no light at all stays finite', () => {
  const light: Table2D = { rows: 2, columns: 3, data: Float32Array.of(100, 50, 0, 100, 25, 10) };
  const asked = { viewsIn: 'rows', numbers: 'brightness', bright: 100, unit: 1 } as const;
  const { data } = lineIntegrals(light, asked);
  expect([...data].map((value) => Number(value.toFixed(5)))).toEqual([0, 0.69315, 2.99573, 0, 1.38629, 2.30259]); // the dark cell as half of 10
  expect(darkCells(light)).toBe(1);
  expect(lineIntegrals(light, { ...asked, viewsIn: 'columns' })).toMatchObject({ rows: 3, columns: 2 });
  expect([...lineIntegrals(light, { ...asked, numbers: 'line-integrals', unit: 50 }).data]).toEqual([2, 1, 0, 2, 0.5, Math.fround(0.2)]);
});

test('faultsOf: each answer that cannot be gets its sentence', () => {
  const { taken, recipe } = model.answer(laid, { beam: 'fan', sourceToAxis: 100, sourceToDetector: 150 }) as Required<Sheet>;
  expect(firstFault(faultsOf(table, taken, recipe))).toBeUndefined();
  expect(faultsOf(table, { ...taken, sourceToDetector: 90 }, recipe).sourceToDetector).toBe('The detector is 90 mm from the source and the axis 100 mm: the detector must lie behind the axis.');
  expect(faultsOf(table, { ...taken, angles: { kind: 'list', list: [0, 1, 2] } }, recipe).angles).toContain('3 angles and the sinogram 90 views');
  expect(faultsOf(table, taken, { ...recipe, size: 20000 }).size).toContain('1.6 GB');
  expect(faultsOf(table, { ...taken, axisOffset: 30 }, recipe).axisOffset).toContain('24 mm from its middle');
  expect(faultsOf({ rows: 1, columns: 48, data: new Float32Array(48) }, taken, recipe).viewsIn).toContain('1 view');
  for (const [key, change] of [['pitch', { pitch: 0 }], ['unit', { unit: -1 }], ['sourceToAxis', { sourceToAxis: 0 }]] as const) {
    expect(faultsOf(table, { ...taken, ...change }, recipe)[key]).toMatch(/\.$/);
  }
  for (const [key, change] of [['cutoff', { cutoff: 1.5 }], ['pixelSize', { pixelSize: 0 }], ['size', { size: 100.5 }], ['formula', { window: 'formula', formula: ' ' }]] as const) {
    expect(faultsOf(table, taken, { ...recipe, ...change })[key]).toMatch(/\.$/);
  }
});

test('unusable: one view and an empty picture are no sinogram', () => {
  expect(unusable({ rows: 1, columns: 5, data: new Float32Array(5) }, 'row.npy')).toContain('row.npy holds 1 × 5 numbers');
  expect(unusable({ rows: 2, columns: 2, data: new Float32Array(4) }, 'flat.png')).toContain('the same number, 0, everywhere');
  expect(unusable(table, 'disc.npy')).toBeUndefined();
});

const measured = new URL('../../../shared/measured/disc-01a/', import.meta.url);
test.skipIf(!existsSync(measured))('the measured disc without its scan file: rows, line integrals and a whole turn are guessed; with it, its own slice', async () => {
  const [sinogram] = await readTable(readFileSync(new URL('sinogram.npy', measured)), 'sinogram.npy');
  const guessed = model.bring(emptySheet, brought([sinogram]));
  expect(guessed.taken).toMatchObject({ viewsIn: 'rows', numbers: 'line-integrals', angles: { kind: 'even', step: 0.5 } });
  const given = readScan(readFileSync(new URL('scan.json', measured), 'utf8'));
  const sheet = model.bring(emptySheet, brought([sinogram], { scanName: 'scan.json' }), given);
  const ours = model.scanOfSheet(sheet)!;
  expect(scanGeometry(ours)).toEqual(scanGeometry(given));
  expect({ ...scanGrid(ours) }).toEqual({ ...scanGrid(given) });
  expect(scanSinogram(ours, lineIntegrals(sinogram, sheet.taken!)).data).toBe(sinogram.data);
  expect((scanGeometry(ours) as FlatBeam).angles).toHaveLength(720);
});
