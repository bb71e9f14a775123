import { describe, expect, test } from 'vitest';
import { disc, equalAngles, fanBeam, gaussian, parallelBeam, placeFrames, placeFramesSteps, projectPhantom, type Phantom, type Sinogram } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';
import { keptSteps, noisy, seeded } from './support/ellipsoid-scene.ts';

const steps = 30;
const angles = equalAngles(steps, 2 * Math.PI);

/** Up to a common turn: the first frame at step 0. */
const fromFirst = (kept: readonly number[]) => kept.map((k) => (k - kept[0]! + steps) % steps);

describe('placeFrames on one row', () => {
  const fan = { beam: 'fan', detectors: 120, pitch: 1.1, axisOffset: 0, sourceToAxis: 300, sourceToDetector: 450 } as const;
  const plate: Phantom = [disc(1, 0, 34, 0.02), disc(-14, -9, 7, 0.05), disc(9, 13, 6, -0.02), disc(14, -12, 4, 0.06), gaussian(-8, 16, 4, 0.03)];
  const rows = (beam: Parameters<typeof projectPhantom>[1], kept: readonly number[]): Sinogram => projectPhantom(plate, { ...beam, angles: kept.map((k) => beam.angles[k]!) }, { cell: 'average' });

  test('one row of a fan, turned clockwise', () => {
    const kept = keptSteps(steps, 3, seeded(4));
    const placed = placeFrames(rows(fanBeam({ ...fan, axisOffset: 2, angles: angles.map((angle) => -angle) }), kept), fan, { steps, step: -(2 * Math.PI) / steps });
    expect(placed.steps).toEqual(fromFirst(kept));
    expect(placed.sure).toBeGreaterThan(0.9);
  });

  test('half a turn in a parallel beam', () => {
    const beam = parallelBeam({ views: 24, detectors: 100, pitch: 1, axisOffset: 1.5 });
    const kept = keptSteps(24, 2, seeded(8));
    const { angles: _, ...parallel } = beam;
    const placed = placeFrames(rows(beam, kept), { ...parallel, axisOffset: 0 }, { steps: 24, step: Math.PI / 24 });
    // Frames lost before the first and after the last cannot be told apart: they are counted after the last.
    expect(placed.steps).toEqual(kept.map((k) => k - kept[0]!));
  });

  test('what the caller fixes stands, and the others are found between', () => {
    const kept = keptSteps(steps, 3, seeded(1));
    const frames = rows(fanBeam({ ...fan, angles }), kept);
    expect(placeFrames(frames, fan, { steps, fixed: [[7, kept[7]!]] }).steps, 'one frame fixed: the whole is turned to it').toEqual(kept);
    const overruled = placeFrames(frames, fan, { steps, fixed: [[0, kept[0]!], [14, kept[14]! + 1]] });
    expect(overruled.steps[0]).toBe(kept[0]);
    expect(overruled.steps[14], 'overruled').toBe(kept[14]! + 1);
    expect(new Set(overruled.steps).size).toBe(27);
    expect(overruled.steps.filter((step, i) => i > 0 && step < overruled.steps[i - 1]!).length, 'rising, once round').toBeLessThanOrEqual(1);
  });

  test('the less the frames show, the less sure it is; a chance is never more than all', () => {
    const kept = keptSteps(steps, 3, seeded(6));
    const exact = rows(fanBeam({ ...fan, angles }), kept);
    const sure = [0.01, 1.5].map((deviation) => placeFrames({ ...exact, data: noisy({ views: exact.views, rows: 1, columns: exact.detectors, data: exact.data }, deviation, seeded(7)).data }, fan, { steps }));
    expect(sure[0]!.sure).toBeGreaterThan(0.99);
    expect(sure[1]!.sure).toBeLessThan(0.7);
    for (const placed of sure) {
      expect(placed.sure + placed.next!.sure).toBeLessThanOrEqual(1 + 1e-12);
      expect(placed.next!.sure).toBeLessThanOrEqual(placed.sure);
      for (const each of placed.sureOfFrame) expect(each).toBeGreaterThanOrEqual(placed.sure - 1e-12);
    }
  });

  test('no frame lost: nothing to choose', () => {
    const placed = placeFrames(rows(fanBeam({ ...fan, angles }), angles.map((_, k) => k)), fan, { steps });
    expect(placed.steps).toEqual(angles.map((_, k) => k));
    expect(placed).toMatchObject({ lost: [], sure: 1 });
    expect(placed.next).toBeUndefined();
  });

  test('progress rises from 0 to 1', () => {
    const kept = keptSteps(steps, 3, seeded(5));
    let last = 0;
    for (const fraction of placeFramesSteps(rows(fanBeam({ ...fan, angles }), kept), fan, { steps }) as Iterable<number>) {
      expect(fraction).toBeGreaterThanOrEqual(last - 1e-9);
      expect(fraction).toBeLessThanOrEqual(1);
      last = fraction;
    }
    expect(last).toBeGreaterThan(0.9);
  });

  const row = (count: number) => rows(fanBeam({ ...fan, angles: equalAngles(45, 2 * Math.PI) }), Array.from({ length: count }, (_, k) => k));
  test.each<[string, () => unknown, string]>([
    ['fewer than 8 frames', () => placeFrames(row(7), fan, { steps: 45 }), 'at least 8 are needed'],
    ['more frames than steps', () => placeFrames(row(45), fan, { steps: 40, step: Math.PI / 20 }), 'only 40 steps'],
    ['steps that make no turn', () => placeFrames(row(40), fan, { steps: 45, step: (7 * Math.PI) / 180 }), '45 steps of 7° make 315°'],
    ['half a turn in a fan', () => placeFrames(row(40), fan, { steps: 45, step: (4 * Math.PI) / 180 }), 'in a whole turn.'],
    ['too many steps', () => placeFrames(row(40), fan, { steps: 360 }), 'at most 180 steps'],
    ['a number of steps that is none', () => placeFrames(row(40), fan, { steps: 44.5 }), 'a whole number from 8'],
    ['a blank frame', () => { const blank = row(40); blank.data.fill(0, 120 * 3, 120 * 4); return placeFrames(blank, fan, { steps: 45 }); }, 'Frame 3 is blank'],
    ['a frame fixed that is not there', () => placeFrames(row(40), fan, { steps: 45, fixed: [[40, 3]] }), 'there is no such frame'],
    ['a step that is not there', () => placeFrames(row(40), fan, { steps: 45, fixed: [[3, 45]] }), 'steps are counted from 0 to 44'],
    ['fixed frames that leave no room', () => placeFrames(row(40), fan, { steps: 45, fixed: [[3, 3], [10, 8]] }), 'leaves no room'],
    ['fixed frames that leave too much room', () => placeFrames(row(40), fan, { steps: 45, fixed: [[3, 3], [10, 20]] }), 'leaves no room'],
    ['an object that leaves the frame', () => { const narrow = { ...fan, detectors: 60 }; return placeFrames(rows(fanBeam({ ...narrow, angles }), keptSteps(steps, 3, seeded(1))), narrow, { steps }); }, 'The object leaves the frame on both sides'],
  ])('refuses %s, in one sentence', async (_, place, words) => {
    expect(await refusal(place)).toContain(words);
  });
});
