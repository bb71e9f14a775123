import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { disc, ellipse, fanBeam, gaussian, guessOrientation, parallelBeam, projectPhantom, readTable, sheppLogan, turned, type FlatBeam, type Phantom, type Table2D } from '../../src/lib/index.ts';
import { fixture, hasMeasured, measuredFolder, tableOf } from './support/fixtures.ts';

const sinogram = (phantom: Phantom, geometry: FlatBeam): Table2D => {
  const { views, detectors, data } = projectPhantom(phantom, geometry);
  return { rows: views, columns: detectors, data };
};

/** Both ways round, the guess must follow the data. */
function expectViewsInRows(table: Table2D, least: number, what: string): void {
  for (const [views, given] of [['rows', table], ['columns', turned(table)]] as const) {
    const guess = guessOrientation(given);
    expect(guess.views, `${what}, views in ${views}`).toBe(views);
    expect(guess.sure, `${what}: how sure`).toBeGreaterThan(least);
  }
}

/** Discs and blobs anywhere within 80 mm of the axis. */
const anyPhantom: fc.Arbitrary<Phantom> = fc.array(
  fc.record({ r: fc.double({ min: 0, max: 60, noNaN: true }), at: fc.double({ min: 0, max: 6.28, noNaN: true }), size: fc.double({ min: 3, max: 20, noNaN: true }), value: fc.double({ min: 0.005, max: 0.1, noNaN: true }), round: fc.boolean() }),
  { minLength: 1, maxLength: 5 },
).map((shapes) => shapes.map(({ r, at, size, value, round }) => {
  const [x, y] = [r * Math.cos(at), r * Math.sin(at)];
  return round ? gaussian(x, y, size / 3, value) : ellipse(x, y, size, size / 2, at, value);
}));

describe('guessOrientation', () => {
  const half = parallelBeam({ views: 60, detectors: 90, pitch: 2.2 });
  const fan = fanBeam({ views: 90, detectors: 120, pitch: 2.5, sourceToAxis: 400, sourceToDetector: 560 });

  test('the head, in a parallel beam and a fan, more or fewer views than cells', () => {
    expectViewsInRows(sinogram(sheppLogan({ size: 150 }), half), 0.9, 'parallel');
    expectViewsInRows(sinogram(sheppLogan({ size: 150 }), fan), 0.9, 'fan');
    expectViewsInRows(sinogram(sheppLogan({ size: 150 }), parallelBeam({ views: 400, detectors: 90, pitch: 2.2 })), 0.9, '400 views of 90 cells');
    expectViewsInRows(sinogram(sheppLogan({ size: 150 }), parallelBeam({ views: 8, detectors: 90, pitch: 2.2 })), 0.9, '8 views');
  });

  test('any object within the field, parallel or fan', () => {
    fc.assert(fc.property(anyPhantom, fc.constantFrom(half, fan), (phantom, geometry) => {
      expectViewsInRows(sinogram(phantom, geometry), 0.5, geometry.beam);
    }), { seed: 1, numRuns: 200 });
  });

  test('light instead of line integrals, with noise', () => {
    const table = sinogram([disc(20, -10, 40, 0.02), disc(30, 0, 8, 0.05)], half);
    const random = fc.sample(fc.double({ min: -1, max: 1, noNaN: true }), { seed: 3, numRuns: table.data.length });
    const light = { ...table, data: table.data.map((p, i) => 1000 * Math.exp(-p) + 5 * random[i]) };
    expectViewsInRows(light, 0.5, 'brightness');
  });

  test('a table that tells nothing is left as it is, and not sure', () => {
    expect(guessOrientation({ rows: 4, columns: 5, data: new Float32Array(20).fill(3) })).toEqual({ views: 'rows', sure: 0 });
    expect(guessOrientation({ rows: 4, columns: 5, data: new Float32Array(20) })).toEqual({ views: 'rows', sure: 0 });
    expect(guessOrientation({ rows: 1, columns: 5, data: new Float32Array([0, 1, 2, 1, 0]) })).toEqual({ views: 'rows', sure: 0 });
  });

  test('a few values that are not numbers do not confuse it', () => {
    const table = sinogram(sheppLogan({ size: 150 }), half);
    table.data[1234] = NaN;
    table.data[77] = Infinity;
    expectViewsInRows(table, 0.5, 'with NaN');
  });

  test("scikit-image's and Octave's sinograms have views in columns", () => {
    for (const name of ['skimage_radon_toft_64_45', 'skimage_radon_toft_65_180', 'octave_radon_toft_64_90', 'octave_radon_blobs_65_90', 'skimage_radon_blobs_65_90']) {
      expectViewsInRows(turned(tableOf(fixture(name))), 0.9, name);
    }
  });

  test.skipIf(!hasMeasured)('two measured discs have views in rows (skipped where the measured data are not beside the checkout)', async () => {
    for (const name of ['disc-01a', 'disc-04b']) {
      const [table] = await readTable(new Uint8Array(readFileSync(new URL(`${name}/sinogram.npy`, measuredFolder))), name);
      expectViewsInRows(table, 0.9, name);
    }
  });
});

test('turned twice is the table itself', () => {
  const table = { rows: 2, columns: 3, data: new Float32Array([1, 2, 3, 4, 5, 6]) };
  expect(turned(table)).toEqual({ rows: 3, columns: 2, data: new Float32Array([1, 4, 2, 5, 3, 6]) });
  expect(turned(turned(table))).toEqual(table);
});
