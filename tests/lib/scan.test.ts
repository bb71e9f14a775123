import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import Ajv2020 from 'ajv/dist/2020.js';
import fc from 'fast-check';
import { detectorPosition, disc, fbp, projectPhantom, readScan, scanGeometry, scanPhotoOptions, scanGrid, scanSinogram, writeScan, type FlatBeam, type Scan, type Table2D } from '../../src/lib/index.ts';
import { mistakeIn, type Schema } from '../../src/lib/files/check-schema.ts';
import { outcome, refusal } from './support/bad-input.ts';

const schema = JSON.parse(readFileSync(new URL('../../src/lib/files/scan.schema.json', import.meta.url), 'utf8')) as Schema;
const fan: Scan = {
  format: 'scan', version: 1, title: 'A disc',
  beam: { shape: 'fan', sourceToAxis: 400, sourceToDetector: 560 },
  detector: { pitch: 0.5, columns: 200, rows: 1, axisOffset: 1.25 },
  angles: { start: 0, step: 4, count: 90 },
  turn: 'counterclockwise',
  frames: { kind: 'line-integrals', file: 'sinogram.npy' },
  reconstruction: { method: 'fbp', window: 'ramp', size: 128, pixelSize: 0.4 },
};
const parallel: Scan = { ...fan, beam: { shape: 'parallel' }, angles: { start: 0, step: 2, count: 90 } };
const photographs: Scan = { ...fan, beam: { shape: 'cone', sourceToAxis: 400, sourceToDetector: 560 }, angles: { list: [0, 90, 180] }, frames: { kind: 'photographs', files: ['a.png', 'b.png', 'c.png'], dark: ['d.png'], encoding: 'srgb' } };

/** A copy of a scan with one value set; a path of keys. undefined removes it. */
function changed(scan: unknown, path: string, value: unknown): unknown {
  const copy = structuredClone(scan) as Record<string, any>;
  const keys = path.split('.');
  let at = copy;
  for (const key of keys.slice(0, -1)) at = at[key];
  if (value === undefined) delete at[keys.at(-1)!];
  else at[keys.at(-1)!] = value;
  return copy;
}

