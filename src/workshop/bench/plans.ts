/** Plans to begin from. */
import { readPlan, xrayPlan, type LampPlan, type Plan } from '../../lib/index.ts';
import capsule from '../../../datasets/capsule/plan.json?raw';
import lightPractice from '../../../datasets/light-practice/plan.json?raw';

export interface ReadyPlan { readonly id: string; readonly title: string; readonly plan: Plan }

/** The plan that the bench begins with, and the one in visible light. */
export const first = xrayPlan(readPlan(capsule));
export const light = readPlan(lightPractice) as LampPlan;

export const plans: readonly ReadyPlan[] = [
  { id: 'capsule-45', title: 'The capsule, 45 views', plan: first },
  { id: 'capsule-90', title: 'The capsule, 90 views', plan: { ...first, title: 'Sealed capsule, 90 photographs', views: { ...first.views, count: 90 } } },
  {
    id: 'block', title: 'An acrylic block with a steel pin', plan: {
      ...first, title: 'Acrylic block with a steel pin and a hole',
      object: { kind: 'solids', solids: [
        { name: 'block', material: 'acrylic', form: { kind: 'box', centre: [0, 0, 0], size: [24, 24, 24] } },
        { name: 'pin', material: 'steel', form: { kind: 'cylinder', from: [6, 4, -12], to: [6, 4, 12], radius: 1 } },
        { name: 'hole', form: { kind: 'cylinder', from: [-5, -4, -12], to: [-5, -4, 12], radius: 2 } },
      ] },
      views: { ...first.views, count: 50 },
    },
  },
  { id: 'light', title: 'A dyed cylinder with a hole and a bead, in visible light', plan: light },
];

/** The ready plan that the page's address asks for, `?plan=light`; undefined for none, and for a name that is not known. */
export function askedFor(search: string): ReadyPlan | undefined {
  const name = new URLSearchParams(search).get('plan');
  return plans.find(({ id }) => id === name);
}
