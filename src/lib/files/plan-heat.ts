import { restNeeded } from '../physics/rest-needed.ts';
import { tubeHeat, type HeatCurve } from '../physics/tube-heat.ts';
import type { XrayPlan } from './plan.ts';

/**
 * The heat of the tube through a planned scan, with the rest between exposures that the plan has or, where it has none, the least that keeps
 * the tube at `fraction` of its limit; undefined where the plan tells no heatLimit.
 * Throws BadInput, one sentence, where no rest can do it.
 */
export function planHeat({ tube, exposure, views }: Pick<XrayPlan, 'tube' | 'exposure' | 'views'>, fraction = 0.5): (HeatCurve & { readonly rest: number }) | undefined {
  if (tube.heatLimit === undefined || tube.coolingTime === undefined) return undefined;
  const limits = { limit: tube.heatLimit, coolingTime: tube.coolingTime };
  const plan = { power: tube.kVp * tube.mA, seconds: exposure.seconds, frames: views.count * (exposure.frames ?? 1) };
  if (exposure.rest === undefined) return restNeeded(plan, limits, fraction);
  return { ...tubeHeat({ ...plan, rest: exposure.rest }, limits), rest: exposure.rest };
}
