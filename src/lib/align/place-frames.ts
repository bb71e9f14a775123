import { finish, part, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Geometry, Projections, Sinogram } from '../types.ts';
import { consistencyOf, type FrameFits } from './consistency.ts';
import { findAxisSteps, type Axis } from './find-axis.ts';
import { asFrames, freeRows, pickFrames, type BeamWithoutAngles } from './frames.ts';
import { evenGaps, gapProblem, randomGaps, stepsOf, type GapProblem } from './gaps.ts';
import { gapsFromMoments } from './moments.ts';
import { duplicateFrames, movedFrames, type Duplicate } from './odd-frames.ts';
import { searchGaps, type Candidate } from './search.ts';
import { reachOf, stripsOf, type Strips } from './strips.ts';
import { turningModel } from './turning-model.ts';

export type { BeamWithoutAngles } from './frames.ts';
export type { Duplicate } from './odd-frames.ts';

export interface PlaceOptions {
  /** How many equal steps were meant to be taken. */
  readonly steps: number;
  /** One step, radians, + where the source goes counter-clockwise round the object; 2π/steps when left out. */
  readonly step?: number;
  /** What the caller knows: [frame, step], steps counted 0 … steps − 1. With one the whole is turned to it; with more, the others are found between them. */
  readonly fixed?: readonly (readonly [frame: number, step: number])[];
  /** find: the axis is found on the way, and the geometry's axisOffset and tilt are not used.   keep: they are taken as they stand. */
  readonly axis?: 'find' | 'keep';
}

export interface Placement {
  /** The step of each frame, 0 … steps − 1, in the order of the frames; the first at 0, unless frames are fixed. */
  readonly steps: readonly number[];
  /** steps · step, radians. */
  readonly angles: readonly number[];
  /** The steps at which there is no frame, rising. */
  readonly lost: readonly number[];
  /** The chance that every frame is at its right step, 0…1, from how much worse the other ways fit. */
  readonly sure: number;
  /** The same for each frame by itself. */
  readonly sureOfFrame: readonly number[];
  /** The next best way, and its chance; none where no other is possible. */
  readonly next?: { readonly steps: readonly number[]; readonly lost: readonly number[]; readonly sure: number };
  /** How far each frame is from what the others predict, over what is expected: about 1 is usual. */
  readonly surprises: readonly number[];
  /** By how much of a step each frame lies ahead of its step, as the others have it; a stage that keeps its steps leaves a few hundredths. */
  readonly ahead: readonly number[];
  /** Frames that repeat another; they stand at its step. */
  readonly duplicates: readonly Duplicate[];
  /** Frames that look as if the stage moved while they were taken, or stood between two steps. */
  readonly moved: readonly number[];
  /** The axis that was used, if it was found on the way. */
  readonly axis?: Axis;
}

/**
 * Finds which of `steps` equal steps the frames are, of which some were lost, from the frames alone. They are in order. Nothing can tell
 * by how much the whole is turned: the first frame is given step 0, unless the caller fixes one.
 * 1. A first guess by moments (gapsFromMoments), beside even spacing and chance.
 * 2. A search over where the gaps are (searchGaps), each way judged by what the best reconstruction leaves over (consistencyOf), of
 *    all usable rows in a few bands, coarsely.
 * 3. The axis, by the angles so found (findAxis), and the best ways once more with finer cells.
 * Chances are likelihoods, tempered (see TEMPER), and say how far the best stands out among all that were tried.
 * frames: line integrals.   detector: a geometry; its angles are not used.
 * A whole turn (steps · step = 2π), or in a parallel beam half a turn, whose views are then mirrored to a whole one.
 * Throws BadInput, one sentence: fewer than 8 frames, more frames than steps, a blank frame, an object that leaves the frame, steps that
 * do not make a turn, more than 180 steps a turn, fixed frames that contradict each other.
 * Source: the consistency conditions of Helgason (1965) and Ludwig (1966), citations from memory; the rest is this project's own.
 */
export function placeFrames(frames: Projections | Sinogram, detector: BeamWithoutAngles, options: PlaceOptions): Placement {
  return finish(placeFramesSteps(frames, detector, options));
}

