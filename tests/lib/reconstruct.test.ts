import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  backproject, coverage, detectorIndex, disc, discMask, equalAngles, fanBeam, fbp, fbpSteps, filterViews, finish, gaussian, linearFit, parallelBeam,
  pixelPosition, pointInFan, pointOnDetector, projectPhantom, rmse, sheppLogan, rasterize, statistics, viewWeights,
  type FanBeam, type FlatBeam, type Grid, type Sinogram,
} from '../../src/lib/index.ts';
import { columnsWhere } from '../../src/lib/reconstruct/columns-where.ts';
import { refusal } from './support/bad-input.ts';

const seed = { seed: 77, numRuns: 60 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const largestDifference = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a).reduce((most, value, i) => Math.max(most, Math.abs(value - b[i])), 0);
const greatest = (a: ArrayLike<number>) => Array.from(a).reduce((most, value) => Math.max(most, Math.abs(value)), 0);
function noisySinogram({ angles, detectors }: FlatBeam): Sinogram {
  let state = 12;
  return { views: angles.length, detectors, data: Float32Array.from({ length: angles.length * detectors }, () => (state = (state * 48271) % 2147483647) / 2147483647) };
}

const aGrid: fc.Arbitrary<Grid> = fc.tuple(fc.integer({ min: 1, max: 12 }), fc.integer({ min: 1, max: 12 }), real(0.2, 3), real(-10, 10), real(-10, 10))
  .map(([width, height, pixelSize, x, y]) => ({ width, height, pixelSize, centre: [x, y] as const }));
const aBeam: fc.Arbitrary<FlatBeam> = fc.tuple(fc.boolean(), fc.array(real(-7, 7), { minLength: 1, maxLength: 4 }), fc.integer({ min: 1, max: 20 }), real(0.2, 4), real(-6, 6), real(12, 90), real(1, 3))
  .map(([fan, angles, detectors, pitch, axisOffset, sourceToAxis, times]) => (fan
    ? fanBeam({ angles, detectors, pitch, axisOffset, sourceToAxis, sourceToDetector: sourceToAxis * times })
    : parallelBeam({ angles, detectors, pitch, axisOffset })));

/** Pixel by pixel, view by view, as the definition has it. `unsure`: a ray lands within rounding of an end of the detector, or of the source. */
function slowly(sinogram: Sinogram, geometry: FlatBeam, grid: Grid, power: 0 | 1 | 2): { value: Float64Array; unsure: Uint8Array } {
  const value = new Float64Array(grid.width * grid.height), unsure = new Uint8Array(value.length);
  value.forEach((_, pixel) => {
    const [x, y] = pixelPosition(grid, pixel % grid.width, Math.floor(pixel / grid.width));
    for (let view = 0; view < sinogram.views; view++) {
      let weight = 1;
      if (geometry.beam === 'fan') {
        const { depth } = pointInFan(geometry, view, x, y);
        if (Math.abs(depth - grid.pixelSize) < 1e-9) unsure[pixel] = 1;
        if (depth < grid.pixelSize) continue;
        weight = (geometry.sourceToAxis / depth) ** power;
      }
      const at = detectorIndex(geometry, pointOnDetector(geometry, view, x, y));
      const last = sinogram.detectors - 1;
      if (Math.abs(at) < 1e-9 || Math.abs(at - last) < 1e-9) unsure[pixel] = 1;
      if (at < 0 || at > last) continue;
      const cell = Math.min(Math.floor(at), Math.max(0, last - 1)), share = at - cell;
      const p = (j: number) => sinogram.data[view * sinogram.detectors + j] ?? 0;
      value[pixel] += weight * ((1 - share) * p(cell) + share * (cell < last ? p(cell + 1) : 0));
    }
  });
  return { value, unsure };
}

describe('columnsWhere(width, lines)', () => {
  test('are the columns in which no line is below 0', () => {
    fc.assert(fc.property(fc.integer({ min: 1, max: 30 }), fc.array(fc.record({ start: fc.integer({ min: -40, max: 40 }), step: fc.integer({ min: -4, max: 4 }) }), { minLength: 1, maxLength: 3 }), (width, lines) => {
      const meant = Array.from({ length: width }, (_, column) => column).filter((column) => lines.every(({ start, step }) => start + column * step >= 0));
      const { first, end } = columnsWhere(width, lines);
      expect(Array.from({ length: Math.max(0, end - first) }, (_, k) => first + k)).toEqual(meant);
    }), seed);
  });
});

