/**
 * A roll: the photographs of one scan in their order, what is known of how they were taken, and what is wanted of them, as plain data;
 * and everything that may happen to it as pure functions from roll to roll. mm and degrees, as the scan file has them.
 */
import { suggestedBin, type Channel, type Glare, type Hardening, type Material, type MeasuredCurve, type PhotoStep, type Rectangle, type WindowName } from '../../lib/index.ts';
import type { MethodWish } from '../method.ts';

/** aside: kept, and neither a view nor a dark or flat frame. */
export type Role = 'view' | 'dark' | 'flat' | 'aside';

export interface Frame {
  /** Unlike any other's of the roll; its picture is kept under it. */
  readonly id: number;
  readonly name: string;
  readonly bytes: number;
  readonly role: Role;
  /** Left out: its step of the turn stays empty. */
  readonly out?: boolean;
  /** At which step of the turn it was taken, where it is not the next after the view before it. */
  readonly step?: number;
}

/** How the photographs were taken. */
export interface Rig {
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
  /** Of a photograph's pixel, on the screen. */
  readonly pitch: number;
  readonly mirrored: boolean;
  readonly turn: 'counterclockwise' | 'clockwise';
  /** Angle of step 0, and from step to step (above 0). */
  readonly start: number;
  readonly step: number;
  /** Nobody has said what the step is: as many as make one turn. */
  readonly stepGuessed?: true;
}

/** From light to line integrals. */
export interface LightPlan {
  readonly encoding: 'srgb' | 'linear' | 'measured';
  /** Of encoding 'measured'. */
  readonly curve?: MeasuredCurve;
  readonly channel: Channel;
  readonly bin: number;
  /** Parts of the photographs as they lie before the reader: what is kept, and what the object never covers. */
  readonly crop?: Rectangle;
  readonly open?: Rectangle;
  readonly glare?: Glare;
  /** of: what the polynomial was made for. */
  readonly hardening?: Hardening & { readonly of?: { readonly material: Material; readonly from: number; readonly to: number } };
  readonly without: readonly SwitchedStep[];
}

/** Steps that can be switched off: without the logarithm there are no line integrals, and hardening has to be asked for. */
export type SwitchedStep = Exclude<PhotoStep, 'logarithm' | 'hardening'>;

/** Looked for where it is not given. */
export interface AxisPlan {
  readonly offset?: number;
  readonly tilt?: number;
}

export interface VolumePlan {
  /** An iterative method; filtered backprojection, with window and cut-off, when left out. */
  readonly by?: MethodWish;
  /** Voxels along x and y; along z as many as the screen is high. */
  readonly size: number;
  /** mm; as large as fills the field when left out. */
  readonly voxelSize?: number;
  readonly centre: readonly [x: number, y: number];
  readonly window: WindowName | 'formula';
  readonly formula: string;
  readonly cutoff: number;
}

export interface Roll {
  readonly id: string;
  readonly title: string;
  /** Of the demo scans: its name. */
  readonly sample?: string;
  /** Of every photograph, upright; unknown until the first has been opened. */
  readonly size?: { readonly width: number; readonly height: number };
  readonly frames: readonly Frame[];
  readonly rig: Rig;
  readonly light: LightPlan;
  readonly axis: AxisPlan;
  readonly volume: VolumePlan;
}

/** Voxels along an edge to begin with: enough to look around in, and made in seconds. */
export const firstSize = 160;

export const emptyRoll = (id: string): Roll => ({
  id, title: '', frames: [],
  rig: { sourceToAxis: 350, sourceToDetector: 500, pitch: 0.3, mirrored: false, turn: 'counterclockwise', start: 0, step: 8, stepGuessed: true },
  light: { encoding: 'srgb', channel: 'green', bin: 1, without: [] },
  axis: {},
  volume: { size: firstSize, centre: [0, 0], window: 'ramp', formula: '0.5 + 0.5 * cos(pi * f / fc)', cutoff: 1 },
});

/** Views in their order, those left out among them or not. */
export const viewsOf = (roll: Roll, left = false): readonly Frame[] => roll.frames.filter(({ role, out }) => role === 'view' && (left || !out));
export const framesOf = (roll: Roll, role: Role): readonly Frame[] => roll.frames.filter((frame) => frame.role === role && !frame.out);

/** The step of the turn at which each view was taken, by frame: one after the other, from 0, unless a frame says otherwise. */
export function stepsOf(roll: Roll): ReadonlyMap<number, number> {
  const steps = new Map<number, number>();
  let next = 0;
  for (const { id, step } of viewsOf(roll, true)) {
    steps.set(id, step ?? next);
    next = (step ?? next) + 1;
  }
  return steps;
}

/** The angle of each view that is used, degrees, in order. */
export function anglesOf(roll: Roll): readonly number[] {
  const steps = stepsOf(roll);
  return viewsOf(roll).map(({ id }) => Number((roll.rig.start + steps.get(id)! * roll.rig.step).toFixed(6)));
}

/** Equal steps in a whole turn, where the step divides one. */
export function stepsInTurn({ rig }: Roll): number | undefined {
  const steps = Math.round(360 / rig.step);
  return Math.abs(steps * rig.step - 360) < 0.02 ? steps : undefined;
}