export function* placeFramesSteps(frames: Projections | Sinogram, detector: BeamWithoutAngles, options: PlaceOptions): Steps<Placement> {
  const all = asFrames(frames, detector);
  const { steps: count, step = (2 * Math.PI) / count, fixed = [], axis: findIt = 'find' } = options;
  const turn = checkTurn(count, step, detector);
  const free = freeRows(all);
  yield 0.02;

  const duplicates = duplicateFrames(stripsOf(all, detector, free, reachOf(all, detector, free), 12, 32));
  const repeated = new Set(duplicates.map(({ frame }) => frame));
  const kept = Array.from({ length: all.views }, (_, view) => view).filter((view) => !repeated.has(view));
  if (kept.length > count) {
    throw new BadInput(`There are ${kept.length} different frames and only ${count} steps: frames are left out of a turn, never added, so there should be at most ${count}.`);
  }
  const own = repeated.size > 0 ? pickFrames(all, kept) : all;
  const problem = gapProblem(own.views, count, count, fixedAmong(kept, duplicates, fixed, count));
  const anglesOf = (gaps: readonly number[]) => stepsOf(gaps).map((k) => k * step);
  yield 0.04;

  // The axis first as if the frames were spread evenly: near enough for coarse cells.
  let axis: Axis | undefined;
  const withAxis = (found: Axis | undefined): BeamWithoutAngles => {
    if (!found) return detector;
    return { ...detector, axisOffset: found.axisOffset, ...(detector.beam === 'cone' ? { tilt: found.tilt } : {}) };
  };
  const geometryAt = (gaps: readonly number[]): Geometry => ({ ...detector, angles: anglesOf(gaps) }) as Geometry;
  const even = evenGaps(problem, 0.5);
  if (findIt === 'find') axis = yield* part(findAxisSteps(own, geometryAt(even)), 0.04, 0.1);

  const lost = count - own.views;
  const coarseCells = cellsFor(lost, turn, 16, 100);
  const direction = step > 0 ? 1 : -1;
  const judgeOf = (bands: number, cells: number) => {
    const seen = withAxis(axis);
    const reach = reachOf(own, seen, free);
    const strips = stripsOf(own, seen, free, reach, bands, cells);
    const judge = consistencyOf(turn === 'half' ? mirrored(strips) : strips, turningModel(seen, turn === 'half' ? 2 * count : count, direction, reach, cells));
    const both = (steps: readonly number[]) => (turn === 'half' ? [...steps, ...steps.map((k) => k + count)] : steps);
    const share = turn === 'half' ? 0.5 : 1; // a mirrored view says nothing new
    return {
      score: (steps: readonly number[]) => share * judge.score(both(steps)),
      settleSteps: (steps: readonly number[]) => judge.settleSteps(both(steps)),
      fitsSteps: (steps: readonly number[]) => judge.fitsSteps(both(steps)),
    };
  };

  const coarse = judgeOf(6, coarseCells);
  yield 0.15;
  const random = numbersFrom(1);
  // Of many lost frames there are many pairs: those are then moved less far together.
  const wide = { far: Infinity, together: Math.max(3, Math.round(50 / Math.max(5, lost))) };
  const starts = [gapsFromMoments(momentStrips(own, withAxis(axis), free), detector.beam === 'parallel', problem, even), even, evenGaps(problem, 0), randomGaps(problem, random)];
  let found = yield* part(searchGaps(coarse.score, problem, starts, { ...wide, patience: 6 }), 0.15, 0.45);
  if (lost > 0) {
    yield* part(coarse.settleSteps(stepsOf(found[0]!.gaps)), 0.45, 0.5);
    found = yield* part(searchGaps(coarse.score, problem, found.slice(0, 3).map(({ gaps }) => gaps), { ...wide, patience: 4 }), 0.5, 0.65);
  }
  if (findIt === 'find') axis = yield* part(findAxisSteps(own, geometryAt(found[0]!.gaps)), 0.65, 0.7);

  const fine = judgeOf(own.rows > 1 ? 8 : 1, cellsFor(lost, turn, own.rows > 1 ? 40 : 64, 320));
  yield 0.72;
  yield* part(fine.settleSteps(stepsOf(found[0]!.gaps)), 0.72, 0.78);
  let judged: Candidate[] = found.slice(0, 1);
  if (lost > 0) {
    const near = { far: 2, together: 1, patience: 3 };
    judged = yield* part(searchGaps(fine.score, problem, found.slice(0, 8).map(({ gaps }) => gaps), near), 0.78, 0.88);
    yield* part(fine.settleSteps(stepsOf(judged[0]!.gaps)), 0.88, 0.9);
    judged = yield* part(searchGaps(fine.score, problem, judged.slice(0, 8).map(({ gaps }) => gaps), near), 0.9, 0.96);
  }
  if (findIt === 'find' && judged[0]!.gaps.join() !== found[0]!.gaps.join()) axis = yield* part(findAxisSteps(own, geometryAt(judged[0]!.gaps)), 0.96, 0.98);
  const fits = yield* part(fine.fitsSteps(stepsOf(judged[0]!.gaps)), 0.98, 1);
  return describe({ all, free, kept, duplicates, fixed, count, step, problem, judged, fits, axis });
}