describe('backproject(sinogram, geometry, grid)', () => {
  test('a pixel on the middle of the outermost cell gets that cell at every quarter turn, whatever rounding does', () => {
    const beam = parallelBeam({ angles: [0, 0.5, 1, 1.5].map((half) => half * Math.PI), detectors: 2, pitch: 1 });
    const image = backproject({ views: 4, detectors: 2, data: new Float32Array(8).fill(1) }, beam, { width: 2, height: 2, pixelSize: 1 });
    expect(Array.from(image.data)).toEqual([4, 4, 4, 4]);
  });

  test('is the definition, pixel by pixel, for any beam, grid and detector', () => {
    let compared = 0;
    fc.assert(fc.property(aBeam, aGrid, fc.constantFrom(0, 1, 2), (geometry, grid, power) => {
      const sinogram = noisySinogram(geometry);
      const fast = backproject(sinogram, geometry, grid, { distancePower: power as 0 | 1 | 2 });
      const { value, unsure } = slowly(sinogram, geometry, grid, power as 0 | 1 | 2);
      value.forEach((slow, pixel) => {
        if (unsure[pixel]) return;
        if (slow !== 0) compared++;
        expect(Math.abs(fast.data[pixel] - slow), `pixel ${pixel}`).toBeLessThan(1e-6 * (1 + Math.abs(slow)));
      });
    }), { ...seed, numRuns: 300 });
    expect(compared, 'pixels that a ray reached').toBeGreaterThan(3000);
  });

  const geometry = parallelBeam({ views: 7, detectors: 20, pitch: 1 });
  const grid: Grid = { width: 9, height: 11, pixelSize: 1.1 };
  const sinogram = noisySinogram(geometry);

  test('takes the views and weights that it is given', () => {
    const some = backproject(sinogram, geometry, grid, { views: [5, 1] });
    const weighed = backproject(sinogram, geometry, grid, { weights: [0, 1, 0, 0, 0, 1, 0] });
    expect(largestDifference(some.data, weighed.data)).toBeLessThan(1e-6);
    expect(greatest(backproject(sinogram, geometry, grid, { views: [] }).data)).toBe(0);
  });

  test('a blurred disc: with viewWeights its middle is the integral of the chords, 2R·π', () => {
    const beam = parallelBeam({ views: 180, turn: 2 * Math.PI, detectors: 201, pitch: 0.5 });
    const image = backproject(projectPhantom([disc(0, 0, 20, 1)], beam), beam, { width: 1, height: 1, pixelSize: 1 }, { weights: viewWeights(beam) });
    expect(image.data[0]).toBeCloseTo(2 * 20 * Math.PI, 3);
  });

  test.each([
    ['a view more than angles', { ...sinogram, views: 8 }, '8 views and the geometry 7 angles'],
    ['other cells than the detector', { ...sinogram, detectors: 21 }, '21 cells and the geometry’s detector 20'.replace('’', "'")],
    ['fewer numbers than cells', { ...sinogram, data: sinogram.data.slice(1) }, '139 numbers; 7 views of 20 cells are 140'],
    ['NaN', { ...sinogram, data: sinogram.data.map((value, i) => (i === 43 ? NaN : value)) }, 'NaN in view 2, cell 3'],
    ['infinity', { ...sinogram, data: sinogram.data.map((value, i) => (i === 0 ? -Infinity : value)) }, '-Infinity in view 0, cell 0'],
  ])('%s is refused, and said where', async (_, wrong, reason) => {
    expect(await refusal(() => backproject(wrong, geometry, grid))).toContain(reason);
    expect(await refusal(() => fbp(wrong, geometry, { window: 'ramp', grid }))).toContain(reason);
  });

  test.each([[{ ...grid, width: 0 }, '0 × 11 pixels'], [{ ...grid, height: 2.5 }, '9 × 2.5 pixels'], [{ ...grid, pixelSize: 0 }, 'pixel size is 0'], [{ ...grid, width: 20000, height: 20000 }, '20,000 × 20,000 pixels would take 1.6 GB']])('a grid that cannot be is refused', async (wrong, reason) => {
    expect(await refusal(() => fbp(sinogram, geometry, { window: 'ramp', grid: wrong }))).toContain(reason);
  });
});

