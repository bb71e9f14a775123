import type { Plan } from '../files/plan.ts';
import { stageTable } from '../physics/stage-table.ts';
import { heatSteps } from '../physics/tube-heat.ts';
import type { RunTimes } from './run-times.ts';

export interface SheetFrame {
  readonly kind: 'dark' | 'flat' | 'view';
  /** From 1, each kind by itself. */
  readonly number: number;
  /** What its photograph is called, without the ending; a view's is that of planToScan where each view has one exposure. */
  readonly name: string;
  /** Start and end of the exposure, s from the start of the run. */
  readonly begins: number;
  readonly ends: number;
  /** From the end of the frame before it, s: rest, turning, settling, shutter. 0 for the first. */
  readonly restBefore: number;
  /** Whether the beam is on: not for a dark frame. */
  readonly beam: boolean;
  /** For a view: its number from 1, its angle as planned, degrees, and the motor's position, microsteps from the mark, where there is a stage. */
  readonly view?: number;
  readonly angle?: number;
  readonly position?: number;
  /** Heat in the tube after it, J, and how long the tube must cool before this frame may be taken again, s, however often it was cut short: where the plan has the tube's limits. */
  readonly heat?: number;
  readonly cool?: number;
}

/**
 * All frames of a run in the order of time: darks, flats, views, flats, darks.
 * Heat: as tubeHeat, but every pause between counts as no longer than the rest, so that somebody quick with the object finds it no hotter.
 * Throws as stageTable.
 */
export function runFrames(plan: Pick<Plan, 'views' | 'exposure' | 'stage'>, times: RunTimes): SheetFrame[] {
  const { count, turn = 360, start = 0 } = plan.views;
  const each = plan.exposure.frames ?? 1;
  const { seconds, rest, settle, stepTime, lead, saving, warning, handling, byHand } = times;
  const table = plan.stage && stageTable(plan.stage, count, (turn * Math.PI) / 180);
  const frames: SheetFrame[] = [];
  let now = 0;
  const add = (frame: Pick<SheetFrame, 'kind' | 'number' | 'name' | 'view' | 'angle' | 'position'>, pause: number) => {
    const restBefore = frames.length === 0 ? 0 : inMs(pause);
    const begins = inMs(now + restBefore);
    now = inMs(begins + seconds);
    frames.push({ ...frame, begins, ends: now, restBefore, beam: frame.kind !== 'dark' });
  };
  const plain = (kind: 'dark' | 'flat', number: number, pause: number) => add({ kind, number, name: `${kind}-${padded(number, 2 * times[kind])}` }, pause);
  const pause = rest + 2 * lead;
  for (let n = 1; n <= times.dark; n++) plain('dark', n, saving + 2 * lead);
  for (let n = 1; n <= times.flat; n++) plain('flat', n, n === 1 ? pause + warning : pause);
  // From where it stands, the table turns once at most to its mark.
  const toMark = table ? ((2 * Math.PI) / table.microstep) * stepTime : 0;
  for (let view = 0; view < count; view++) {
    const moved = table ? table.rows[view].position - (view > 0 ? table.rows[view - 1].position : 0) : 0;
    for (let again = 0; again < each; again++) {
      const turning = again > 0 ? 0 : table ? moved * stepTime : byHand;
      add({
        kind: 'view', number: view * each + again + 1, name: `view-${padded(view + 1, Math.max(100, count))}${each > 1 ? `-${padded(again + 1, each)}` : ''}`,
        view: view + 1, angle: Number((start + (turn * view) / count).toPrecision(12)), ...(table && { position: table.rows[view].position }),
      }, view + again === 0 ? handling + warning + toMark + pause + settle : pause + turning + settle);
    }
  }
  for (let n = 1; n <= times.flat; n++) plain('flat', times.flat + n, n === 1 ? handling + warning + pause : pause);
  for (let n = 1; n <= times.dark; n++) plain('dark', times.dark + n, saving + 2 * lead);
  return times.tube ? withHeat(frames, times, times.tube) : frames;
}

function withHeat(frames: readonly SheetFrame[], { power, seconds, rest, fraction }: RunTimes, { limit, coolingTime }: NonNullable<RunTimes['tube']>): SheetFrame[] {
  const { gain, kept, cooled } = heatSteps({ power, seconds, rest }, coolingTime);
  const after: number[] = [];
  for (const { beam } of frames) after.push(beam ? (after.length > 0 ? after[after.length - 1] * cooled : 0) * kept + gain : (after[after.length - 1] ?? 0));
  const top = after.reduce((most, heat) => Math.max(most, heat), fraction * limit);
  // From the last frame back: the most that the tube may hold before each, so that it stays below `top` to the end. What the plan has is never above.
  let allowed = Infinity;
  const cool = new Array<number>(frames.length);
  for (let k = frames.length - 1; k >= 0; k--) {
    if (!frames[k].beam) continue;
    allowed = Math.min((top - gain) / kept, (allowed / cooled - gain) / kept);
    // Cut short at its very end, and begun with all that was allowed: no upset leaves the tube hotter.
    const time = allowed > 0 ? coolingTime * Math.log((allowed * kept + gain) / allowed) : Infinity;
    cool[k] = Math.ceil(Math.max(rest, Math.min(time, 40 * coolingTime)));
  }
  return frames.map((frame, k) => (frame.beam ? { ...frame, heat: after[k], cool: cool[k] } : frame));
}

const inMs = (time: number) => Math.round(time * 1000) / 1000;
const padded = (number: number, most: number) => String(number).padStart(String(most).length, '0');
