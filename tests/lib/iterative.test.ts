import { describe, expect, test } from 'vitest';
import { cholesky, solveLower, solveUpper } from '../../src/lib/align/cholesky.ts';
import {
  cgls, cglsSteps, coneBeam, fanBeam, finish, forwardProject, forwardProjectCone, osSart, osSartSteps, parallelBeam, rmse, sirt, sirtSteps, totalVariation,
  totalVariationSteps, type ConeBeam, type FlatBeam, type Geometry, type Image, type Projections, type Sinogram, type Volume,
} from '../../src/lib/index.ts';
import { operatorNorm } from '../../src/lib/reconstruct/operator-norm.ts';
import { operatorOf } from '../../src/lib/reconstruct/operator.ts';
import { spreadOut } from '../../src/lib/reconstruct/os-sart.ts';

/** Seeded numbers in 0…1; invented. */
function noise(length: number, start: number): Float32Array {
  let state = start | 1;
  return Float32Array.from({ length }, () => {
    state = Math.imul(state ^ (state >>> 15), 0x2c1b3c6d) + 0x9e3779b9;
    return (state >>> 0) / 2 ** 32;
  });
}
const norm = (numbers: ArrayLike<number>) => Math.hypot(...Array.from(numbers));
const apart = (a: ArrayLike<number>, b: ArrayLike<number>) => norm(Array.from(a, (value, k) => value - b[k])) / norm(b);
const falls = (numbers: readonly number[], slack = 1e-12) => numbers.every((value, k) => k === 0 || value <= numbers[k - 1] * (1 + slack));

// Six by six pixels and more than four times as many rays, which disagree: nothing fits them all.
const grid = { width: 6, height: 6, pixelSize: 1.5 };
const parallel = parallelBeam({ views: 13, detectors: 12, pitch: 1.1, axisOffset: 0.3 });
const fan = fanBeam({ views: 13, detectors: 12, pitch: 1.9, sourceToAxis: 20, sourceToDetector: 32 });
const box = { width: 4, height: 5, depth: 4, voxelSize: 1.4 };
const cone = coneBeam({ views: 9, detectors: 9, rows: 8, pitch: 1.6, sourceToAxis: 25, sourceToDetector: 40, tilt: 0.02 });

/** A, column by column: the shadows of a picture of one pixel each. A[ray][pixel]. */
function matrixOf(geometry: Geometry): number[][] {
  const pixels = geometry.beam === 'cone' ? box.width * box.height * box.depth : grid.width * grid.height;
  const columns = Array.from({ length: pixels }, (_, k) => {
    const data = new Float32Array(pixels);
    data[k] = 1;
    return geometry.beam === 'cone' ? forwardProjectCone({ ...box, data }, geometry).data : forwardProject({ ...grid, data }, geometry).data;
  });
  return Array.from({ length: columns[0].length }, (_, ray) => columns.map((column) => column[ray]));
}

/** The least of Σ w (b − Ax)² over the pixels of the mask, from its normal equations by Cholesky. */
function solved(matrix: number[][], b: ArrayLike<number>, w: ArrayLike<number>, mask?: ArrayLike<number>): Float64Array {
  const free = matrix[0].map((_, k) => k).filter((k) => !mask || mask[k]);
  const normal = Float64Array.from(free.flatMap((k) => free.map((l) => matrix.reduce((sum, row, ray) => sum + w[ray] * row[k] * row[l], 0))));
  const right = Float64Array.from(free, (k) => matrix.reduce((sum, row, ray) => sum + w[ray] * row[k] * b[ray], 0));
  cholesky(normal, free.length);
  solveLower(normal, free.length, right);
  solveUpper(normal, free.length, right);
  const x = new Float64Array(matrix[0].length);
  free.forEach((k, place) => { x[k] = right[place]; });
  return x;
}

