import type { Plan } from '../files/plan.ts';

/** What things are called in the sentences about a plan, without an article. */
export interface PlanWords {
  /** Where the rays meet, and what stands there. */
  readonly source: string;
  readonly stands: string;
  /** Where a pixel is measured. */
  readonly plane: string;
  /** Whose width makes a penumbra. */
  readonly spot: string;
  /** Light with nothing in the way. */
  readonly open: string;
}

const byTube: PlanWords = { source: 'source', stands: 'tube', plane: 'screen', spot: 'focal spot', open: 'open beam' };
const byLamp: PlanWords = { source: 'lens', stands: 'camera', plane: 'plane in focus', spot: 'opening of the lens', open: 'open light' };

/** The words for a plan with a tube, or with a lamp. */
export const planWords = ({ lamp }: Pick<Plan, 'lamp'>): PlanWords => (lamp ? byLamp : byTube);