/** The bands whose moments make the first guess: few enough to have little noise. */
const momentStrips = (frames: Projections, detector: BeamWithoutAngles, free: Uint8Array): Strips => stripsOf(frames, detector, free, reachOf(frames, detector, free), 8, 32);

/**
 * By how much differences of log likelihood are shrunk before they count as chances: real things are not the model's noise, and
 * neighbouring cells are not independent. Chosen so that stated chances come out about right, or low, in draws from noisy scenes.
 */
const TEMPER = 0.35;

/** As many cells as leave a system of at most `most` unknowns. */
function cellsFor(lost: number, turn: 'whole' | 'half', cells: number, most: number): number {
  const missing = Math.max(1, turn === 'half' ? 2 * lost : lost);
  return Math.max(8, Math.min(cells, 2 * Math.floor(most / missing / 2)));
}

/** Steps round the circle beyond which the tables would take too much memory: 2° apart. */
export const mostSteps = 180;

function checkTurn(count: number, step: number, detector: BeamWithoutAngles): 'whole' | 'half' {
  if (!Number.isInteger(count) || count < 8) throw new BadInput(`The turn is said to have ${count} steps: it should be a whole number from 8.`);
  const degrees = (radians: number) => Number(((radians * 180) / Math.PI).toFixed(3));
  const turns = (count * Math.abs(step)) / (2 * Math.PI);
  const kind = Math.abs(turns - 1) < 0.002 ? 'whole' : Math.abs(turns - 0.5) < 0.001 && detector.beam === 'parallel' ? 'half' : undefined;
  if (kind && count > mostSteps / (kind === 'half' ? 2 : 1)) {
    throw new BadInput(`The turn is said to have ${count} steps: lost frames are looked for in at most ${mostSteps} steps a turn${kind === 'half' ? `, ${mostSteps / 2} in half a one` : ''}.`);
  }
  if (kind) return kind;
  throw new BadInput(`${count} steps of ${degrees(step)}° make ${degrees(count * step)}°: lost frames are found in a whole turn${detector.beam === 'parallel' ? ', or in half a one' : ''}.`);
}

/** The fixed frames in terms of those that are kept; a fixed duplicate fixes what it repeats. */
function fixedAmong(kept: readonly number[], duplicates: readonly Duplicate[], fixed: NonNullable<PlaceOptions['fixed']>, count: number): [number, number][] {
  const known = new Map<number, number>();
  for (const [frame, step] of fixed) {
    const original = duplicates.find((each) => each.frame === frame)?.of ?? frame;
    const place = kept.indexOf(original);
    if (place < 0) throw new BadInput(`Frame ${frame} is fixed and there is no such frame: they are counted from 0 to ${kept.at(-1)}.`);
    if (!Number.isInteger(step) || step < 0 || step >= count) throw new BadInput(`Frame ${frame} is fixed at step ${step}: steps are counted from 0 to ${count - 1}.`);
    if (known.has(place) && known.get(place) !== step) throw new BadInput(`Frame ${frame} is fixed at two steps, ${known.get(place)} and ${step}.`);
    known.set(place, step);
  }
  // Steps rise with the frames, once round: those past the end of the turn are counted on.
  let last = -Infinity;
  return [...known].sort((a, b) => a[0] - b[0]).map(([place, step], _, [first]) => {
    const rising: number = step < last && step < first![1] ? step + count : step;
    last = rising;
    return [place, rising];
  });
}