describe('readScan and writeScan', () => {
  test.each([['fan', fan], ['parallel', parallel], ['photographs', photographs]])('a scan is read back as it was written: %s', (_, scan) => {
    expect(readScan(writeScan(scan))).toEqual(scan);
  });

  test('a list of angles stays on one line', () => {
    expect(writeScan({ ...fan, angles: { list: [0, 1.5, 3] } })).toContain('"list": [0, 1.5, 3]');
    expect(writeScan(fan)).toMatch(/\}\n$/);
  });

  test('text that looks like the writer’s own marks is kept', () => {
    const title = 'a "quote", [1,2,3], \u0000 1 and \\u00001';
    expect(readScan(writeScan({ ...fan, title })).title).toBe(title);
  });

  test('what may be left out may be left out', () => {
    const { title, turn, reconstruction, ...rest } = fan;
    expect(() => readScan(JSON.stringify({ ...rest, detector: { pitch: 0.5, columns: 200 }, angles: { step: 4, count: 90 } }))).not.toThrow();
  });

  test('a byte-order mark and a $schema are accepted', () => {
    expect(readScan(`\uFEFF${JSON.stringify({ $schema: 'scan.schema.json', ...fan })}`).title).toBe('A disc');
  });

  test.each([
    ['nothing', '', 'not JSON: it is empty'],
    ['a file cut in the middle', JSON.stringify(fan).slice(0, 100), 'not JSON: it ends in the middle'],
    ['a missing comma', '{\n  "format": "scan"\n  "version": 1\n}', 'line 3, column 3 has "\\"" where'],
    ['a list', '[]', 'is a list and should be an object'],
  ])('refuses %s', async (_, text, words) => {
    expect(await refusal(() => readScan(text))).toContain(words);
  });

  test.each<[string, string, unknown, string]>([
    ['a misspelt key', 'detector.colums', 200, 'detector.colums is not a key that is known: did you mean detector.columns?'],
    ['a key in other capitals', 'beam.sourcetoaxis', 400, 'did you mean beam.sourceToAxis?'],
    ['a key that is like nothing', 'frobnicate', 1, 'frobnicate is not a key that is known: the keys of a scan file are format, version, title'],
    ['a missing distance', 'beam.sourceToAxis', undefined, 'beam.sourceToAxis is missing: it should be a number above 0'],
    ['an unknown beam', 'beam.shape', 'pyramid', 'beam.shape is "pyramid" and should be "parallel", "fan" or "cone".'],
    ['no beam shape', 'beam.shape', undefined, 'beam.shape is missing'],
    ['a detector before the axis', 'beam.sourceToDetector', 399, 'The detector lies before the axis: beam.sourceToDetector is 399 mm and should be at least beam.sourceToAxis, 400 mm.'],
    ['a pitch in quotes', 'detector.pitch', '0.5', 'detector.pitch is "0.5" and should be a number above 0'],
    ['a pitch of 0', 'detector.pitch', 0, 'detector.pitch is 0'],
    ['half a column', 'detector.columns', 199.5, 'detector.columns is 199.5 and should be a whole number from 2 to 65536'],
    ['an axis beside the detector', 'detector.axisOffset', 50, 'detector.axisOffset is 50 mm, which is beside the detector: 200 cells of 0.5 mm reach 50 mm'],
    ['one view', 'angles.count', 1, 'angles.count is 1 and should be a whole number from 2'],
    ['a step of 0', 'angles.step', 0, 'angles.step is 0'],
    ['a list beside a step', 'angles.list', [1, 2], 'angles.list is not a key that is known'],
    ['a word among the angles', 'angles', { list: [0, 'ten'] }, 'angles.list[1] is "ten"'],
    ['angles that are only a list', 'angles', [0, 10], 'angles is a list and should be an object in braces'],
    ['an unknown turn', 'turn', 'left', 'turn is "left" and should be "counterclockwise" or "clockwise"'],
    ['a window without its formula', 'reconstruction.window', 'formula', 'reconstruction.formula is missing'],
    ['a formula without its window', 'reconstruction.formula', 'cos(f)', 'reconstruction.formula does not belong here'],
    ['a centre of three numbers', 'reconstruction.centre', [0, 0, 0], 'reconstruction.centre has 3 entries and should have 2'],
    ['another version', 'version', 2, 'version is 2 and should be 1'],
    ['another format', 'format', 'plan', 'format is "plan" and should be "scan"'],
    ['a key that every object has', '__proto__x', 1, '__proto__x is not a key'],
    ['photographs without angles to match', 'frames', photographs.frames, 'frames.files lists 3 photographs and angles has 90 views'],
  ])('refuses %s, naming the key', async (_, path, value, words) => {
    expect(await refusal(() => readScan(JSON.stringify(changed(fan, path, value))))).toContain(words);
  });

  test.each<[string, object, string]>([
    ['a measured curve without the curve', { encoding: 'measured' }, 'frames.encoding is "measured" and frames.curve is missing'],
    ['a curve without its encoding', { curve: { stored: [0, 1], light: [0, 1] } }, 'frames.curve is given and frames.encoding is "srgb"'],
    ['a curve with more light than values', { encoding: 'measured', curve: { stored: [0, 1], light: [0, 0.5, 1] } }, '2 stored values and 3 of light'],
    ['a curve that falls', { encoding: 'measured', curve: { stored: [0, 0.5, 1], light: [0, 0.6, 0.4] } }, 'frames.curve falls at its entry 3'],
    ['a polynomial without its energy', { hardening: { coefficients: [1], longest: 4 } }, 'frames.hardening.energy is missing'],
  ])('refuses %s', async (_, change, words) => {
    expect(await refusal(() => readScan(JSON.stringify({ ...photographs, frames: { ...photographs.frames, ...change } })))).toContain(words);
  });

  test('a measured curve and a polynomial against hardening go with the photographs', () => {
    const curve = { stored: [0, 0.5, 1], light: [0, 0.3, 1] }, hardening = { coefficients: [1, 0.05], energy: 38, longest: 4 };
    const scan = readScan(writeScan({ ...photographs, frames: { ...photographs.frames, encoding: 'measured', curve, hardening } as Scan['frames'] }));
    expect(scanPhotoOptions(scan)).toMatchObject({ encoding: curve, hardening });
  });

  test('a key named __proto__ is unknown like any other', async () => {
    expect(await refusal(() => readScan(JSON.stringify(fan).replace('{', '{"__proto__": {"polluted": 1},')))).toContain('__proto__ is not a key');
    expect(({} as { polluted?: number }).polluted).toBeUndefined();
  });
});

