/** The capsule's photographs, from the files to line integrals, against what the exact solids give. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { hardeningCurve, manyEnergies, readScan, straightened, type PhotoOptions, type Scan } from '../../src/lib/index.ts';
import { loadPhotographs } from '../../src/command-line/photographs.ts';
import { rig, spectrum, trueLight } from '../../scripts/make-capsule.ts';
import { refusal } from './support/bad-input.ts';

const path = (name: string) => fileURLToPath(new URL(`../../datasets/capsule/${name}`, import.meta.url));
type PhotographScan = Scan & { readonly frames: { readonly kind: 'photographs' } };
const scanOf = (name: string) => readScan(readFileSync(path(name), 'utf8')) as PhotographScan;
const truth: { exposure: Record<string, number>; directHits: Record<string, [number, number][]>; hotPixels: [number, number][] } = JSON.parse(readFileSync(path('truth.json'), 'utf8'));
const bin = 2;
/** What a frame with a piece of lead in it would have told; see glareFromOpaque. */
const glare = { share: rig.glareShare, sigma: rig.glareSigma };
const load = (scan: PhotographScan, change: Partial<PhotoOptions> = {}) => loadPhotographs(scan, path('scan.json'), { bin, ...change });

/** Every third of 45 photographs, which takes a third of the time. */
const everyThird = (scan: PhotographScan): PhotographScan => ({ ...scan, angles: { step: 24, count: 15 }, frames: { ...scan.frames, files: scan.frames.files.filter((_, k) => k % 3 === 0) } });

/**
 * The line integrals that a perfect photograph of a view gives, on the working frame: −ln of the exact light behind the solids, with all
 * energies, the focal spot and the screen's blur in it, averaged over the working pixel as a camera does.
 */
const known = new Map<number, Float32Array>();
function exact(view: number): Float32Array {
  if (!known.has(view)) known.set(view, worked(view));
  return known.get(view)!;
}

function worked(view: number): Float32Array {
  const { data, width, height } = trueLight(view);
  const [columns, rows] = [width / bin, height / bin];
  return Float32Array.from({ length: columns * rows }, (_, i) => {
    const [column, row] = [i % columns, rows - 1 - Math.floor(i / columns)];
    let light = 0;
    for (let y = 0; y < bin; y++) for (let x = 0; x < bin; x++) light += data[(row * bin + y) * width + column * bin + x] / bin ** 2;
    return -Math.log(light);
  });
}

/** Working pixels within two photograph pixels of a mark that a photon left in the camera. */
function marked(file: string): Uint8Array {
  const [columns, rows] = [rig.columns / bin, rig.rows / bin];
  const marks = new Uint8Array(columns * rows);
  for (const [x, y] of truth.directHits[file]) {
    for (let row = Math.max(0, y - 2); row <= Math.min(rig.rows - 1, y + 2); row++) {
      for (let column = Math.max(0, x - 2); column <= Math.min(rig.columns - 1, x + 2); column++) marks[(rows - 1 - Math.floor(row / bin)) * columns + Math.floor(column / bin)] = 1;
    }
  }
  return marks;
}

interface Errors { rms: number; bias: number }

function errors(seen: Float32Array, right: Float32Array, use: (i: number) => boolean): Errors {
  let sum = 0, squares = 0, count = 0;
  for (let i = 0; i < right.length; i++) {
    if (!use(i)) continue;
    sum += seen[i] - right[i];
    squares += (seen[i] - right[i]) ** 2;
    count++;
  }
  expect(count, 'pixels compared').toBeGreaterThan(50);
  return { rms: Math.sqrt(squares / count), bias: sum / count };
}

describe('the capsule’s 45 photographs', async () => {
  const scan = scanOf('scan.json');
  const loaded = await load(scan, { glare });
  const { projections, report, geometry } = loaded;
  const size = projections.rows * projections.columns;
  const { frames } = scan;

  test.each([0, 21])('photograph %i: rms error at most 0.03 outside the spots, no bias above 0.01, thick and thin', (k) => {
    const right = exact(2 * k);
    const marks = marked(frames.files[k]);
    const seen = projections.data.subarray(k * size, (k + 1) * size);
    const all = errors(seen, right, (i) => !marks[i]);
    expect(all.rms).toBeLessThan(0.03);
    expect(Math.abs(all.bias)).toBeLessThan(0.01);
    // So that the empty border does not hide what is wrong in the object:
    for (const [least, most] of [[-1, 0.01], [0.01, 0.5], [0.5, 1], [1, 1.5], [1.5, 9]]) {
      const { rms, bias } = errors(seen, right, (i) => !marks[i] && right[i] >= least && right[i] < most);
      expect(rms, `line integrals of ${least} to ${most}`).toBeLessThan(0.03);
      expect(Math.abs(bias), `line integrals of ${least} to ${most}`).toBeLessThan(0.01);
    }
    const there = errors(seen, right, (i) => marks[i] === 1);
    expect(there.rms, 'where spots were').toBeLessThan(0.04);
  });

  test('the report counts what was put into the photographs', () => {
    const figures = Object.fromEntries(report.steps.map(({ step, figures: of }) => [step, of]));
    expect(figures.pixels.hot, 'hot pixels').toBe(truth.hotPixels.length);
    expect(figures.dark.mean, 'dark current').toBeCloseTo(0.0035, 3);
    const marks = frames.files.reduce((sum, file) => sum + truth.directHits[file].length, 0);
    expect(figures.spots.pixels / marks, 'pixels replaced for each that was lit').toBeGreaterThan(1);
    expect(figures.spots.share).toBeLessThan(0.001);
    frames.files.forEach((file, k) => {
      const right = truth.exposure[file] / (frames.files.reduce((sum, each) => sum + truth.exposure[each], 0) / 45);
      expect(report.exposure[k] / right, `exposure of ${file}`).toBeCloseTo(1, 2.7); // within 0.1 %
    });
    expect(report.warnings).toEqual([]);
  });

  test('the geometry is that of the working frames', () => {
    expect(geometry).toMatchObject({ beam: 'cone', detectors: 256, rows: 192, pitch: 0.6, axisOffset: 0, rowOffset: 0 });
    expect(loaded.paths).toHaveLength(45 + 3 + 3);
  });

  test('straightened for polyethylene, the shell is right at one energy; metal in it is not', () => {
    const curve = hardeningCurve({ spectrum, material: 'polyethylene' });
    const of = (material: 'polyethylene' | 'aluminium', thickness: number) => straightened(manyEnergies(spectrum, material, thickness), curve) / straightenedRight(material, thickness, curve.energy);
    expect(of('polyethylene', 12)).toBeCloseTo(1, 2);
    expect(of('polyethylene', 40)).toBeCloseTo(1, 2);
    expect(of('aluminium', 15), 'too low, by a tenth or more').toBeLessThan(0.9);
  });
});