const shadows = (geometry: FlatBeam, start = 5): Sinogram => ({ views: geometry.angles.length, detectors: geometry.detectors, data: noise(geometry.angles.length * geometry.detectors, start) });
const frames = (geometry: ConeBeam): Projections => ({ views: 9, rows: 8, columns: 9, data: noise(9 * 8 * 9, 7) });
const cornersOut = Uint8Array.from({ length: 36 }, (_, k) => Number(Math.hypot((k % 6) - 2.5, Math.floor(k / 6) - 2.5) < 3));
const flatBeams: [string, FlatBeam][] = [['parallel beam', parallel], ['fan', fan]];

describe('least squares solved directly, A built column by column', () => {
  test.each(flatBeams)('cgls comes to it, with weights and mask too: %s', (_, beam) => {
    const b = shadows(beam), matrix = matrixOf(beam), w = noise(b.data.length, 3);
    expect(apart(cgls(b, beam, { grid, iterations: 60 }).picture.data, solved(matrix, b.data, w.map(() => 1)))).toBeLessThan(1e-5);
    const both = cgls(b, beam, { grid, iterations: 60, weights: w, mask: cornersOut });
    expect(apart(both.picture.data, solved(matrix, b.data, w, cornersOut))).toBeLessThan(1e-5);
    expect(falls(both.history.residual)).toBe(true);
  });

  test.each(flatBeams)('sirt comes to that of weights divided by the rays’ lengths: %s', (_, beam) => {
    const b = shadows(beam), matrix = matrixOf(beam), w = noise(b.data.length, 3);
    const lengths = matrix.map((row) => row.reduce((sum, a, k) => sum + (cornersOut[k] ? a : 0), 0));
    const shared = lengths.map((length, ray) => (length > 0 ? w[ray] / length : 0));
    const target = solved(matrix, b.data, shared, cornersOut);
    const sum = (x: ArrayLike<number>) => matrix.reduce((total, row, ray) => total + shared[ray] * (b.data[ray] - row.reduce((p, a, k) => p + a * x[k], 0)) ** 2, 0);
    const options = { grid, relaxation: 1.9, weights: w, mask: cornersOut };
    // Slowly: in the fan the weakest direction takes some ten thousand.
    expect(apart(sirt(b, beam, { ...options, iterations: 30_000 }).picture.data, target)).toBeLessThan(1e-4);
    const sums: number[] = [];
    sirt(b, beam, { ...options, iterations: 300, every: (x) => sums.push(sum(x.data)) });
    expect(sums).toHaveLength(300);
    expect(falls(sums, 1e-6), 'the weighted sum falls').toBe(true);
  });

  test('total variation of strength 0 comes to it', () => {
    const b = shadows(parallel), w = noise(b.data.length, 3).map((value) => 0.5 + value);
    const { picture } = totalVariation(b, parallel, { grid, iterations: 4000, strength: 0, weights: w });
    expect(apart(picture.data, solved(matrixOf(parallel), b.data, w))).toBeLessThan(1e-4);
  });

  test('in a cone: cgls, and sirt', () => {
    const b = frames(cone), matrix = matrixOf(cone);
    expect(apart(cgls(b, cone, { grid: box, iterations: 120 }).picture.data, solved(matrix, b.data, b.data.map(() => 1)))).toBeLessThan(1e-3);
    const shared = matrix.map((row) => 1 / row.reduce((sum, a) => sum + a, 0)).map((share) => (share < 1e3 ? share : 0));
    expect(apart(sirt(b, cone, { grid: box, iterations: 1500, relaxation: 1.9 }).picture.data, solved(matrix, b.data, shared))).toBeLessThan(1e-3);
  });

  test('the norm of A, by power iteration, is the root of the greatest eigenvalue of AᵀA', () => {
    const matrix = matrixOf(fan);
    const estimate = finish(operatorNorm(operatorOf(fan, grid)));
    // λ is at most n·‖·‖ and AᵀA − μ·1 stops being negative definite just there: μ·1 − AᵀA has a Cholesky factor above it and none below.
    const definite = (mu: number) => {
      const left = Float64Array.from({ length: 36 * 36 }, (_, k) => (k % 37 === 0 ? mu : 0) - matrix.reduce((sum, row) => sum + row[Math.floor(k / 36)] * row[k % 36], 0));
      try { cholesky(left, 36); return true; } catch { return false; }
    };
    expect(definite((1.01 * estimate) ** 2)).toBe(true);
    expect(definite((0.999 * estimate) ** 2)).toBe(false);
  });
});