describe('scan.schema.json', () => {
  const ajv = new Ajv2020({ strict: true, strictTypes: false, strictRequired: false, allErrors: false });
  const validate = ajv.compile(schema);

  test('accepts what readScan accepts', () => {
    for (const scan of [fan, parallel, photographs]) expect(validate(scan), JSON.stringify(validate.errors)).toBe(true);
  });

  /** Any key of a scan set to anything, any number of times: mostly wrong in one small way. */
  const paths = ['format', 'version', 'title', 'beam', 'beam.shape', 'beam.sourceToAxis', 'beam.sourceToDetector', 'detector', 'detector.pitch', 'detector.columns', 'detector.rows', 'detector.axisOffset', 'detector.rowOffset', 'detector.tilt', 'detector.mirrored',
    'angles', 'angles.start', 'angles.step', 'angles.count', 'angles.list', 'turn', 'frames', 'frames.kind', 'frames.file', 'frames.files', 'frames.dark', 'frames.encoding', 'reconstruction', 'reconstruction.method', 'reconstruction.window', 'reconstruction.formula', 'reconstruction.cutoff', 'reconstruction.size', 'reconstruction.pixelSize', 'reconstruction.centre', 'surprise', 'detector.surprise'];
  const value = fc.oneof(
    fc.constantFrom<unknown>(undefined, null, true, false, '', 'fan', 'parallel', 'cone', 'line-integrals', 'photographs', 'formula', 'hann', 'srgb', 'clockwise', 'fbp', 'scan', 'x'.repeat(1001), 0, 1, 2, -1, 0.5, 3.7, 65537, 1e9, [], [1], [1, 2], [1, 2, 3], ['a', 'b'], [1, 'a'], [[1]], {}, { shape: 'parallel' }, { list: [1, 2] }, { step: 1, count: 2 }, { kind: 'line-integrals', file: 'a' }, { method: 'fbp' }),
    fc.jsonValue({ maxDepth: 2 }),
  );
  /** Changes that mostly leave a scan right, so that both answers are tried. */
  const fitting: [string, unknown][] = [['title', ''], ['title', undefined], ['turn', 'clockwise'], ['turn', undefined], ['detector.rows', 65536], ['detector.rows', undefined], ['detector.tilt', -45], ['detector.mirrored', true],
    ['detector.columns', 2], ['detector.pitch', 1e-9], ['angles', { list: [0, -36000, 36000] }], ['angles', { step: 360, count: 65536, start: -1 }], ['angles.start', 5], ['beam', { shape: 'parallel' }], ['reconstruction', undefined],
    ['reconstruction', { method: 'fbp' }], ['reconstruction', { method: 'fbp', window: 'formula', formula: 'f' }], ['reconstruction.cutoff', 1], ['reconstruction.centre', [-1, 2.5]], ['reconstruction.window', 'none'],
    ['frames', { kind: 'line-integrals', file: 'é'.repeat(1000) }], ['frames', { kind: 'photographs', files: ['a', 'b'], encoding: 'linear', flat: [] }]];
  const change = fc.oneof({ weight: 1, arbitrary: fc.tuple(fc.constantFrom(...paths), value) }, { weight: 2, arbitrary: fc.constantFrom(...fitting) });

  test('agrees with readScan on thousands of scans, right and wrong, as judged by an independent validator (ajv)', () => {
    const counts = { valid: 0, invalid: 0 };
    fc.assert(fc.property(fc.constantFrom(fan, parallel, photographs), fc.array(change, { minLength: 1, maxLength: 3 }), (scan, changes) => {
      let subject: any = structuredClone(scan);
      for (const [path, to] of changes) {
        const parent = path.includes('.') ? subject[path.split('.')[0]] : subject;
        if (typeof parent !== 'object' || parent === null || Array.isArray(parent)) continue;
        subject = changed(subject, path, structuredClone(to));
      }
      subject = JSON.parse(JSON.stringify(subject));
      const theirs = validate(subject);
      const ours = mistakeIn(subject, schema);
      expect(ours === undefined, `ajv: ${JSON.stringify(validate.errors?.[0] ?? 'valid')}; ours: ${ours}; ${JSON.stringify(subject)}`).toBe(theirs);
      counts[theirs ? 'valid' : 'invalid']++;
    }), { seed: 6, numRuns: 6000 });
    expect(counts.valid, 'how many were valid').toBeGreaterThan(500);
    expect(counts.invalid, 'how many were not').toBeGreaterThan(2000);
  });

  test('any JSON and any text is read or refused', async () => {
    await fc.assert(fc.asyncProperty(fc.oneof(fc.json(), fc.string(), fc.json().map((text) => text.slice(0, -1))), async (text) => {
      await outcome(() => readScan(text));
    }), { seed: 7, numRuns: 1000 });
  });

  test('every key has a description, because the sentences are made of them', () => {
    const undescribed: string[] = [];
    const walk = (node: Schema, path: string) => {
      for (const [key, property] of Object.entries(node.properties ?? {})) {
        if (property === false) continue;
        if (!property.description && !('const' in property)) undescribed.push(`${path}.${key}`);
        walk(property, `${path}.${key}`);
      }
      for (const branch of node.oneOf ?? []) walk(branch, path);
    };
    walk(schema, '');
    expect(undescribed).toEqual([]);
  });
});

