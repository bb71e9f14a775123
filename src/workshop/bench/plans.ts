/** Plans to begin from. */
import { readPlan, type Plan } from '../../lib/index.ts';
import capsule from '../../../datasets/capsule/plan.json?raw';

export interface ReadyPlan { readonly id: string; readonly title: string; readonly plan: Plan }

const first = readPlan(capsule);

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
];