const truth: Image = { ...grid, data: noise(36, 11) };
const volume: Volume = { ...box, data: noise(80, 12) };
const methods = {
  sirt, osSart: (b, g, o) => osSart(b, g, { subsets: 4, ...o }), cgls, totalVariation: (b, g, o) => totalVariation(b, g, { strength: 0, ...o }),
} as Record<string, typeof sirt>;
const bounded = Object.entries(methods).filter(([name]) => name !== 'cgls');

describe.each(Object.entries(methods))('%s', (name, method) => {
  test('stays at the truth where the data are those of the start, in every beam', () => {
    for (const beam of [parallel, fan] as FlatBeam[]) {
      const { picture, history } = method(forwardProject(truth, beam), beam, { grid, iterations: 30, start: truth });
      expect(apart(picture.data, truth.data)).toBeLessThan(2e-6);
      expect(history.rms[0]).toBeLessThan(1e-6);
    }
    const { picture } = method(forwardProjectCone(volume, cone), cone, { grid: box, iterations: 10, start: volume });
    expect(apart(picture.data, volume.data)).toBeLessThan(1e-5);
  });

  test('brings a consistent scan’s residual down, from 0, and comes nearer the truth', () => {
    const { picture, history } = method(forwardProject(truth, fan), fan, { grid, iterations: 60 });
    expect(history.residual).toHaveLength(61);
    expect(history.residual[60]).toBeLessThan(0.02 * history.residual[0]);
    if (name !== 'totalVariation') expect(falls(history.residual.slice(0, 25))).toBe(true);
    expect(apart(picture.data, truth.data)).toBeLessThan(0.25);
  });

  test('history is that of the picture, weighted', () => {
    const b = shadows(fan), weights = noise(b.data.length, 9);
    const { picture, history } = method(b, fan, { grid, iterations: 5, weights });
    const squares = forwardProject(picture, fan).data.map((p, i) => weights[i] * (p - b.data[i]) ** 2);
    const sum = squares.reduce((total, square) => total + square, 0);
    expect(history.residual[5]).toBeCloseTo(Math.sqrt(sum), 5);
    expect(history.rms[5]).toBeCloseTo(Math.sqrt(sum / weights.reduce((total, w) => total + w, 0)), 5);
  });

  test('a ray of weight 0 has no influence', () => {
    const b = shadows(fan), weights = b.data.map((_, i) => Number(i % 5 !== 2)), spoilt = { ...b, data: b.data.map((p, i) => (weights[i] ? p : 1000)) };
    const one = method(b, fan, { grid, iterations: 15, weights }), other = method(spoilt, fan, { grid, iterations: 15, weights });
    expect([...other.picture.data]).toEqual([...one.picture.data]);
    expect([...method(spoilt, fan, { grid, iterations: 15 }).picture.data], 'with weight 1 it has').not.toEqual([...one.picture.data]);
  });

  test('is exactly 0 outside the mask, wherever it begins', () => {
    const { picture } = method(shadows(fan), fan, { grid, iterations: 9, mask: cornersOut, start: truth });
    expect(picture.data.every((value, k) => cornersOut[k] || value === 0)).toBe(true);
    expect(picture.data.filter((value) => value !== 0).length).toBeGreaterThan(20);
  });

  test('stops at the noise, at stagnation, or at the last iteration', () => {
    const clean = forwardProject(truth, fan), sigma = 0.05;
    const grain = noise(clean.data.length, 21).map((value) => (value - 0.5) * Math.sqrt(12) * sigma);
    const noisy = { ...clean, data: clean.data.map((p, i) => p + grain[i]) };
    const far = method(noisy, fan, { grid, iterations: 300, stop: { discrepancy: { noise: sigma, factor: 1.3 } } });
    expect(far.stopped).toBe('discrepancy');
    expect(far.history.rms.at(-1)!).toBeLessThanOrEqual(1.3 * sigma);
    expect(far.history.rms.slice(0, -1).every((rms) => rms > 1.3 * sigma)).toBe(true);
    expect(far.iterations).toBe(far.history.rms.length - 1);
    const still = method(clean, fan, { grid, iterations: 3000, stop: { stagnation: 1e-3 } });
    expect(still.stopped).toBe('stagnation');
    expect(still.iterations).toBeLessThan(3000);
    expect(method(clean, fan, { grid, iterations: 2 }).stopped).toBe('iterations');
  });

  test('hands out a copy after each iteration', () => {
    const seen: Image[] = [];
    const { picture } = method(shadows(fan), fan, { grid, iterations: 4, every: (x, k) => { expect(k).toBe(seen.length + 1); seen.push(x); } });
    expect(seen).toHaveLength(4);
    expect([...seen[3].data]).toEqual([...picture.data]);
    expect([...seen[0].data]).not.toEqual([...seen[3].data]);
  });

  test('leaves what it was given alone', () => {
    const b = shadows(fan), weights = noise(b.data.length, 2), start = { ...truth, data: truth.data.slice() }, before = b.data.slice(), kept = weights.slice();
    method(b, fan, { grid, iterations: 3, weights, start });
    expect([...b.data]).toEqual([...before]);
    expect([...weights]).toEqual([...kept]);
    expect([...start.data]).toEqual([...truth.data]);
  });

  test.each([
    ['no iterations', { iterations: 0 }, 'The number of iterations is 0; it has to be a whole number from 1.'],
    ['a short mask', { mask: [1] }, 'The mask has 1 numbers and there are 36 pixels; it needs one for each.'],
    ['an empty mask', { mask: new Uint8Array(36) }, 'The mask is 0 everywhere; it has to be something else where the object may be.'],
    ['a weight below 0', { weights: new Float32Array(156).fill(-1) }, 'The weight of ray 0 (counted from 0) is -1; it has to be a finite number from 0.'],
    ['no weight', { weights: new Float32Array(156) }, 'The weights of all rays are 0; those that count need a weight above 0.'],
    ['a start of another size', { start: { ...truth, width: 5 } }, 'The picture to start from has 5 × 6 pixels and the grid 6 × 6; they need the same numbers.'],
    ['a start with a hole', { start: { ...truth, data: truth.data.map((v, k) => (k === 4 ? NaN : v)) } }, 'The picture to start from holds NaN at pixel 4 (counted from 0); every value has to be a finite number.'],
    ['no noise to stop at', { stop: { discrepancy: { noise: 0 } } }, 'The noise level of the discrepancy rule is 0; it has to be the rms of the noise in the line integrals, above 0.'],
    ['a change that cannot be', { stop: { stagnation: 2 } }, 'The change at which to stop is 2; it has to be a fraction between 0 and 1, 0.0001 say.'],
    ['too little memory', { memory: 1000 }, /^With 36 pixels and 156 rays this method would take [\d.]+ kB of memory and at most 1 kB are allowed for: choose a coarser grid, bin the detector, or take fewer views\.$/],
  ])('refuses %s', (_, options, sentence) => {
    expect(() => method(shadows(fan), fan, { grid, iterations: 3, ...options } as Parameters<typeof sirt>[2])).toThrow(sentence);
  });
});