describe('scanGeometry', () => {
  test('degrees become radians, and the numbers stay what they are', () => {
    const geometry = scanGeometry(fan);
    expect(geometry).toMatchObject({ beam: 'fan', sourceToAxis: 400, sourceToDetector: 560, pitch: 0.5, detectors: 200, axisOffset: 1.25 });
    expect(geometry.angles).toHaveLength(90);
    expect(geometry.angles[45]).toBeCloseTo(Math.PI, 12);
  });

  test('a clockwise scan counts its angles the other way', () => {
    expect(scanGeometry({ ...fan, turn: 'clockwise', angles: { start: 10, step: 4, count: 3 } }).angles.map((a) => (a * 180) / Math.PI)).toEqual([-10, -14, -18].map((a) => expect.closeTo(a, 10)));
  });

  test('a lost frame is left out of the list of angles', () => {
    expect(scanGeometry({ ...parallel, angles: { list: [0, 2, 6] } }).angles).toEqual([0, 2, 6].map((a) => (a * Math.PI) / 180));
  });

  test('tilt is for the cone; left-out values are 0', () => {
    expect(scanGeometry({ ...photographs, detector: { pitch: 0.5, columns: 200, rows: 150, tilt: 90 / Math.PI } })).toMatchObject({ beam: 'cone', rows: 150, rowOffset: 0, tilt: expect.closeTo(0.5, 12), axisOffset: 0 });
    expect(Object.is(scanGeometry({ ...fan, detector: { pitch: 1, columns: 9, mirrored: true } }).axisOffset, 0), 'no −0').toBe(true);
  });
});

