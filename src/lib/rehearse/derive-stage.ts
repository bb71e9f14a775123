import { BadInput } from '../files/bad-input.ts';
import { evenViews } from '../physics/even-views.ts';
import { stageTable } from '../physics/stage-table.ts';
import { stepAccuracy } from '../physics/step-accuracy.ts';
import { markOf, short, type DerivedFigure } from './derived.ts';
import type { PlanFacts } from './derive-plan.ts';
import { planBlur } from './plan-blur.ts';

/** Where the motor goes, and how far off its angles are. */
export function deriveStage({ plan, bin, object }: PlanFacts): DerivedFigure[] {
  const { stage, views } = plan;
  if (!stage) return [];
  const turn = ((views.turn ?? 360) * Math.PI) / 180;
  const degrees = (radians: number) => (radians * 180) / Math.PI;
  const steps = { key: 'steps', group: 'stage', label: 'Microsteps from view to view', unit: 'microsteps', rule: 'full steps · microsteps · gear · share of a turn/views, exactly (arithmetic)' } as const;
  try {
    const { perView, even, worst } = stageTable(stage, views.count, turn);
    const { below, above } = evenViews(stage, views.count, turn);
    const near = [below, above].filter((count) => count !== undefined && count >= 2).join(' or ');
    const stepsFigure: DerivedFigure = {
      ...steps, value: perView, mark: even ? 'good' : 'poor', ...(!even && { knob: { key: 'views.count', way: above !== undefined && (below === undefined || above - views.count <= views.count - below) ? 'up' : 'down' } as const }),
      sentence: even ? `Each view is ${short(perView, 6)} microsteps from the last, a whole number.` : `Each view is ${short(perView, 6)} microsteps from the last, not a whole number, so each position is rounded by itself${near ? `; ${near} views would come out even` : ', and no number of views comes out even with this gear'}.`,
    };
    if (plan.distances.sourceToDetector < plan.distances.sourceToAxis) return [stepsFigure]; // nothing to compare an angle with
    const { budget } = planBlur(plan, bin);
    const off = (object?.radius ?? 0) * (worst + stepAccuracy(stage));
    return [
      stepsFigure,
      {
        key: 'angleError', group: 'stage', label: 'Largest error of an angle', value: degrees(worst), unit: '°', rule: 'rounding to the nearest microstep, from the start of the turn; at most half of one (arithmetic). The motor’s own error, some 5 % of a full step (a motor-driver vendor’s forum answer), comes on top', good: [0, degrees(budget.total / 2 / Math.max(object?.radius ?? 0, 1e-9))],
        mark: markOf(off, [0, budget.total / 2], [0, 4 * budget.total]), ...(off > budget.total / 2 && { knob: { key: 'stage.microsteps', way: 'up' } as const }),
        sentence: `Rounding puts a view off by ${worst < 1e-12 ? 'nothing' : `at most ${short(degrees(worst))}°`}; with the motor's own error that is up to ${short(off)} mm at the rim of the object, where the blur is ${short(budget.total)} mm.`,
      },
    ];
  } catch (error) {
    if (!(error instanceof BadInput)) throw error;
    return [{ ...steps, mark: 'bad', knob: { key: 'views.count', way: 'down' }, sentence: error.message }];
  }
}
