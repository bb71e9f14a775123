import { BadInput } from '../files/bad-input.ts';
import { planHeat } from '../files/plan-heat.ts';
import type { XrayPlan } from '../files/plan.ts';
import { duration } from '../run-sheet/duration.ts';
import { markOf, short, type DerivedFigure } from './derived.ts';

/** The share of the tube's limit that a plan may use, where it leaves its rest to be chosen: half, since the model of its heat is a rough one. */
export const heatShare = 0.5;

/** Heat, rest and time. */
export function deriveTube(plan: XrayPlan): DerivedFigure[] {
  const { tube, exposure, views } = plan;
  const frames = views.count * (exposure.frames ?? 1);
  const heatRule = 'one time constant: dQ/dt = kV · mA − Q/τ (Newton’s law of cooling; common practice for a first estimate, no source): the maker’s charts come first';
  const power = tube.kVp * tube.mA;
  const figure = { group: 'tube', rule: heatRule } as const;
  let heat: ReturnType<typeof planHeat>;
  try {
    heat = planHeat(plan, heatShare);
  } catch (error) {
    if (!(error instanceof BadInput || error instanceof RangeError)) throw error;
    return [{ ...figure, key: 'rest', label: 'Rest between exposures', unit: 's', mark: 'bad', knob: { key: 'exposure.seconds', way: 'down' }, sentence: error.message }];
  }
  if (!heat) {
    const on = frames * exposure.seconds, rest = exposure.rest ?? 0;
    return [
      { ...figure, key: 'heat', label: 'Heat of the tube', unit: '', mark: 'poor', sentence: `The plan does not say what heat the tube may hold, so whether ${short(power)} W for ${duration(exposure.seconds)} at a time is too much for it cannot be told: its data sheet says (tube.heatLimit, tube.coolingTime).` },
      timeFigure(on + rest * (frames - 1), on),
    ];
  }
  const { share, peak, rest, duty, total, on } = heat;
  const given = exposure.rest !== undefined;
  return [
    {
      ...figure, key: 'heat', label: 'Heat of the tube at its highest', value: share, unit: 'of its limit', good: [0, heatShare], mark: markOf(share, [0, heatShare + 1e-9], [0, 1]), ...(share > heatShare + 1e-9 && { knob: { key: 'exposure.rest', way: 'up' } as const }),
      sentence: `At ${short(power)} W the tube comes to ${short(peak)} J, ${short(100 * share)} % of its limit by this estimate${share > 1 ? ': more than it may hold, so do not run this plan' : share > heatShare ? ', which leaves little for what the estimate does not know' : ''}.`,
    },
    {
      ...figure, key: 'rest', label: 'Rest between exposures', value: rest, unit: 's', rule: given ? 'as the plan has it' : `the least that keeps the tube at ${100 * heatShare} % of its limit, rounded up; ${heatRule}`,
      sentence: given ? `The plan rests ${short(rest)} s between exposures.` : rest > 0 ? `It has to rest at least ${short(rest)} s between exposures.` : 'It needs no rest between exposures by this estimate.',
    },
    { ...figure, key: 'duty', label: 'Duty cycle', value: duty, unit: '', rule: 'time with the beam on over the time from the first exposure to the last', sentence: `The beam is on for ${short(100 * duty)} % of the scan.` },
    timeFigure(total, on),
  ];
}

function timeFigure(total: number, on: number): DerivedFigure {
  return { key: 'time', group: 'tube', label: 'Time of the scan', value: total, unit: 's', rule: 'exposures and the rests between them; turning the table and storing the picture are not counted', sentence: `The scan takes ${duration(total)}, and the beam is on for ${duration(on)} of it.` };
}