/** New photographs after those that are there. */
export function added(roll: Roll, frames: readonly Omit<Frame, 'id'>[]): Roll {
  const first = Math.max(0, ...roll.frames.map(({ id }) => id)) + 1;
  return guessed({ ...roll, frames: [...roll.frames, ...frames.map((frame, k) => ({ ...frame, id: first + k }))] });
}

/** While nobody has said what the step is, all views together go once round. */
function guessed(roll: Roll): Roll {
  const views = viewsOf(roll, true).length;
  return roll.rig.stepGuessed && views > 1 ? { ...roll, rig: { ...roll.rig, step: 360 / views } } : roll;
}

/** The size of the photographs, once one has been opened; how far to bin them, unless the scan file said so. */
export function sized(roll: Roll, size: { readonly width: number; readonly height: number }, guessBin: boolean): Roll {
  const bin = guessBin ? suggestedBin(size.width, size.height, Math.max(1, viewsOf(roll).length)) : roll.light.bin;
  return { ...roll, size, light: { ...roll.light, bin } };
}

/** One or several frames changed alike. */
export function changed(roll: Roll, ids: ReadonlySet<number>, change: Partial<Pick<Frame, 'role' | 'out'>>): Roll {
  return guessed({ ...roll, frames: roll.frames.map((frame) => (ids.has(frame.id) ? { ...frame, ...change } : frame)) });
}

/** Frames taken out of the row, in their order, and put back before the one at `place` of those that stay. Steps that were given one by one are then void. */
export function moved(roll: Roll, ids: ReadonlySet<number>, place: number): Roll {
  const row = roll.frames.filter(({ id }) => !ids.has(id));
  const taken = roll.frames.filter(({ id }) => ids.has(id));
  const at = Math.max(0, Math.min(row.length, place));
  const frames = [...row.slice(0, at), ...taken, ...row.slice(at)];
  if (frames.every((frame, k) => frame === roll.frames[k])) return roll;
  return { ...roll, frames: frames.map(withoutStep) };
}

/** Frames a place earlier (−1) or later (+1) among those of their kind. */
export function shifted(roll: Roll, ids: ReadonlySet<number>, by: -1 | 1): Roll {
  const picked = roll.frames.map(({ id }, k) => (ids.has(id) ? k : -1)).filter((k) => k >= 0);
  if (picked.length === 0) return roll;
  const { role } = roll.frames[picked[0]];
  const others = roll.frames.map((frame, k) => ({ frame, k })).filter(({ frame }) => !ids.has(frame.id) && frame.role === role);
  const passed = by < 0 ? others.findLast(({ k }) => k < picked[0]) : others.find(({ k }) => k > picked.at(-1)!);
  if (!passed) return roll;
  const stay = roll.frames.filter(({ id }) => !ids.has(id));
  return moved(roll, ids, stay.indexOf(passed.frame) + (by < 0 ? 0 : 1));
}

/** The order turned round: taken the other way. */
export const reversed = (roll: Roll): Roll => ({ ...roll, frames: [...roll.frames].reverse().map(withoutStep) });

/** Where each view used was taken, in steps; undefined: one after the other. */
export function placed(roll: Roll, steps: readonly number[] | undefined): Roll {
  if (!steps) return { ...roll, frames: roll.frames.map(withoutStep) };
  const at = new Map(viewsOf(roll).map(({ id }, k) => [id, steps[k]]));
  return { ...roll, frames: roll.frames.map((frame) => (at.has(frame.id) ? { ...frame, step: at.get(frame.id) } : withoutStep(frame))) };
}

/** One frame at a step of the reader's own; the frames after it follow on. */
export function placedAt(roll: Roll, id: number, step: number): Roll {
  return { ...roll, frames: roll.frames.map((frame) => (frame.id === id ? { ...frame, step } : frame)) };
}

function withoutStep(frame: Frame): Frame {
  if (frame.step === undefined) return frame;
  const { step, ...rest } = frame;
  return rest;
}

/** A part of the photograph between two of its pixels, in whole pixels and within it. */
export function rectangleBetween([a, b]: readonly [number, number], [c, d]: readonly [number, number], { width, height }: { width: number; height: number }): Rectangle {
  const held = (value: number, most: number) => Math.max(0, Math.min(most, Math.round(value)));
  const [left, right] = [held(Math.min(a, c), width), held(Math.max(a, c), width)];
  const [top, bottom] = [held(Math.min(b, d), height), held(Math.max(b, d), height)];
  return { left, top, width: right - left, height: bottom - top };
}

/** Edits that can be taken back. */
export interface History {
  readonly now: Roll;
  readonly past: readonly Roll[];
  readonly future: readonly Roll[];
}

const longest = 200;

export const begun = (roll: Roll): History => ({ now: roll, past: [], future: [] });

/** what: edits of the same kind that follow within a moment are one (typing into a field). */
export function edited(history: History, change: (roll: Roll) => Roll, together = false): History {
  const now = change(history.now);
  if (now === history.now) return history;
  return { now, past: together ? history.past : [...history.past, history.now].slice(-longest), future: [] };
}

export function undone({ now, past, future }: History): History {
  return past.length === 0 ? { now, past, future } : { now: past.at(-1)!, past: past.slice(0, -1), future: [now, ...future] };
}

export function redone({ now, past, future }: History): History {
  return future.length === 0 ? { now, past, future } : { now: future[0], past: [...past, now], future: future.slice(1) };
}
