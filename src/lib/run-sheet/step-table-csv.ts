import { BadInput } from '../files/bad-input.ts';
import type { Plan } from '../files/plan.ts';
import { stageTable } from '../physics/stage-table.ts';
import { runFrames } from './run-frames.ts';
import { runTimes, type SheetOptions } from './run-times.ts';

/**
 * The frames of the views as CSV, one row an exposure below one row of words: number of the frame, s from the start of the run, angle wanted,
 * position in microsteps, angle reached, error. Angles in degrees, to a millionth, counted from the plan's start.
 * Throws BadInput, one sentence, where the plan has no stage, and as runTimes and stageTable.
 */
export function stepTableCsv(plan: Plan, options: SheetOptions = {}): string {
  if (!plan.stage) throw new BadInput('stage is missing from the plan: without the steps of its motor there is no table of positions.');
  const { rows } = stageTable(plan.stage, plan.views.count, ((plan.views.turn ?? 360) * Math.PI) / 180);
  const lines = runFrames(plan, runTimes(plan, options)).filter(({ kind }) => kind === 'view').map(({ number, begins, angle, view }) => {
    const { position, error } = rows[view! - 1];
    const off = (error * 180) / Math.PI;
    return [number, begins, short(angle!), position, short(angle! + off), short(off)].join(',');
  });
  return `frame,time (s),angle wanted (degrees),position (microsteps),angle reached (degrees),error (degrees)\n${lines.join('\n')}\n`;
}

/** To a millionth, without −0. */
const short = (value: number) => String(Number(value.toFixed(6)) || 0);
