import type { Plan } from '../files/plan.ts';
import { lampWords } from './lamp-words.ts';
import { runFrames, type SheetFrame } from './run-frames.ts';
import { runTimes, type SheetOptions, type RunTimes } from './run-times.ts';
import type { SheetPart } from './sheet-checks.ts';
import { tubeWords } from './tube-words.ts';

export interface SheetNote {
  readonly what: string;
  /** What the plan has; the line is left blank for what was. */
  readonly planned?: string;
}

export interface RunSheet {
  readonly title: string;
  /** What stands above everything. */
  readonly cautions: readonly string[];
  /** To be ticked before any power, or with a lamp before the first photograph. */
  readonly checks: readonly SheetPart[];
  /** Every frame in the order of time, dark and flat ones too; each has a box to tick. */
  readonly frames: readonly SheetFrame[];
  /** Photographs that are not of the object, in words. */
  readonly darkAndFlat: readonly string[];
  /** Rests and pauses, in words. */
  readonly rests: readonly string[];
  /** What to write down, and what the plan has for it. */
  readonly notes: readonly SheetNote[];
  /** What to look at before resuming after any upset; resumeAt adds what the frame itself needs. */
  readonly resume: readonly string[];
  /** From the first frame to the end of the last, and how long of it the beam is on, or with a lamp the shutter open, s. */
  readonly total: number;
  readonly beamOn: number;
  /** Greatest heat in the tube, J, and as a share of its limit, where the plan has one. */
  readonly peakHeat?: number;
  readonly peakShare?: number;
  readonly times: RunTimes;
}

/** What a sheet says, beside its frames. */
export type SheetWords = Pick<RunSheet, 'cautions' | 'checks' | 'darkAndFlat' | 'rests' | 'notes' | 'resume'>;

/**
 * A planned scan as a sheet to print and tick: what to check before any power, every frame with its time, angle and motor position, what to write
 * down, how to go on after an upset. Plain data: s, degrees, microsteps, J, sentences.
 * Its times are a schedule to follow, and its figures estimates; nothing in it says that anything is safe.
 * Throws BadInput or RangeError, one sentence, as runTimes and stageTable.
 */
export function runSheet(plan: Plan, options: SheetOptions = {}): RunSheet {
  const times = runTimes(plan, options);
  const frames = runFrames(plan, times);
  const peakHeat = times.tube && frames.reduce((most, { heat = 0 }) => Math.max(most, heat), 0);
  const peakShare = times.tube && peakHeat! / times.tube.limit;
  return {
    title: plan.title ?? 'A scan without a title',
    ...(plan.lamp ? lampWords(plan, times) : tubeWords(plan, times, peakShare)),
    frames,
    total: frames[frames.length - 1].ends,
    beamOn: frames.reduce((sum, { beam }) => sum + (beam ? times.seconds : 0), 0),
    ...(times.tube && { peakHeat, peakShare }),
    times,
  };
}