describe.each(bounded)('%s', (_, method) => {
  test('has no value below 0 where that is asked for, and has some where it is not', () => {
    const b = shadows(fan);
    expect(method(b, fan, { grid, iterations: 25, nonNegative: true, start: { ...truth, data: truth.data.map((v) => v - 0.5) } }).picture.data.every((value) => value >= 0)).toBe(true);
    expect(method(b, fan, { grid, iterations: 25 }).picture.data.some((value) => value < 0)).toBe(true);
  });
});

test('cgls refuses the bound it cannot hold; the others refuse numbers of their own that cannot be', () => {
  const b = shadows(fan), usual = { grid, iterations: 3 };
  expect(() => cgls(b, fan, { ...usual, nonNegative: true as never })).toThrow('cgls cannot keep the values from falling below 0');
  expect(() => sirt(b, fan, { ...usual, relaxation: 2 })).toThrow('The relaxation is 2; it has to be between 0 and 2.');
  expect(() => osSart(b, fan, { ...usual, subsets: 14 })).toThrow('The number of subsets is 14; it has to be a whole number from 1 to the number of views, 13.');
  expect(() => osSart(b, fan, { ...usual, relaxationFactor: 1.2 })).toThrow('The relaxation’s factor is 1.2'.replace('’', "'"));
  expect(() => totalVariation(b, fan, { ...usual, strength: -1 })).toThrow('The strength of the total variation is -1; it has to be a number from 0, in mm.');
  expect(() => totalVariation(b, fan, { ...usual, strength: 1, atMost: 0 })).toThrow('The most that a value may be is 0; it has to be above 0, in 1/mm.');
  expect(() => sirt(b, parallelBeam({ views: 12, detectors: 12, pitch: 1 }), usual)).toThrow('The sinogram has 13 views and the geometry 12 angles');
});

