import fc from 'fast-check';
import { beforeAll, describe, expect, test } from 'vitest';
import { evenGaps, gapProblem, movedGaps, movedTogether, randomGaps, stepsOf } from '../../src/lib/align/gaps.ts';
import { gapsFromMoments } from '../../src/lib/align/moments.ts';
import { missingSteps } from '../../src/lib/align/consistency.ts';
import { stripsOf } from '../../src/lib/align/strips.ts';
import { equalAngles, gaussian, parallelBeam, placeFrames, projectPhantom, type Phantom, type Projections } from '../../src/lib/index.ts';
import { framesOf, keptSteps, noisy, projectScene, scene, seeded } from './support/ellipsoid-scene.ts';

const seed = { seed: 20250612 };
const steps = 45;
const detector = { beam: 'cone', detectors: 80, rows: 48, pitch: 2.2, axisOffset: 0, rowOffset: 0, tilt: 0, sourceToAxis: 300, sourceToDetector: 450 } as const;
const rig = { ...detector, axisOffset: 3.3, tilt: 0.012 }; // what the frames were taken with, and placeFrames is not told
const angles = equalAngles(steps, 2 * Math.PI);

let turn: Projections;
beforeAll(() => { turn = projectScene(scene, { ...rig, angles }); });

/** Up to a common turn: the first frame at step 0. */
const fromFirst = (kept: readonly number[]) => kept.map((k) => (k - kept[0]! + steps) % steps);

describe('placeFrames', () => {
  // The demo photographs, the measured discs and fifty draws are in benchmarks/lost-frames.ts and tests/outside.
  test.each([1, 2, 3])('five of 45 noisy cone-beam frames lost, draw %d: every frame at its step, and sure of it', (draw) => {
    const random = seeded(draw);
    const kept = keptSteps(steps, 5, random);
    const placed = placeFrames(noisy(framesOf(turn, kept), 0.03, random), detector, { steps });
    expect(placed.steps).toEqual(fromFirst(kept));
    expect(placed.lost).toEqual(angles.map((_, k) => k).filter((k) => !fromFirst(kept).includes(k)));
    expect(placed.angles[5]).toBeCloseTo((placed.steps[5]! * 2 * Math.PI) / steps, 12);
    expect(placed.sure).toBeGreaterThan(0.99);
    expect(Math.min(...placed.sureOfFrame)).toBeGreaterThan(0.99);
    expect(placed.next!.sure).toBeLessThan(0.01);
    expect(Math.abs(placed.axis!.axisOffset - rig.axisOffset), 'the axis, found on the way, mm').toBeLessThan(0.1 * detector.pitch);
    expect(Math.abs(placed.axis!.tilt - rig.tilt)).toBeLessThan((0.2 * Math.PI) / 180);
    expect(placed.duplicates).toEqual([]);
    expect(placed.moved).toEqual([]);
  });

  test('frames that repeat another are flagged and stand at its step; so is the one that closes the turn', () => {
    const kept = [0, ...keptSteps(steps, 3, seeded(3)).filter((k) => k > 0)];
    const listed = [...kept.slice(0, 12), kept[11]!, ...kept.slice(12), kept[0]!];
    const placed = placeFrames(noisy(framesOf(turn, listed), 0.02, seeded(9)), detector, { steps });
    expect(placed.duplicates).toEqual([{ frame: 12, of: 11 }, { frame: listed.length - 1, of: 0 }]);
    expect(placed.steps).toEqual(listed);
  });
});

describe('gaps', () => {
  test('steps from gaps and back: gaps add up to what is missing, steps are all different', () => {
    fc.assert(
      fc.property(fc.integer({ min: 8, max: 40 }), fc.integer({ min: 0, max: 12 }), fc.integer(), (frames, lost, start) => {
        const problem = gapProblem(frames, frames + lost, frames + lost, []);
        for (const gaps of [evenGaps(problem, 0), evenGaps(problem, 0.5), randomGaps(problem, seeded(start))]) {
          expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBe(lost);
          expect(new Set(stepsOf(gaps)).size).toBe(frames);
          expect(missingSteps(stepsOf(gaps), frames + lost)).toHaveLength(lost);
          for (const near of [...movedGaps(gaps, problem), ...movedTogether(gaps, problem, 3)]) {
            expect(near.reduce((sum, gap) => sum + gap, 0)).toBe(lost);
            expect(Math.min(...near)).toBeGreaterThanOrEqual(0);
          }
        }
      }),
      { ...seed, numRuns: 60 },
    );
  });

  test('with frames fixed, nothing moves past them', () => {
    fc.assert(
      fc.property(fc.integer(), fc.integer({ min: 1, max: 8 }), (start, lost) => {
        const random = seeded(start);
        const kept = keptSteps(30, lost, random);
        const fixed = [3, 11, 19].filter((frame) => frame < kept.length).map((frame) => [frame, kept[frame]!] as const);
        const problem = gapProblem(kept.length, 30, 30, fixed);
        const stands = (gaps: readonly number[]) => {
          const steps = stepsOf(gaps);
          return fixed.every(([frame, step]) => (steps[frame]! - steps[3]! - (step - kept[3]!)) % 30 === 0);
        };
        const gaps = randomGaps(problem, random);
        expect(gaps.reduce((sum, gap) => sum + gap, 0)).toBe(lost);
        for (const each of [gaps, evenGaps(problem, 0.3), ...movedGaps(gaps, problem), ...movedTogether(gaps, problem, 4)]) expect(stands(each)).toBe(true);
      }),
      { ...seed, numRuns: 40 },
    );
  });

  test('moments of exact parallel views, four bands of them: the right gaps stand, and wrong ones come nearer', () => {
    const random = seeded(21);
    const bands: Phantom[] = [[gaussian(9, 4, 5, 0.05), gaussian(-12, 2, 3, 0.08)], [gaussian(3, -14, 4, 0.03), gaussian(-9, 8, 5, 0.05)], [gaussian(14, -3, 4, 0.06)], [gaussian(-4, 15, 4, 0.04), gaussian(6, 5, 6, 0.03)]];
    const problem = gapProblem(36, 40, 40, []);
    let [before, after] = [0, 0];
    for (let draw = 0; draw < 8; draw++) {
      const kept = keptSteps(40, 4, random);
      const beam = parallelBeam({ angles: kept.map((k) => (k * Math.PI) / 20), detectors: 120, pitch: 0.6 });
      const sinograms = bands.map((phantom) => projectPhantom(phantom, beam).data);
      const data = new Float32Array(36 * 4 * 120);
      sinograms.forEach((sinogram, band) => kept.forEach((_, view) => data.set(sinogram.subarray(view * 120, (view + 1) * 120), (view * 4 + band) * 120)));
      const strips = stripsOf({ views: 36, rows: 4, columns: 120, data }, beam, new Uint8Array(4).fill(1), 36, 4, 60);
      const truth = kept.map((k, i) => (kept[i + 1] ?? kept[0]! + 40) - k - 1);
      expect(gapsFromMoments(strips, true, problem, truth)).toEqual(truth);
      // In steps, over all frames, up to a common turn.
      const away = (gaps: readonly number[]) => Math.min(...[-3, -2, -1, 0, 1, 2, 3].map((turn) => stepsOf(gaps).reduce((sum, step, i) => sum + Math.abs(step + turn - (kept[i]! - kept[0]!)), 0)));
      const even = evenGaps(problem, 0.5);
      before += away(even);
      after += away(gapsFromMoments(strips, true, problem, even));
    }
    expect(after / before).toBeLessThan(0.8);
  });
});