const straightenedRight = (material: 'polyethylene' | 'aluminium', thickness: number, keV: number) => manyEnergies([{ keV, share: 1 }], material, thickness);

test('the drifting set: the exposures are found within 0.2 %, and the errors are no larger', async () => {
  const scan = everyThird(scanOf('drift.scan.json'));
  const { projections, report } = await load(scan, { glare });
  const size = projections.rows * projections.columns;
  const mean = scan.frames.files.reduce((sum, file) => sum + truth.exposure[file], 0) / 15;
  scan.frames.files.forEach((file, k) => expect(Math.abs(report.exposure[k] / (truth.exposure[file] / mean) - 1), `exposure of ${file}`).toBeLessThan(0.002));
  const marks = marked(scan.frames.files[7]);
  const { rms, bias } = errors(projections.data.subarray(7 * size, 8 * size), exact(42), (i) => !marks[i]);
  expect(rms).toBeLessThan(0.03);
  expect(Math.abs(bias)).toBeLessThan(0.01);
});

test('without flat frames, and without taking off glare, the mean error is still within 0.01', async () => {
  const scan = everyThird(scanOf('scan.json'));
  const { projections, report } = await load({ ...scan, frames: { ...scan.frames, flat: [] } });
  const marks = marked(scan.frames.files[7]);
  const size = projections.rows * projections.columns;
  const { rms, bias } = errors(projections.data.subarray(7 * size, 8 * size), exact(42), (i) => !marks[i]);
  expect(rms).toBeLessThan(0.03);
  expect(Math.abs(bias)).toBeLessThan(0.01);
  expect(report.steps.find(({ step }) => step === 'flat')!.says).toContain('There is no flat frame');
});

describe('loadPhotographs(scan, path)', () => {
  const scan = scanOf('scan.json');
  const { frames } = scan;

  test('takes what the scan file says of cropping, binning, steps and glare', async () => {
    const few = { ...scan, angles: { start: 0, step: 40, count: 9 }, frames: { ...frames, files: frames.files.filter((_, k) => k % 5 === 0), flat: [], crop: { left: 100, top: 42, width: 302, height: 300 }, bin: 6, glare, without: ['rings' as const, 'flat' as const] } };
    const { projections, geometry, report } = await loadPhotographs(readScan(JSON.stringify(few)), path('scan.json'));
    expect(projections).toMatchObject({ views: 9, columns: 50, rows: 50 });
    // Columns 100…399 are left: their middle, 249.5, is 6 pixels left of the photograph's, 255.5.
    expect(geometry).toMatchObject({ detectors: 50, rows: 50, pitch: expect.closeTo(1.8, 9), axisOffset: expect.closeTo(6 * 0.3, 9), rowOffset: expect.closeTo(0, 1) });
    expect(report.steps.filter(({ says }) => says === 'Switched off.').map(({ step }) => step)).toEqual(['flat', 'rings']);
    expect(report.steps.find(({ step }) => step === 'glare')!.done).toBe(true);
  });

  test.each([
    ['a photograph that is not there', { ...scan, frames: { ...frames, files: frames.files.map((file, k) => (k === 3 ? 'views/none.jpg' : file)), dark: [], flat: [] } }, 'none.jpg is not there'],
    ['a photograph that is no picture', { ...scan, frames: { ...frames, dark: ['truth.json'] } }, 'truth.json: This is not a photograph that can be read'],
    ['a detector of another size', { ...scan, detector: { ...scan.detector, columns: 256 } }, '512 × 384 pixels, and the detector is said to have 256 columns'],
    ['line integrals', { ...scan, frames: { kind: 'line-integrals' as const, file: 'a.npy' } }, 'photographs are expected'],
  ])('refuses %s', async (_, given, words) => {
    expect(await refusal(() => loadPhotographs(given, path('scan.json')))).toContain(words);
  });
});