test('osSart of one subset is sirt, and spreads its subsets out', () => {
  const b = shadows(fan);
  expect([...osSart(b, fan, { grid, iterations: 7, subsets: 1 }).picture.data]).toEqual([...sirt(b, fan, { grid, iterations: 7 }).picture.data]);
  for (const count of [1, 2, 7, 45]) expect([...spreadOut(count)].sort((x, y) => x - y)).toEqual(Array.from({ length: count }, (_, k) => k));
  expect(spreadOut(8).slice(1).every((place, k) => Math.abs(place - spreadOut(8)[k]) > 1)).toBe(true);
});

test('total variation is never above atMost, and its objective comes down near its last value', () => {
  const { picture, history } = totalVariation(shadows(fan), fan, { grid, iterations: 400, strength: 0.3, nonNegative: true, atMost: 0.1 });
  expect(picture.data.every((value) => value >= 0 && value <= Math.fround(0.1))).toBe(true);
  expect(Math.max(...picture.data)).toBeCloseTo(0.1, 6);
  const last = history.objective[400];
  expect(history.objective[0]).toBeGreaterThan(1.2 * last);
  expect(Math.abs(history.objective[200] / last - 1)).toBeLessThan(1e-3);
  // Nothing close by has less: the objective is convex, so that this is a check of the whole.
  const flat = totalVariation(shadows(fan), fan, { grid, iterations: 400, strength: 0.3, nonNegative: true, atMost: 0.1, start: truth });
  expect(flat.history.objective[400] / last).toBeCloseTo(1, 4);
});

test('all weights and the strength a thousand times as great are the same question, answered as soon', () => {
  const b = shadows(fan), weights = noise(b.data.length, 31), usual = { grid, iterations: 40 };
  const one = totalVariation(b, fan, { ...usual, weights, strength: 0.2 });
  const other = totalVariation(b, fan, { ...usual, weights: weights.map((weight) => 1024 * weight), strength: 1024 * 0.2 });
  expect(apart(other.picture.data, one.picture.data)).toBeLessThan(1e-6);
  expect(apart(totalVariation(b, fan, { ...usual, strength: 0.2 }).picture.data, one.picture.data), 'the weights matter').toBeGreaterThan(0.01);
});

