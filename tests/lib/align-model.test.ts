import { describe, expect, test } from 'vitest';
import { consistencyOf } from '../../src/lib/align/consistency.ts';
import { gapProblem, movedGaps, stepsOf } from '../../src/lib/align/gaps.ts';
import { movedFrames } from '../../src/lib/align/odd-frames.ts';
import { stripsOf } from '../../src/lib/align/strips.ts';
import { precisionOf, turningModel } from '../../src/lib/align/turning-model.ts';
import { disc, equalAngles, fanBeam, finish, forwardProject, parallelBeam, placeFrames, projectPhantom, type BeamWithoutAngles } from '../../src/lib/index.ts';
import { framesOf, keptSteps, noisy, projectScene, scene, seeded } from './support/ellipsoid-scene.ts';

describe('the model of the views', () => {
  const parallel: BeamWithoutAngles = { beam: 'parallel', detectors: 60, pitch: 1, axisOffset: 0 };
  const fan: BeamWithoutAngles = { beam: 'fan', detectors: 60, pitch: 1, axisOffset: 0, sourceToAxis: 60, sourceToDetector: 90 };
  const circle = 96, cells = 10; // more steps than harmonics, so that none fall together

  /** Covariance of two cells of views `turn` radians apart. */
  function covariance({ covariance: harmonics }: ReturnType<typeof turningModel>, i: number, j: number, turnBy: number): number {
    return harmonics.reduce((sum, { re, im }, m) => {
      const n = m > circle / 2 ? m - circle : m;
      return sum + re[i * cells + j]! * Math.cos(n * turnBy) - im[i * cells + j]! * Math.sin(n * turnBy);
    }, 0);
  }

  test.each([['parallel', parallel, () => 0], ['fan', fan, (cell: number) => Math.atan2(-30 + 6 * (cell + 0.5), 90)]] as const)('%s: a ray and its opposite are the same number', (_, beam, gamma) => {
    const model = turningModel(beam, circle, 1, 30, cells);
    for (const cell of [0, 2, 5, 7]) {
      const other = cells - 1 - cell;
      // View β in `cell` against view β + π + 2γ in the opposite cell.
      const apart = -(Math.PI + 2 * gamma(cell));
      const difference = covariance(model, cell, cell, 0) + covariance(model, other, other, 0) - 2 * covariance(model, cell, other, apart);
      expect(Math.abs(difference) / covariance(model, cell, cell, 0), 'variance of their difference').toBeLessThan(1e-6);
    }
  });

  test.each([['parallel', parallel], ['fan', fan]] as const)('%s: noise in a disc, smoothed and projected pixel by pixel, varies together as it says', (kind, beam) => {
    // White noise on pixels, projected by Joseph's method along the very direction in which each cell looks, smoothed along the row by
    // the kernel of the model's spectrum, averaged over the cell. Nothing of this goes by harmonics.
    const isFan = kind === 'fan';
    const rayAt = (s: number) => (isFan ? 60 * Math.sin(Math.atan2(s, 90)) : s);
    const radius = rayAt(30);
    const looks = [[0, 4], [0, 6], [3, 4], [8, 4], [8, 2], [20, 5], [48, 5], [48, 3]] as const; // [step, cell]
    const gammaOf = (cell: number) => (isFan ? Math.atan2(-30 + 6 * (cell + 0.5), 90) : 0);
    const [detectors, pitch] = [240, (2.4 * radius) / 240];
    const rows = parallelBeam({ angles: looks.map(([step, cell]) => (2 * Math.PI * step) / circle + gammaOf(cell)), detectors, pitch });
    const size = 48;
    const grid = { width: size, height: size, pixelSize: (2 * radius) / size };
    const k0 = 4 / radius;
    const kernel = Float64Array.from({ length: detectors }, (_, away) => {
      let sum = 0;
      for (let q = 0; q < 300; q++) { const k = ((q + 0.5) / 300) * (Math.PI / pitch); sum += Math.cos(k * away * pitch) / Math.sqrt(1 + (k / k0) ** 2) / 300; }
      return sum;
    });
    // Smoothing and averaging in one: the weight of each fine sample in the cell.
    const weights = looks.map(([, cell]) => {
      const [from, to] = [rayAt(-30 + 6 * cell), rayAt(-30 + 6 * (cell + 1))];
      const inside = Array.from({ length: detectors }, (_, j) => j).filter((j) => { const s = (j - (detectors - 1) / 2) * pitch; return s >= from && s < to; });
      return Float64Array.from({ length: detectors }, (_, j) => inside.reduce((sum, i) => sum + kernel[Math.abs(i - j)]! / inside.length, 0));
    });
    const random = seeded(11);
    const draws = 1200;
    const sums = new Float64Array(looks.length);
    const squares = new Float64Array(looks.length);
    for (let draw = 0; draw < draws; draw++) {
      const data = Float32Array.from({ length: size * size }, (_, i) => {
        const [x, y] = [(i % size) - (size - 1) / 2, Math.floor(i / size) - (size - 1) / 2];
        return Math.hypot(x, y) < size / 2 ? random() - 0.5 : 0;
      });
      const sinogram = forwardProject({ ...grid, data }, rows).data;
      const values = looks.map((_, i) => weights[i]!.reduce((sum, weight, j) => sum + weight * sinogram[i * detectors + j]!, 0));
      values.forEach((value, i) => { sums[i]! += values[0]! * value; squares[i]! += value * value; });
    }
    // What is round about the axis was given a hundred times its share; it is taken back here.
    const model = turningModel(beam, circle, 1, 30, cells);
    const fair = { ...model, covariance: model.covariance.map(({ re, im }, m) => (m === 0 ? { re: re.map((value) => value / 100), im: im.map((value) => value / 100) } : { re, im })) };
    looks.forEach(([step, cell], i) => {
      const expected = covariance(fair, 4, cell, (-2 * Math.PI * step) / circle) / Math.sqrt(covariance(fair, 4, 4, 0) * covariance(fair, cell, cell, 0));
      const found = sums[i]! / Math.sqrt(squares[0]! * squares[i]!);
      // A correlation from 1,200 draws has a deviation of at most 1/√1200 = 0.029.
      expect(Math.abs(found - expected), `${step} steps on, cell ${cell}: ${found.toFixed(3)} drawn, ${expected.toFixed(3)} by the model`).toBeLessThan(0.1);
    });
  });

  test('precisionOf is the inverse of the covariance of all views, noise added', () => {
    const small = turningModel(fan, 9, -1, 30, 4);
    const { lags, logDeterminant } = precisionOf(small, 0.1);
    const block = (lag: number, i: number, j: number) => small.covariance.reduce((sum, { re, im }, m) => sum + re[i * 4 + j]! * Math.cos((2 * Math.PI * m * lag) / 9) - im[i * 4 + j]! * Math.sin((2 * Math.PI * m * lag) / 9), 0) + (lag === 0 && i === j ? 0.1 : 0);
    for (const [k, i] of [[0, 0], [3, 2], [8, 3]] as const) {
      for (const [l, j] of [[0, 0], [3, 2], [5, 1]] as const) {
        let sum = 0;
        for (let view = 0; view < 9; view++) for (let cell = 0; cell < 4; cell++) sum += block((k - view + 9) % 9, i, cell) * lags[(view - l + 9) % 9]![cell * 4 + j]!;
        expect(sum).toBeCloseTo(k === l && i === j ? 1 : 0, 8);
      }
    }
    expect(Number.isFinite(logDeterminant)).toBe(true);
  });

  test('a score does not change when the whole is turned, and is best where the frames were taken', () => {
    const kept = keptSteps(24, 3, seeded(2));
    const beam = fanBeam({ angles: kept.map((k) => (k * Math.PI) / 12), detectors: 60, pitch: 1, sourceToAxis: 100, sourceToDetector: 150 });
    const { views, detectors, data } = projectPhantom([disc(2, 1, 14, 0.02), disc(-5, 3, 4, 0.05), disc(6, -4, 3, 0.06)], beam);
    const strips = stripsOf({ views, rows: 1, columns: detectors, data }, beam, Uint8Array.of(1), 28, 1, 20);
    const { score, fitsSteps, settleSteps } = consistencyOf(strips, turningModel(beam, 24, 1, 28, 20));
    const fits = (steps: readonly number[]) => finish(fitsSteps(steps));
    const right = score(kept);
    expect(score(kept.map((k) => k + 7))).toBeCloseTo(right, 6);
    for (const gaps of movedGaps(kept.map((k, i) => (kept[i + 1] ?? kept[0]! + 24) - k - 1), gapProblem(21, 24, 24, []))) {
      expect(score(stepsOf(gaps))).toBeLessThan(right);
    }
    // A frame put a step too early lies ahead of it.
    const place = kept.findIndex((k, i) => i > 0 && k - kept[i - 1]! > 1);
    const wrong = fits(kept.map((k, i) => (i === place ? k - 1 : k)));
    expect(wrong.surprises[place]!).toBeGreaterThan(1.5 * fits(kept).surprises[place]!);
    expect(wrong.ahead[place]!).toBeGreaterThan(0.5);
    expect(Math.max(...fits(kept).ahead.map(Math.abs)), 'where all are right, none lies far off').toBeLessThan(wrong.ahead[place]! / 2);
    finish(settleSteps(kept));
    expect(score(kept), 'the level of noise that fits best').toBeGreaterThanOrEqual(right);
  });
});