/** A half turn's bands, and after them the same mirrored about the axis: the views half a turn on. */
function mirrored({ views, bands, cells, data, reach }: Strips): Strips {
  const both = new Float64Array(2 * data.length);
  both.set(data);
  for (let i = 0; i < data.length; i++) both[data.length + i - (i % cells) + cells - 1 - (i % cells)] = data[i]!;
  return { views: 2 * views, bands, cells, data: both, reach };
}

/** Seeded, so that the same frames always give the same answer: Park and Miller's generator, Commun. ACM 31:1192 (1988). */
function numbersFrom(seed: number): () => number {
  let state = seed;
  return () => (state = (48271 * state) % 2147483647) / 2147483647;
}

interface Outcome {
  readonly all: Projections;
  readonly free: Uint8Array;
  readonly kept: readonly number[];
  readonly duplicates: readonly Duplicate[];
  readonly fixed: NonNullable<PlaceOptions['fixed']>;
  readonly count: number;
  readonly step: number;
  readonly problem: GapProblem;
  readonly judged: readonly Candidate[];
  readonly fits: FrameFits;
  readonly axis: Axis | undefined;
}

function describe({ all, free, kept, duplicates, fixed, count, step, judged, fits, axis }: Outcome): Placement {
  const best = stepsOf(judged[0]!.gaps);
  const chances = judged.map(({ score }) => Math.exp(TEMPER * (score - judged[0]!.score)));
  const total = chances.reduce((sum, chance) => sum + chance, 0);
  const sureOfKept = new Float64Array(kept.length);
  judged.forEach(({ gaps }, k) => {
    const agrees = agreement(stepsOf(gaps), best, count);
    for (let i = 0; i < kept.length; i++) if (agrees[i]) sureOfKept[i]! += chances[k]! / total;
  });

  // Turned so that a fixed frame stands where it should.
  const anchor = fixed[0];
  const placeOf = (frame: number) => kept.indexOf(duplicates.find((each) => each.frame === frame)?.of ?? frame);
  const turned = (steps: readonly number[]) => {
    const by = anchor ? anchor[1] - steps[placeOf(anchor[0])]! : 0;
    return steps.map((k) => (((k + by) % count) + count) % count);
  };
  const spread = <T,>(values: ArrayLike<T>) => Array.from({ length: all.views }, (_, frame) => values[placeOf(frame)]!);
  const lostOf = (steps: readonly number[]) => {
    const taken = new Set(steps);
    return Array.from({ length: count }, (_, k) => k).filter((k) => !taken.has(k));
  };
  const steps = turned(best);
  const next = judged[1];
  const nextSteps = next && alignedWith(turned(stepsOf(next.gaps)), steps, count, anchor !== undefined);
  const everyStep = spread(steps);
  return {
    steps: everyStep,
    angles: everyStep.map((k) => k * step),
    lost: lostOf(steps),
    sure: 1 / total,
    sureOfFrame: spread(sureOfKept),
    ...(nextSteps ? { next: { steps: spread(nextSteps), lost: lostOf(nextSteps), sure: chances[1]! / total } } : {}),
    surprises: spread(fits.surprises),
    ahead: spread(fits.ahead),
    duplicates,
    moved: movedFrames(all, everyStep.map((k) => k * step), { surprises: spread(fits.surprises), ahead: spread(fits.ahead) }, free),
    ...(axis ? { axis } : {}),
  };
}

/** By how many steps the one is turned against the other, as most frames have it. */
function commonTurn(steps: readonly number[], other: readonly number[], count: number): number {
  const turns = new Map<number, number>();
  steps.forEach((step, i) => {
    const turn = (((step - other[i]!) % count) + count) % count;
    turns.set(turn, (turns.get(turn) ?? 0) + 1);
  });
  return [...turns].reduce((most, each) => (each[1] > most[1] ? each : most))[0];
}

/** Which frames have the same step in both, up to a common turn. */
function agreement(steps: readonly number[], other: readonly number[], count: number): boolean[] {
  const turn = commonTurn(steps, other, count);
  return steps.map((step, i) => (step - other[i]! - turn) % count === 0);
}

/** The same way, turned so that most frames stand where they stand in the other. */
function alignedWith(steps: readonly number[], other: readonly number[], count: number, anchored: boolean): number[] {
  const turn = anchored ? 0 : commonTurn(steps, other, count);
  return steps.map((step) => (((step - turn) % count) + count) % count);
}