describe('scanGrid', () => {
  test('what the scan asks for', () => expect(scanGrid(fan)).toEqual({ width: 128, height: 128, pixelSize: 0.4 }));

  test('left out: a pixel a cell, over the circle that every view sees whole', () => {
    const grid = scanGrid({ ...parallel, detector: { pitch: 0.5, columns: 200 }, reconstruction: undefined });
    expect(grid.width).toBe(199);
    expect(grid.width * grid.pixelSize).toBeCloseTo(199 * 0.5, 3);
    expect(scanGrid({ ...parallel, detector: { pitch: 0.5, columns: 200 }, reconstruction: { method: 'fbp', pixelSize: 1 } }).width).toBe(100);
    expect(scanGrid({ ...parallel, detector: { pitch: 0.5, columns: 5000 }, reconstruction: undefined }).width, 'never larger than 1024² unasked').toBe(1024);
  });

  test('20,000² is refused with the memory it would take', async () => {
    expect(await refusal(() => scanGrid({ ...fan, reconstruction: { method: 'fbp', size: 20000 } }))).toBe(
      'A picture of 20,000 × 20,000 pixels (reconstruction.size) would take 1.6 GB of memory and at most 500 MB are allowed for: make it smaller, by binning 2 × 2 say, or split it.');
  });
});

describe('scanSinogram', () => {
  const table = (rows: number, columns: number): Table2D => ({ rows, columns, data: new Float32Array(rows * columns) });

  test.each([
    ['one view', table(1, 200), 'has one view (1 row of 200 numbers): a slice needs at least two'],
    ['too few rows', table(89, 200), 'has 89 rows and the scan has 90 angles: there should be one row for each angle.'],
    ['rows and columns exchanged', table(200, 90), 'its columns would match, so turn it'],
    ['too many columns', table(90, 201), 'has 201 columns and detector.columns is 200'],
    ['a NaN', { ...table(90, 200), data: table(90, 200).data.fill(NaN, 300, 301) }, 'not a number (NaN) in row 2, column 101'],
  ])('refuses %s', async (_, given, words) => {
    const sentence = await refusal(() => scanSinogram(fan, given, 'sinogram.npy'));
    expect(sentence).toMatch(/^sinogram\.npy /);
    expect(sentence).toContain(words);
  });

  test('a mirrored scan with its axis off centre comes out as the scan that was not mirrored', () => {
    const straight: Scan = { ...fan, detector: { pitch: 1, columns: 120, axisOffset: 3 } };
    const geometry = scanGeometry(straight) as FlatBeam;
    const { data } = projectPhantom([disc(12, 5, 6, 0.02)], geometry);
    const stored = data.slice();
    for (let view = 0; view < 90; view++) stored.subarray(view * 120, view * 120 + 120).reverse();
    // On the stored frames the axis falls 3 mm to the other side of the middle.
    const mirrored: Scan = { ...straight, detector: { pitch: 1, columns: 120, axisOffset: -3, mirrored: true } };
    expect(scanGeometry(mirrored)).toEqual(geometry);
    expect(scanSinogram(mirrored, { rows: 90, columns: 120, data: stored }).data).toEqual(data);
    expect(detectorPosition(geometry, 59.5)).toBe(-3);
  });

  test('turning clockwise instead gives the same slice of the same object', () => {
    const grid = { width: 40, height: 40, pixelSize: 1 };
    const slice = (turn: Scan['turn']) => {
      const scan: Scan = { ...fan, turn, detector: { pitch: 1, columns: 120, axisOffset: 2 } };
      const geometry = scanGeometry(scan) as FlatBeam;
      const { data } = projectPhantom([disc(8, 3, 5, 0.02)], geometry);
      return fbp(scanSinogram(scan, { rows: 90, columns: 120, data }), geometry, { window: 'hann', grid }).data;
    };
    const [one, other] = [slice('counterclockwise'), slice('clockwise')];
    expect(Math.max(...one.map((value, i) => Math.abs(value - other[i]))), 'greatest difference, 1/mm').toBeLessThan(2e-4);
    expect(Math.max(...one)).toBeGreaterThan(0.015);
  });
});