describe('frames taken while the stage moved', () => {
  const steps = 45;
  const detector = { beam: 'cone', detectors: 80, rows: 48, pitch: 2.2, axisOffset: 0, rowOffset: 0, tilt: 0, sourceToAxis: 300, sourceToDetector: 450 } as const;
  const rig = { ...detector, axisOffset: 3.3, tilt: 0.012 };
  const angles = equalAngles(steps, 2 * Math.PI);

  test('a frame taken while the stage moved is flagged, and no other', () => {
    const kept = keptSteps(steps, 3, seeded(2));
    const frames = framesOf(projectScene(scene, { ...rig, angles }), kept);
    const size = detector.rows * detector.detectors;
    for (const frame of [9, 23]) {
      // The mean over the last 6° before the frame's own angle.
      const blurred = projectScene(scene, { ...rig, angles: Array.from({ length: 7 }, (_, i) => angles[kept[frame]!]! - (i * Math.PI) / 180) });
      for (let i = 0; i < size; i++) {
        let sum = 0;
        for (let view = 0; view < 7; view++) sum += blurred.data[view * size + i]! / 7;
        frames.data[frame * size + i] = sum;
      }
    }
    const placed = placeFrames(noisy(frames, 0.02, seeded(9)), detector, { steps });
    expect(placed.moved).toEqual([9, 23]);
    expect(placed.steps).toEqual(kept.map((k) => (k - kept[0]! + steps) % steps));
    // The mean of the movement lies 3° of 8° behind its end.
    for (const frame of [9, 23]) expect(Math.abs(placed.ahead[frame]! + 3 / 8)).toBeLessThan(0.1);
  });

  test('a frame that is blurred across, though about its own step, is flagged where it surprises', () => {
    const [views, rows, columns] = [20, 12, 64];
    const data = Float32Array.from({ length: views * rows * columns }, (_, i) => Math.sin((i % columns) * 0.8 + Math.floor(i / columns / rows)) + 1);
    for (let row = 0; row < rows; row++) {
      const at = (7 * rows + row) * columns;
      const before = data.slice(at, at + columns);
      for (let j = 1; j + 1 < columns; j++) data[at + j] = (before[j - 1]! + before[j]! + before[j + 1]!) / 3;
    }
    const usual = { surprises: new Float64Array(views).fill(1), ahead: new Float64Array(views) };
    const odd = { ...usual, surprises: usual.surprises.map((_, view) => (view === 7 ? 1.4 : 1)) };
    const frames = { views, rows, columns, data };
    const all = new Uint8Array(rows).fill(1);
    expect(movedFrames(frames, equalAngles(views, 2 * Math.PI), odd, all)).toEqual([7]);
    expect(movedFrames(frames, equalAngles(views, 2 * Math.PI), usual, all), 'blurred, but as the others say it should be').toEqual([]);
  });
});
