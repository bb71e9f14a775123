import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cholesky, invert, solveLower, solveUpper } from '../../src/lib/align/cholesky.ts';
import { mirrorLine } from '../../src/lib/align/mirror-line.ts';
import { turnWeights } from '../../src/lib/align/view-means.ts';
import { coneBeam, disc, equalAngles, fanBeam, findAxis, fitEllipse, followBead, geometryFromBead, parallelBeam, projectPhantom, projectSolids, sheppLogan, shortScanTurn, type ConeBeam, type FlatBeam, type Projections, type Sinogram } from '../../src/lib/index.ts';
import { ball } from '../../src/lib/phantom/solids.ts';
import { refusal } from './support/bad-input.ts';
import { framesOf, keptSteps, noisy, projectScene, scene, seeded } from './support/ellipsoid-scene.ts';

const rad = (degrees: number) => (degrees * Math.PI) / 180;
const seed = { seed: 20250611 };

/** 45 views of the scene on 112 × 64 cells; the axis in columns from the middle, the tilt in degrees. */
const pitch = 1.75;
const small = (columns: number, tilt: number, options: Partial<ConeBeam> = {}): ConeBeam => ({
  beam: 'cone', angles: equalAngles(45, 2 * Math.PI), detectors: 112, rows: 64, pitch, axisOffset: columns * pitch, rowOffset: 0, tilt: rad(tilt), sourceToAxis: 300, sourceToDetector: 450, ...options,
});
const unknown = (beam: ConeBeam): ConeBeam => ({ ...beam, axisOffset: 0, tilt: 0 });

const noisyRow = ({ views, detectors, data }: Sinogram, deviation: number, start: number): Sinogram => ({ views, detectors, data: noisy({ views, rows: 1, columns: detectors, data }, deviation, seeded(start)).data });

