/**
 * Numbers that chapter 10 prints, against figures that were not worked out with this library; and the seven that it keeps of two measured
 * discs (Helsinki Tomography Challenge 2022, DOI 10.5281/zenodo.7418878, CC BY 4.0), measured again where those lie beside the checkout.
 */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { discMask, fbp, matthews, openEngine, otsuThreshold, readNpy, readScan, run, scanGeometry, scanGrid, scanSinogram, totalVariationSteps, type FlatBeam, type Image } from '../../src/lib/index.ts';
import { measuredDiscs, values } from '../../src/widgets/values/few-views-better-guesses.ts';
import { hasMeasured, measuredFolder } from '../lib/support/fixtures.ts';

const numbers = (group: Readonly<Record<string, { readonly value: number }>>, ...names: string[]) => names.map((name) => group[name].value);

// By hand, on paper: sums, halves and means.
test('the worked example is what comes out by hand', () => {
  expect(numbers(values.shadow, 'left', 'right', 'upper', 'lower')).toEqual([4, 6, 3, 7]);
  const expected = { once: [1.75, 2.25, 2.75, 3.25], twice: [1.375, 2.125, 2.875, 3.625], oneByOne: [1, 2, 3, 4] };
  for (const name of ['once', 'twice', 'oneByOne'] as const) numbers(values[name], 'a', 'b', 'c', 'd').forEach((value, k) => expect(value, `${name}, pixel ${k + 1}`).toBeCloseTo(expected[name][k], 6));
  expect(numbers(values.onceShadow, 'left', 'right', 'upper', 'lower')).toEqual([4.5, 5.5, 4, 6]);
  // √((4² + 6² + 3² + 7²)/8), four of the eight rays see nothing; then half of what is left each time: √((0.5² + 0.5² + 1² + 1²)/8), a half, a quarter.
  const first = Math.sqrt(2.5 / 8);
  [[values.fourMisfit.start, Math.sqrt(110 / 8)], [values.fourMisfit.once, first], [values.fourMisfit.twice, first / 2], [values.fourMisfit.thrice, first / 4]]
    .forEach(([printed, hand]) => expect((printed as { value: number }).value).toBeCloseTo(hand as number, 5));
});

// By hand, with a pocket calculator.
test('the exercises’ answers are what comes out by hand', () => {
  expect(values.ray.change.value).toBeCloseTo(0.025, 12);
  expect(values.others.first.value).toBeCloseTo((7 / 2 + 6 / 2) / 2, 6);
  expect(values.free.aMost.value).toBe(3);
  expect(values.stopAt.noise.value).toBeCloseTo(2.71828183 / 50, 7);
  expect(values.heavier.times.value).toBeCloseTo(20.0855369, 6);
  expect(values.work.all.value).toBeCloseTo(80, 9);
  expect(values.rule.value).toBe(202); // 128 · π/2 = 201.06, rounded up
});

test('what the text says of its numbers is so', () => {
  const { bought, strengths, noisy, halves } = values;
  expect(bought.twelve.tv.value, 'twelve views with the prior against ninety without').toBeLessThan(bought.many.fbp.value);
  for (const row of [bought.twelve, bought.few, bought.plan, bought.many]) expect(row.tv.value).toBeLessThan(row.sirt.value);
  expect(noisy.stopError.value).toBeLessThan(1.1 * noisy.bestError.value);
  expect(noisy.lastError.value).toBeGreaterThan(1.1 * noisy.bestError.value);
  expect(strengths.fair.error.value).toBe(Math.min(...[strengths.none, strengths.weak, strengths.fair, strengths.strong].map(({ error }) => error.value)));
  expect(strengths.fair.lost.value, 'half of the discs').toBe(values.details.value / 2);
  expect(strengths.fair.level.value, 'half of the ramp').toBeCloseTo(50, -0.7);
  expect(halves.again.value).toBeLessThan(halves.one.value / 2);
});

if (!hasMeasured) console.warn('The kept figures of the measured discs were not measured again: ../shared/measured is not there.');

describe.skipIf(!hasMeasured)('measured discs at 512² (skipped where ../shared/measured is not there)', () => {
  const { strength, iterations } = measuredDiscs;
  test.each([
    ['disc-01a', 45, measuredDiscs['01a'].fbp45, 'fbp'],
    ...(['01a', '04b'] as const).flatMap((disc) => ([45, 30, 20] as const).map((views) => [`disc-${disc}`, views, measuredDiscs[disc][`tv${views}`], 'tv'] as const)),
  ] as const)('%s from %i views agrees to %f (%s)', async (name, views, printed, how) => {
    const engine = await openEngine('simd');
    const file = (part: string) => readFileSync(new URL(`${name}/${part}`, measuredFolder));
    const scan = readScan(file('scan.json').toString());
    const { shape: [rows, columns], data } = readNpy(file('sinogram.npy'));
    const all = scanSinogram(scan, { rows, columns, data }), geometry = scanGeometry(scan) as FlatBeam;
    const taken = Array.from({ length: views }, (_, k) => (k * 720) / views);
    const few: FlatBeam = { ...geometry, angles: taken.map((view) => geometry.angles[view]) };
    const sinogram = { views, detectors: columns, data: new Float32Array(views * columns) };
    taken.forEach((view, k) => sinogram.data.set(all.data.subarray(view * columns, (view + 1) * columns), k * columns));
    const grid = scanGrid(scan);
    const picture: Image = how === 'fbp' ? fbp(sinogram, few, { window: 'ramp', grid })
      : (await run(totalVariationSteps(sinogram, few, { grid, iterations, strength, nonNegative: true, mask: discMask(grid, 0, 0, 37.5), engine }))).picture;
    engine.close();
    const threshold = otsuThreshold(picture);
    const found = matthews(picture.data.map((value) => Number(value > threshold)), readNpy(file('segmentation.npy')).data);
    expect(found).toBeCloseTo(printed, how === 'fbp' ? 3 : 4);
  }, 300_000);
});
