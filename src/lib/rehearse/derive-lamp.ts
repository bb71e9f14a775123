import type { LampPlan } from '../files/plan.ts';
import { duration } from '../run-sheet/duration.ts';
import { short, type DerivedFigure } from './derived.ts';

/** What a plan with a lamp has in the place of heat and doses: its time, and what to take care of. */
export function deriveLamp({ exposure, views }: LampPlan): DerivedFigure[] {
  const { seconds, frames = 1, rest = 0 } = exposure;
  const count = views.count * frames;
  const on = count * seconds, total = on + rest * (count - 1);
  return [
    {
      key: 'time', group: 'lamp', label: 'Time of the scan', value: total, unit: 's', rule: 'exposures and the rests between them; turning the object, waiting until the liquid stands still and storing the picture are not counted',
      sentence: `The scan takes ${duration(total)}, ${duration(on)} of it exposures; turning, and waiting until the liquid stands still, come on top (${short(count, 6)} times).`,
    },
    {
      key: 'lampCare', group: 'lamp', label: 'Care with lamp, glass and liquid', unit: '', rule: 'common practice, no source',
      sentence: 'There are no X-rays and no high voltage here, but a lamp gets hot, hangs on the mains and stands beside a liquid, and glass breaks: keep mains parts dry, out of reach of a spill and behind a residual-current breaker, use a cold, low-voltage panel, never a laser, and let nobody look into a bright source; where children work, an adult answers for it.',
    },
  ];
}