describe('findAxis from opposite views', () => {
  // The scene is exact; what is asked for is 0.1 columns and 0.1°.
  test.each([[0, 0], [3.2, 0.7], [-20, -1.5], [20, 0.4], [-7.5, 2.5], [12.3, -0.7]])('cone beam, axis %d columns off and leaning %d°: found to 0.05 columns and 0.05°', (columns, tilt) => {
    const beam = small(columns, tilt, { rowOffset: 5 });
    const axis = findAxis(noisy(projectScene(scene, beam), 0.02, seeded(1)), unknown(beam));
    expect(Math.abs(axis.axisOffsetPixels - columns), 'columns').toBeLessThan(0.05);
    expect(axis.axisOffset).toBeCloseTo(axis.axisOffsetPixels * pitch, 9);
    expect(Math.abs(axis.tilt - rad(tilt)), 'radians').toBeLessThan(rad(0.05));
    expect(axis).toMatchObject({ how: 'opposite views', rows: 64 });
    expect(axis.sure).toBeGreaterThan(0.95);
  });

  test('five or ten of 45 frames lost at random: still to 0.1 columns and 0.1°', () => {
    const beam = small(3.2, 0.7);
    const full = projectScene(scene, beam);
    for (const [lost, draw] of [[5, 1], [5, 2], [5, 3], [10, 1], [10, 2], [10, 3]] as const) {
      const kept = keptSteps(45, lost, seeded(draw));
      const axis = findAxis(noisy(framesOf(full, kept), 0.02, seeded(draw)), { ...unknown(beam), angles: kept.map((k) => beam.angles[k]!) });
      expect(Math.abs(axis.axisOffsetPixels - 3.2), `${lost} lost, draw ${draw}`).toBeLessThan(0.1);
      expect(Math.abs(axis.tilt - rad(0.7)), `${lost} lost, draw ${draw}`).toBeLessThan(rad(0.1));
    }
  });

  test('offset and tilt follow the frames: mirrored left and right they change sign', () => {
    const beam = small(4.4, 1.1);
    const { views, rows, columns, data } = projectScene(scene, beam);
    const mirrored = { views, rows, columns, data: data.map((_, i) => data[i - 2 * (i % columns) + columns - 1]!) };
    const axis = findAxis(mirrored, { ...unknown(beam), angles: beam.angles.map((angle) => -angle) });
    expect(axis.axisOffsetPixels).toBeCloseTo(-4.4, 1);
    expect(axis.tilt).toBeCloseTo(-rad(1.1), 3);
  });

  const head = sheppLogan({ size: 76, scale: 0.02 });
  const flat = {
    parallel: (offset: number) => parallelBeam({ views: 45, turn: 2 * Math.PI, detectors: 180, pitch: 0.7, axisOffset: offset * 0.7 }),
    fan: (offset: number) => fanBeam({ views: 45, detectors: 180, pitch: 0.9, axisOffset: offset * 0.9, sourceToAxis: 300, sourceToDetector: 450 }),
  };
  test.each([['parallel', -20], ['parallel', 0.3], ['parallel', 20], ['fan', -20], ['fan', -3.3], ['fan', 20]] as const)('one row of a %s beam, %d columns off: to 0.1 columns', (kind, columns) => {
    const beam = flat[kind](columns);
    const sinogram = noisyRow(projectPhantom(head, beam, { cell: 'average' }), 0.02, 3);
    const axis = findAxis(sinogram, { ...beam, axisOffset: 0 } as FlatBeam);
    expect(Math.abs(axis.axisOffsetPixels - columns)).toBeLessThan(0.1);
    expect(axis).toMatchObject({ how: 'opposite views', tilt: 0 });
  });

  test('the scatter that it states is of the size of its error', () => {
    const beam = small(3.2, 0.7);
    const full = projectScene(scene, beam);
    let [errors, stated] = [0, 0];
    for (let draw = 1; draw <= 6; draw++) {
      const axis = findAxis(noisy(full, 0.3, seeded(draw)), unknown(beam));
      errors += (axis.axisOffsetPixels - 3.2) ** 2 / 6;
      stated += (axis.deviation.axisOffset / pitch) ** 2 / 6;
    }
    expect(Math.sqrt(stated / errors)).toBeGreaterThan(0.4);
    expect(Math.sqrt(stated / errors)).toBeLessThan(3);
  });
});

describe('findAxis by sharpness, where part of the turn is missing', () => {
  const head = sheppLogan({ size: 76, scale: 0.02 });
  test.each([
    ['half a turn in a parallel beam', (offset: number) => parallelBeam({ views: 60, detectors: 170, pitch: 0.7, axisOffset: offset * 0.7 })],
    ['a short scan in a fan', (offset: number) => fanBeam({ views: 60, turn: shortScanTurn(0.24), detectors: 180, pitch: 0.9, axisOffset: offset * 0.9, sourceToAxis: 300, sourceToDetector: 450 })],
  ] as const)('%s: to 0.15 columns', (_, make) => {
    for (const columns of [-20, 3.3]) {
      const beam = make(columns);
      const axis = findAxis(noisyRow(projectPhantom(head, beam, { cell: 'average' }), 0.02, 2), { ...beam, axisOffset: 0 } as FlatBeam);
      expect(Math.abs(axis.axisOffsetPixels - columns), `${columns} columns off`).toBeLessThan(0.15);
      expect(axis.how).toBe('sharpness');
    }
  });
});

