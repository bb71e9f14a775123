/** The method on the workshop's sheets: into a scan file and back, and what is wrong with a wish, as a sentence. */
import { describe, expect, test } from 'vitest';
import { plainEngine, readScan, writeScan, type Scan } from '../../src/lib/index.ts';
import { bySpeed } from '../../src/workshop/engine.ts';
import { firstWish, howItWent, methodKeys, methodTitles, wishFaults, wishFrom } from '../../src/workshop/method.ts';
import { faultsOf } from '../../src/workshop/scan/faults.ts';
import { bring, emptySheet, summary } from '../../src/workshop/scan/model.ts';
import { scanOf, takenFrom } from '../../src/workshop/scan/scanfile.ts';

const table = { rows: 12, columns: 20, data: Float32Array.from({ length: 240 }, (_, k) => Math.max(0, 5 - Math.abs((k % 20) - 9.5))) };
const laid = bring(emptySheet, { name: 'a.npy', pages: [table], page: 0, unused: [] });

describe('a method and the scan file', () => {
  test.each(methodTitles)('$value goes into the scan file and comes back', ({ value }) => {
    const by = firstWish(value);
    const written = readScan(writeScan(scanOf(laid.taken!, { ...laid.recipe, by }, 12, 20)));
    expect(written.reconstruction!.method).toBe(value);
    expect(takenFrom(written, 'scan.json').recipe!.by).toEqual(by);
  });

  test('what the sheet does not ask for is kept: the page makes the picture that the command line makes', () => {
    const reconstruction = { method: 'os-sart', subsets: 4, support: 7, noise: 0.02, weights: 'light', nonNegative: false, iterations: 3, size: 32, pixelSize: 0.5 } as const;
    const scan: Scan = { ...scanOf(laid.taken!, undefined, 12, 20), reconstruction };
    const back = takenFrom(scan, 'scan.json').recipe!;
    expect(scanOf(laid.taken!, { ...laid.recipe, ...back }, 12, 20).reconstruction).toMatchObject(reconstruction);
  });

  test('another method forgets what belonged to the one before', () => {
    expect(methodKeys(firstWish('cgls'), { window: 'hann' })).toEqual({ method: 'cgls', iterations: 15 });
    expect(wishFrom({ method: 'fbp', window: 'ramp' })).toBeUndefined();
    expect(wishFrom({ method: 'tv' })).toEqual({ method: 'tv', iterations: 200 });
  });
});

test('the line above a slice names its method, not a filter that was not used', () => {
  const image = { width: 1, height: 1, pixelSize: 1, data: new Float32Array(1) };
  const of = (recipe: object) => summary({ image, taken: laid.taken!, recipe: { ...laid.recipe, window: 'hann', cutoff: 0.5, ...recipe }, page: 0, seconds: 1 });
  expect(of({})).toMatch(/^Hann, cut off at 0.5 of the Nyquist frequency; /);
  expect(of({ by: { method: 'tv', iterations: 40 } })).toMatch(/^total variation, 40 iterations; \d+ × /);
});

describe('what cannot be', () => {
  test.each([[0], [2.5], [1e6], [NaN]])('%f iterations are refused beside their field', (iterations) => expect(wishFaults({ method: 'sirt', iterations }).iterations).toMatch(/cannot be made; it must be a whole number from 1 to 100,000/));
  test('a strength below 0 too', () => expect(wishFaults({ method: 'tv', iterations: 5, strength: -1 }).strength).toMatch(/must be from 0/));
  test('a filter that is not used stands in nobody’s way', () => {
    const recipe = { ...laid.recipe, cutoff: 7 };
    expect(faultsOf(table, laid.taken!, recipe).cutoff).toMatch(/cut-off/);
    expect(faultsOf(table, laid.taken!, { ...recipe, by: firstWish('tv') })).toEqual({});
  });
});

test('the fastest engine comes first, for slices and for volumes', () => {
  const speeds = [{ name: 'plain', says: '', slices: 3, volumes: 1 }, { name: 'simd', says: '', slices: 2, volumes: 9 }] as const;
  expect(bySpeed(speeds, 'slices')).toEqual(['plain', 'simd']);
  expect(bySpeed(speeds, 'volumes')).toEqual(['simd', 'plain']);
});

test('how it went is told in sentences, engines that were lost on the way included', () => {
  const told = { method: 'tv', iterations: 20, nonNegative: true, support: 3, weights: 'equal', start: 'nothing', strength: 0.1, subsets: undefined, noise: 0.02 } as const;
  const iterated = { iterations: 7, stopped: 'discrepancy', history: { rms: [1, 0.02], residual: [] }, told, cells: 1 } as const;
  const words = howItWent({ picture: undefined as never, iterated: iterated as never }, plainEngine(), ['The card was lost.']);
  expect(words).toBe('7 iterations at a strength of 0.1 mm: the misfit to the views fell from 1 to 0.02 rms. It stopped there because the picture explains the views to within their noise. By plain TypeScript, one thread. The card was lost.');
  const averaged = howItWent({ picture: undefined as never, iterated: { ...iterated, cells: 3 } as never }, plainEngine(), []);
  expect(averaged).toMatch(/^3 × 3 cells of the views were averaged first, since a voxel is wider still\. 7 iterations/);
});
