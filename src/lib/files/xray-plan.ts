import { BadInput } from './bad-input.ts';
import type { Plan, XrayPlan } from './plan.ts';

/** The plan itself, known to have a tube. Throws BadInput, one sentence, for a plan with a lamp. */
export function xrayPlan(plan: Plan): XrayPlan {
  if (plan.lamp) throw new BadInput('The plan has a lamp in the place of a tube: a plan with tube and screen is needed here.');
  return plan;
}