describe('findAxis refuses, in one sentence', () => {
  const beam = parallelBeam({ views: 40, turn: 2 * Math.PI, detectors: 80, pitch: 1 });
  const good = projectPhantom(sheppLogan({ size: 60, scale: 0.02 }), beam);
  const part = (from: number, to: number) => ({ frames: { views: to - from, detectors: 80, data: good.data.slice(from * 80, to * 80) }, beam: { ...beam, angles: beam.angles.slice(from, to) } });

  test.each([
    ['fewer than 8 frames', () => findAxis(part(0, 7).frames, part(0, 7).beam), 'There are 7 frames: at least 8'],
    ['angles that do not match', () => findAxis(good, part(0, 30).beam), '40 frames and 30 angles'],
    ['frames of another size', () => findAxis(good, { ...beam, detectors: 81 }), 'they need the same size'],
    ['no opposite views', () => findAxis(part(0, 12).frames, part(0, 12).beam), 'no opposite views'],
    ['a blank frame', () => findAxis({ ...good, data: good.data.map((value, i) => (Math.floor(i / 80) === 11 ? 0 : value)) }, beam), 'Frame 11 is blank'],
    ['nothing in any frame', () => findAxis({ ...good, data: good.data.map(() => 0) }, beam), 'The frames are blank'],
    ['a number that is not finite', () => findAxis({ ...good, data: good.data.map((value, i) => (i === 500 ? NaN : value)) }, beam), 'Frame 6 (counted from 0) holds NaN'],
    ['an object that leaves the frame', () => { const narrow = { ...beam, detectors: 44 }; return findAxis(projectPhantom(sheppLogan({ size: 60, scale: 0.02 }), narrow), narrow); }, 'The object leaves the frame on both sides'],
    ['an object that leaves it on one side', () => { const narrow = { ...beam, detectors: 64, axisOffset: 12 }; return findAxis(projectPhantom(sheppLogan({ size: 60, scale: 0.02 }), narrow), narrow); }, 'on the right (column 63)'],
    ['half a turn given as a whole one', () => { const half = parallelBeam({ views: 40, detectors: 80, pitch: 1 }); return findAxis(projectPhantom([disc(0, 0, 28, 0.02), disc(12, 9, 6, 0.05)], half), beam); }, 'The frames show half a turn'],
  ])('%s', async (_, find, words) => {
    expect(await refusal(find)).toContain(words);
  });
});

describe('turnWeights', () => {
  test('equal steps round the turn count alike', () => {
    for (const weight of turnWeights(equalAngles(45, 2 * Math.PI))) expect(weight).toBeCloseTo(1 / 45, 10);
  });
  test('add up to 1, and give the mean of a smooth function however frames were lost', () => {
    fc.assert(
      fc.property(fc.integer(), fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 6, maxLength: 6 }), (start, [a, b, c, d, e, f]) => {
        const angles = keptSteps(45, 6, seeded(start)).map((k) => rad(8 * k));
        const weights = turnWeights(angles);
        const at = (t: number) => 5 + a! * Math.cos(t) + b! * Math.sin(t) + c! * Math.cos(2 * t) + d! * Math.sin(2 * t) + e! * Math.cos(3 * t) + f! * Math.sin(3 * t);
        expect(weights.reduce((sum, weight) => sum + weight, 0)).toBeCloseTo(1, 10);
        expect(Math.abs(angles.reduce((sum, angle, i) => sum + weights[i]! * at(angle), 0) - 5)).toBeLessThan(0.05);
      }),
      { ...seed, numRuns: 100 },
    );
  });
});

describe('mirrorLine', () => {
  test('finds the line of a picture that is its own mirror image, wherever it lies', () => {
    fc.assert(
      fc.property(fc.double({ min: -10, max: 10, noNaN: true }), fc.double({ min: -0.04, max: 0.04, noNaN: true }), (off, lean) => {
        const [rows, columns] = [50, 70];
        const [cos, sin] = [Math.cos(lean), Math.sin(lean)];
        const data = new Float64Array(rows * columns);
        for (let row = 0; row < rows; row++) {
          for (let j = 0; j < columns; j++) {
            const [x, y] = [j - (columns - 1) / 2 - off, row - 20];
            const [away, along] = [x * cos - y * sin, x * sin + y * cos];
            data[row * columns + j] = Math.exp(-((Math.abs(away) - 6 - along / 10) ** 2) / 20) * (1.5 + Math.sin(along / 5));
          }
        }
        const line = mirrorLine({ rows, columns, data }, new Uint8Array(rows).fill(1), 20);
        expect(Math.abs(line.column - (columns - 1) / 2 - off)).toBeLessThan(0.02);
        expect(Math.abs(line.lean - lean)).toBeLessThan(0.001);
        expect(line.misfit).toBeLessThan(0.01);
      }),
      { ...seed, numRuns: 20 },
    );
  });
});