test('on two pixels, each seen by a ray of its own, it is what the formula says', () => {
  // ½ Σ (h x − b)² + α |x₀ − x₁|: both give way by α/h², or meet at the mean. Shown from above, so that cell 0 sees pixel 0.
  const two = { width: 2, height: 1, pixelSize: 2 }, above = parallelBeam({ angles: [0], detectors: 2, pitch: 2 });
  const b = { views: 1, detectors: 2, data: Float32Array.of(3, 1) };
  const of = (strength: number, weights?: number[]) => [...totalVariation(b, above, { grid: two, iterations: 2000, strength, weights }).picture.data];
  expect(of(0)).toEqual([1.5, 0.5].map((value) => expect.closeTo(value, 4)));
  expect(of(0.8)).toEqual([1.3, 0.7].map((value) => expect.closeTo(value, 4)));
  expect(of(0.8, [1, 4])).toEqual([1.3, 0.55].map((value) => expect.closeTo(value, 4)));
  expect(of(5)).toEqual([1, 1].map((value) => expect.closeTo(value, 4)));
});

test('objective is the sum that is made least, and no picture close by has less', () => {
  const b = shadows(fan), strength = 0.4;
  const { picture, history } = totalVariation(b, fan, { grid, iterations: 3000, strength });
  const objective = (x: ArrayLike<number>) => {
    const misfit = forwardProject({ ...grid, data: Float32Array.from(x) }, fan).data.reduce((sum, p, i) => sum + (p - b.data[i]) ** 2, 0);
    const step = (k: number) => Math.hypot(k % 6 < 5 ? x[k + 1] - x[k] : 0, k < 30 ? x[k + 6] - x[k] : 0);
    return misfit / 2 + strength * Array.from({ length: 36 }, (_, k) => step(k)).reduce((sum, length) => sum + length, 0);
  };
  const least = objective(picture.data);
  expect(history.objective[3000]).toBeCloseTo(least, 5);
  for (let k = 0; k < 36; k++) for (const by of [-0.003, 0.003]) expect(objective(picture.data.map((v, l) => v + (l === k ? by : 0)))).toBeGreaterThan(least);
  const mean = picture.data.reduce((sum, v) => sum + v / 36, 0);
  for (const by of [-0.05, 0.05]) expect(objective(picture.data.map((v) => v + by * (v - mean))), 'flatter or steeper').toBeGreaterThan(least);
});

test('in a cone too every picture is a copy', () => {
  const seen: Volume[] = [];
  sirt(frames(cone), cone, { grid: box, iterations: 2, every: (x) => seen.push(x) });
  expect([...seen[0].data]).not.toEqual([...seen[1].data]);
});

test.each(Object.entries({ sirt, osSart }))('%s asks only how the weights stand to each other', (_, method) => {
  const b = shadows(fan), weights = noise(b.data.length, 31), usual = { grid, iterations: 20 };
  const one = method(b, fan, { ...usual, weights });
  expect(apart(method(b, fan, { ...usual, weights: weights.map((weight) => 1024 * weight) }).picture.data, one.picture.data)).toBeLessThan(1e-6);
});

test('of great strength it leaves the one flat picture that fits best', () => {
  const b = shadows(parallel), lengths = forwardProject({ ...grid, data: new Float32Array(36).fill(1) }, parallel).data;
  const best = lengths.reduce((sum, a, i) => sum + a * b.data[i], 0) / lengths.reduce((sum, a) => sum + a * a, 0);
  const { picture } = totalVariation(b, parallel, { grid, iterations: 3000, strength: 1000 });
  expect(rmse(picture, { ...picture, data: new Float32Array(36).fill(best) })).toBeLessThan(1e-3 * best);
});

test('as steps it tells how far it is, never backwards, never beyond 1', () => {
  const b = shadows(fan), usual = { grid, iterations: 4 };
  for (const steps of [sirtSteps(b, fan, usual), osSartSteps(b, fan, usual), cglsSteps(b, fan, usual), totalVariationSteps(b, fan, { ...usual, strength: 1 })]) {
    const told = [...steps] as number[];
    expect(told.length).toBeGreaterThan(50);
    expect(told.every((value, k) => value > 0 && value <= 1 && (k === 0 || value >= told[k - 1]))).toBe(true);
    expect(told.at(-1)).toBeGreaterThan(0.8);
  }
});