describe('fbp(sinogram, geometry, options)', () => {
  const head = sheppLogan({ variant: 'high-contrast' });
  const grid: Grid = { width: 64, height: 64, pixelSize: 200 / 64 };
  const beam = parallelBeam({ views: 120, detectors: 101, pitch: 2 });
  const fan = fanBeam({ views: 240, detectors: 101, pitch: 5, sourceToAxis: 300, sourceToDetector: 600 });
  const reconstructed = (geometry: FlatBeam, pixels = grid) => fbp(projectPhantom(head, geometry), geometry, { window: 'ramp', grid: pixels });

  test.each([['parallel', beam], ['fan', fan]] as const)('%s: the order of the views does not matter, nor whole turns, nor one taken twice', (_, geometry) => {
    const angles = geometry.angles.map((angle, view) => angle + (view % 3) * 2 * Math.PI);
    const shuffled = [...angles.filter((_, view) => view % 2 === 1).reverse(), ...angles.filter((_, view) => view % 2 === 0), angles[17]];
    expect(largestDifference(reconstructed({ ...geometry, angles: shuffled }).data, reconstructed(geometry).data)).toBeLessThan(1e-7);
  });

  test.each([['parallel', beam], ['fan', fan]] as const)('%s: a small grid aside shows the same as that part of a large one', (_, geometry) => {
    const whole = reconstructed(geometry);
    const part: Grid = { width: 10, height: 7, pixelSize: grid.pixelSize, centre: pixelPosition(grid, 20 + 4.5, 30 + 3) };
    reconstructed(geometry, part).data.forEach((value, i) => expect(value).toBeCloseTo(whole.data[(30 + Math.floor(i / 10)) * 64 + 20 + (i % 10)], 7));
  });

  test('turning the object turns the picture: a blob stands where it was put, whatever the beam', () => {
    for (const geometry of [beam, fan, { ...beam, axisOffset: 3 }, { ...fan, axisOffset: -7 }]) {
      const pixels: Grid = { width: 41, height: 31, pixelSize: 1, centre: [40, -30] };
      const image = fbp(projectPhantom([gaussian(46, -33, 5, 0.02)], geometry), geometry, { window: 'ramp', grid: pixels });
      const brightest = image.data.indexOf(Math.max(...image.data));
      const [x, y] = pixelPosition(pixels, brightest % 41, Math.floor(brightest / 41));
      expect([x, y], `${geometry.beam}, axis ${geometry.axisOffset} mm aside`).toEqual([expect.closeTo(46, 9), expect.closeTo(-33, 9)]);
    }
  });

  test('is linear in the sinogram', () => {
    const a = projectPhantom(head, fan), b = noisySinogram(fan);
    const of = (data: Float32Array) => fbp({ ...a, data }, fan, { window: 'hann', grid }).data;
    const mixed = of(a.data.map((value, i) => 0.5 * value - 2 * b.data[i]));
    const [fa, fb] = [of(a.data), of(b.data)];
    expect(largestDifference(mixed, fa.map((value, i) => 0.5 * value - 2 * fb[i]))).toBeLessThan(1e-6);
  });

  test('a fan from very far away is a parallel beam', () => {
    const far: FanBeam = fanBeam({ angles: equalAngles(240, 2 * Math.PI), detectors: 101, pitch: 2, sourceToAxis: 1e7, sourceToDetector: 1e7 });
    const parallel = parallelBeam({ angles: far.angles, detectors: 101, pitch: 2 });
    const sinogram = projectPhantom(head, parallel);
    expect(largestDifference(fbp(sinogram, far, { window: 'ramp', grid }).data, fbp(sinogram, parallel, { window: 'ramp', grid }).data)).toBeLessThan(1e-7);
  });

  test('unfiltered, a fan and a short scan smear the same blur as a parallel beam: ∫ p dθ over half a turn', () => {
    const blob = [gaussian(10, -20, 12, 0.02)];
    const blur = (geometry: FlatBeam) => fbp(projectPhantom(blob, geometry), geometry, { window: 'none', grid });
    const parallel = blur(parallelBeam({ views: 240, detectors: 401, pitch: 0.5 }));
    const wide = fanBeam({ views: 480, detectors: 401, pitch: 1, sourceToAxis: 250, sourceToDetector: 500 });
    const short = fanBeam({ views: 400, turn: Math.PI + 2 * Math.atan(200 / 500) + 0.05, start: 2, detectors: 401, pitch: 1, sourceToAxis: 250, sourceToDetector: 500 });
    const within = discMask(grid, 0, 0, 80);
    const { greatest: peak } = statistics(parallel);
    for (const geometry of [wide, short]) expect(rmse(blur(geometry), parallel, within) / peak, coverage(geometry).kind).toBeLessThan(1e-3);
  });

  test('lost views are made up for by their neighbours: a disc keeps its value', () => {
    const angles = equalAngles(180, Math.PI).filter((_, view) => ![20, 21, 60, 100, 101, 102].includes(view));
    for (const geometry of [parallelBeam({ angles, detectors: 128, pitch: 0.5 }), fanBeam({ angles: angles.map((angle) => 2 * angle), detectors: 128, pitch: 1, sourceToAxis: 150, sourceToDetector: 300 })]) {
      const image = fbp(projectPhantom([disc(0, 0, 15, 0.02)], geometry), geometry, { window: 'hann', grid: { width: 80, height: 80, pixelSize: 0.5 } });
      expect(statistics(image, discMask(image, 0, 0, 12)).mean / 0.02, geometry.beam).toBeCloseTo(1, 2.3);
    }
  });

  test('a wide wedge is left empty, which is better than two views that stand for it', () => {
    const geometry = parallelBeam({ angles: equalAngles(180, Math.PI).filter((angle) => angle > Math.PI / 3), detectors: 101, pitch: 2 });
    const truth = rasterize(head, grid), within = discMask(grid, 0, 0, 95);
    const sinogram = projectPhantom(head, geometry);
    expect(coverage(geometry).kind).toBe('incomplete');
    const empty = rmse(fbp(sinogram, geometry, { window: 'ramp', grid }), truth, within);
    const stoodFor = rmse(backproject(filterViews(sinogram, 2, { window: 'ramp' }), geometry, grid, { weights: viewWeights(geometry) }), truth, within);
    expect(stoodFor / empty).toBeGreaterThan(1.5);
  });

  test('an incomplete fan is reconstructed from the rays there are', () => {
    const part = fanBeam({ views: 150, turn: 2.6, detectors: 101, pitch: 5, sourceToAxis: 300, sourceToDetector: 600 });
    expect(coverage(part).kind).toBe('incomplete');
    expect(linearFit(rasterize(head, grid), reconstructed(part), discMask(grid, 0, 0, 90)).correlation).toBeGreaterThan(0.7);
  });

  test('one view, one cell, one pixel: a picture all the same', () => {
    const one = parallelBeam({ views: 1, detectors: 1, pitch: 1 });
    expect(Number.isFinite(fbp({ views: 1, detectors: 1, data: Float32Array.of(1) }, one, { window: 'ramp', grid: { width: 1, height: 1, pixelSize: 1 } }).data[0])).toBe(true);
  });
});

describe('fbpSteps(sinogram, geometry, options)', () => {
  const geometry = parallelBeam({ views: 9, detectors: 40, pitch: 1 });
  const sinogram = noisySinogram(geometry);
  test('rises to 1 and ends with what fbp gives', () => {
    const options = { window: 'ramp', grid: { width: 30, height: 30, pixelSize: 1 } } as const;
    const heard: number[] = [];
    const steps = fbpSteps(sinogram, geometry, options);
    let step = steps.next();
    for (; !step.done; step = steps.next()) heard.push(step.value as number);
    expect(heard.length).toBe(9);
    expect(heard.every((value, i) => i === 0 || value > heard[i - 1])).toBe(true);
    expect(heard.at(-1)).toBe(1);
    expect(step.value).toEqual(finish(fbpSteps(sinogram, geometry, options)));
  });
  test('a large picture is done in several steps a view', () => {
    const steps = fbpSteps(sinogram, geometry, { window: 'ramp', grid: { width: 1500, height: 1500, pixelSize: 0.03 } });
    const first = steps.next().value as number, second = steps.next().value as number;
    expect(second).toBeLessThan(1 / 9);
    expect(first).toBeLessThan(second);
    steps.return(undefined as never);
  });
});