describe('cholesky', () => {
  test('L Lᵀ is the matrix, its determinant is known, and what it solves is solved', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 9 }), fc.integer(), (size, start) => {
        const random = seeded(start);
        const root = Array.from({ length: size * size }, () => random() - 0.5);
        const matrix = new Float64Array(size * size);
        for (let i = 0; i < size; i++) for (let j = 0; j < size; j++) for (let k = 0; k < size; k++) matrix[i * size + j]! += root[i * size + k]! * root[j * size + k]! + (k === 0 && i === j ? 0.5 : 0);
        const lower = matrix.slice();
        const logDeterminant = cholesky(lower, size);
        const right = Float64Array.from({ length: size }, random);
        const x = right.slice();
        solveLower(lower, size, x);
        solveUpper(lower, size, x);
        for (let i = 0; i < size; i++) expect(matrix.slice(i * size, (i + 1) * size).reduce((sum, value, j) => sum + value * x[j]!, 0)).toBeCloseTo(right[i]!, 8);
        const { inverse, logDeterminant: same } = invert(matrix.slice(), size);
        expect(same).toBeCloseTo(logDeterminant, 10);
        for (let i = 0; i < size; i++) expect(inverse.slice(i * size, (i + 1) * size).reduce((sum, value, j) => sum + value * right[j]!, 0)).toBeCloseTo(x[i]!, 8);
      }),
      { ...seed, numRuns: 60 },
    );
  });
  test('ln det of a known matrix, and a matrix that is not positive', () => {
    expect(cholesky(Float64Array.of(4, 0, 0, 9), 2)).toBeCloseTo(Math.log(36), 12);
    expect(() => cholesky(Float64Array.of(1, 2, 2, 1), 2)).toThrow('not positive');
  });
});

describe('fitEllipse', () => {
  test('is exact for points on an ellipse, flat or round, whole or part of it', () => {
    fc.assert(
      fc.property(
        fc.record({ x: fc.double({ min: -50, max: 50, noNaN: true }), y: fc.double({ min: -50, max: 50, noNaN: true }), major: fc.double({ min: 5, max: 80, noNaN: true }), share: fc.double({ min: 0.01, max: 0.95, noNaN: true }), angle: fc.double({ min: -1.5, max: 1.5, noNaN: true }), start: fc.double({ min: 0, max: 6, noNaN: true }) }),
        ({ x, y, major, share, angle, start }) => {
          const minor = share * major;
          const points = Array.from({ length: 20 }, (_, k) => {
            const t = start + (k * 4) / 19; // two thirds of the way round
            const [a, b] = [major * Math.cos(t), minor * Math.sin(t)];
            return [x + a * Math.cos(angle) - b * Math.sin(angle), y + a * Math.sin(angle) + b * Math.cos(angle)] as const;
          });
          const fit = fitEllipse(points);
          expect(fit.centre[0]).toBeCloseTo(x, 3);
          expect(fit.centre[1]).toBeCloseTo(y, 3);
          expect(fit.major / major).toBeCloseTo(1, 4);
          expect(fit.minor / minor).toBeCloseTo(1, 4);
          expect(Math.abs(Math.sin(fit.angle - angle))).toBeLessThan(1e-3 / (1 - share));
          expect(fit.rms).toBeLessThan(1e-4 * major);
        },
      ),
      { ...seed, numRuns: 200 },
    );
  });
  test.each([
    ['five points', [[0, 0], [1, 0], [2, 1], [1, 2], [0, 1]], 'at least 6 points'],
    ['points on a line', Array.from({ length: 9 }, (_, k) => [k, 2 * k + 1]), 'on one line'],
    ['points on a level line', Array.from({ length: 9 }, (_, k) => [k, 3]), 'on one line'],
  ] as const)('%s make no ellipse', async (_, points, words) => {
    expect(await refusal(() => fitEllipse(points as never))).toContain(words);
  });
});

