import { expect, test } from 'vitest';
import { disc, rasterize, type Image, type Table2D } from '../../src/lib/index.ts';
import { bestLaid, compared, differenceOf, fitted, oriented, placed, resampled, sameGrid, type Placement } from '../../src/workshop/scan/compare.ts';
import { differenceGreys, draggedGreys, usualGreys } from '../../src/workshop/scan/greys.ts';

// Invented: discs without any symmetry.
const grid = { width: 40, height: 40, pixelSize: 0.5 };
const slice = rasterize([disc(0, 0, 8, 0.02), disc(4, 2, 2, 0.03), disc(-3, 5, 1, 0.05)], grid);
const asIs: Placement = { pixelSize: 0.5, turns: 0, flipped: false, slope: 1, intercept: 0 };
const tableOf = ({ width, height, data }: Image): Table2D => ({ rows: height, columns: width, data });

test('oriented: a quarter to the left takes the top right corner to the top left', () => {
  const table: Table2D = { rows: 2, columns: 3, data: Float32Array.of(1, 2, 3, 4, 5, 6) };
  expect(oriented(table, 1, false)).toEqual({ rows: 3, columns: 2, data: Float32Array.of(3, 6, 2, 5, 1, 4) });
  expect(oriented(table, 0, true).data).toEqual(Float32Array.of(3, 2, 1, 6, 5, 4));
  expect(oriented(table, 4, false)).toEqual(table);
  expect(oriented(oriented(table, 3, false), 1, false)).toEqual(table);
});

test('resampled: the same pixels come back as they are, others are read in the same places', () => {
  expect(resampled(slice, { ...grid })).toBe(slice);
  const fine = rasterize([disc(0, 0, 8, 0.02)], { width: 160, height: 160, pixelSize: 0.125 });
  const coarse = resampled(fine, grid);
  expect(coarse.width).toBe(40);
  expect(coarse.data[20 * 40 + 20]).toBeCloseTo(0.02, 7);
  const shifted = resampled(slice, { ...grid, centre: [1, -0.5] }); // two pixels to the right, one down
  expect(shifted.data[18 * 40 + 20]).toBe(slice.data[19 * 40 + 22]);
  expect(shifted.data[39 * 40 + 39]).toBe(0); // beyond the picture
});

test('sameGrid knows a missing centre as the axis', () => {
  expect(sameGrid(grid, { ...grid, centre: [0, 0] })).toBe(true);
  expect(sameGrid(grid, { ...grid, pixelSize: 0.51 })).toBe(false);
});

test('compared: known figures for a slice and the same one lifted by 0.001', () => {
  const lifted = { ...slice, data: slice.data.map((value) => value + 0.001) };
  const figures = compared(lifted, slice);
  expect(figures.rmse).toBeCloseTo(0.001, 8);
  expect(figures.range).toBeCloseTo(0.07, 6); // 0.02 + 0.05 in the small disc, 0 outside
  expect(figures.psnr).toBeCloseTo(20 * Math.log10(70), 3);
  expect(figures.correlation).toBeCloseTo(1, 9);
  expect(compared(slice, slice).ssim).toBeCloseTo(1, 9);
  expect(Math.max(...differenceOf(lifted, slice).data)).toBeCloseTo(0.001, 8);
});

test('fitted: finds the scale and the level of a picture in greys', () => {
  const greys: Table2D = { rows: 40, columns: 40, data: slice.data.map((value) => value * 2000 + 30) };
  const { slope, intercept, correlation } = fitted(greys, asIs, slice);
  expect(slope).toBeCloseTo(1 / 2000, 9);
  expect(intercept).toBeCloseTo(-30 / 2000, 7);
  expect(correlation).toBeCloseTo(1, 9);
  const image = placed(greys, { ...asIs, slope, intercept });
  expect(compared(image, slice).rmse).toBeLessThan(1e-8);
});

test('bestLaid: finds how a turned and mirrored picture has to lie', () => {
  const turnedAway = oriented(oriented(tableOf(slice), 0, true), 3, false); // mirrored, then turned to the right
  const { now, best: { turns, flipped, closeness } } = bestLaid(turnedAway, asIs, slice);
  expect(closeness).toBeCloseTo(1, 9);
  expect(now.closeness).toBeLessThan(0.99);
  expect(oriented(turnedAway, turns, flipped).data).toEqual(slice.data);
});

test('greys: percentiles leave single outliers out; a difference of nothing is the middle', () => {
  const data = Float32Array.from({ length: 1001 }, (_, k) => k);
  data[0] = -1e6;
  expect(usualGreys({ data })).toEqual({ low: 5, high: 995 });
  const { low, high } = differenceGreys({ data: Float32Array.of(-1, 0, 0, 3) });
  expect([low, high]).toEqual([-3, 3]);
});

test('draggedGreys: sideways changes the window about its level, upwards the level alone', () => {
  expect(draggedGreys({ low: 0, high: 2 }, 1 / 3, 0)).toEqual({ low: -1, high: 3 });
  expect(draggedGreys({ low: 0, high: 2 }, 0, 0.5)).toEqual({ low: 1, high: 3 });
});

test('bestLaid: a negative is found too, whatever slope was fitted to it as it lay', () => {
  const negative = { ...oriented(tableOf(slice), 2, false), data: oriented(tableOf(slice), 2, false).data.map((value) => 1 - value) };
  const { best } = bestLaid(negative, { ...asIs, slope: -3 }, slice);
  expect(best).toMatchObject({ turns: 2, flipped: false });
  expect(best.closeness).toBeCloseTo(1, 6);
});