describe('a bead of known path', () => {
  const path = (beam: ConeBeam, radius: number, z: number) => geometryFromBead(followBead(projectSolids([{ ...ball([radius, 0, z], 1.5), name: 'bead', attenuation: 0.3 } as never], beam, { samples: 3 }), beam), { radius }, beam.rowOffset);
  const beam = coneBeam({ views: 36, detectors: 200, rows: 160, pitch: 0.6, axisOffset: 2.4, rowOffset: 3, tilt: rad(0.8), sourceToAxis: 180, sourceToDetector: 320 });
  test('tells magnification, both distances, axis offset and tilt, from its exact frames', () => {
    const found = path(beam, 25, 20);
    expect(found.magnification / (320 / 180)).toBeCloseTo(1, 2);
    expect(Math.abs(found.sourceToAxis - 180)).toBeLessThan(4);
    expect(found.axisOffset).toBeCloseTo(2.4, 1);
    expect(Math.abs(found.tilt - rad(0.8))).toBeLessThan(rad(0.1));
  });
  test('exactly, from the exact track of a point above or below the source’s plane', () => {
    for (const z of [-22, 14]) {
      const track = beam.angles.map((angle) => {
        const [a, b] = [25 * Math.cos(angle), -25 * Math.sin(angle)];
        const [s, height] = [(320 * a) / (180 - b), (320 * z) / (180 - b)];
        return [s * Math.cos(beam.tilt) + height * Math.sin(beam.tilt) + 2.4, -s * Math.sin(beam.tilt) + height * Math.cos(beam.tilt) + 3] as const;
      });
      const found = geometryFromBead(track, { radius: 25 }, 3);
      expect(found.sourceToAxis).toBeCloseTo(180, 4);
      expect(found.sourceToDetector).toBeCloseTo(320, 4);
      expect(found.magnification).toBeCloseTo(320 / 180, 6);
      expect(found.axisOffset).toBeCloseTo(2.4, 5);
      expect(found.tilt).toBeCloseTo(rad(0.8), 6);
      expect(geometryFromBead(track, { radius: 25, sourceToAxis: 180 }, 3).magnification).toBeCloseTo(320 / 180, 6);
    }
  });
  test('near the plane of the source the magnification needs the distance, and then bears noise', async () => {
    const random = seeded(5);
    const near = (z: number) => beam.angles.map((angle) => [(320 * 25 * Math.cos(angle)) / (180 + 25 * Math.sin(angle)) + 0.02 * (random() - 0.5), (320 * z) / (180 + 25 * Math.sin(angle)) + 0.02 * (random() - 0.5)] as const);
    expect(geometryFromBead(near(2), { radius: 25, sourceToAxis: 180 }).magnification).toBeCloseTo(320 / 180, 2);
    expect(await refusal(() => geometryFromBead(near(0.01), { radius: 25 }))).toContain('too near the plane of the source');
    expect(await refusal(() => geometryFromBead(beam.angles.map((angle) => [Math.cos(angle), 0] as const), { radius: 25 }))).toContain('seen edge on');
  });
  test('frames without a bead are refused', async () => {
    const even: Projections = { views: 8, rows: 20, columns: 20, data: new Float32Array(3200).fill(1) };
    expect(await refusal(() => followBead(even, { pitch: 1 }))).toContain('shows no bead');
  });
});
