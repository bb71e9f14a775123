/// <reference lib="webworker" />
/** Rehearses plans, and looks for the least that is enough. */
import { enoughForSteps, rehearseSteps, run, type Enough, type EnoughWish, type Plan, type Rehearsal, type Volume } from '../../lib/index.ts';
import { workshopEngine } from '../engine.ts';
import { serveRoom } from '../room.ts';

export type Order =
  | { readonly kind: 'rehearse'; readonly plan: Plan; readonly size: number; readonly volume?: Volume }
  | { readonly kind: 'enough'; readonly plan: Plan; readonly wish: EnoughWish; readonly volume?: Volume };

export type Rehearsed = Omit<Rehearsal, 'geometry'>;

export interface Results {
  rehearse: Rehearsed;
  enough: Enough;
}

serveRoom<Order>(async (order, work) => {
  switch (order.kind) {
    case 'rehearse': {
      const { engine } = await workshopEngine(order.size ** 3 * order.plan.views.count, 'volumes', { signal: work.signal });
      const { geometry: _, ...result } = await run(rehearseSteps(order.plan, { size: order.size, engine, ...(order.volume ? { volume: order.volume } : {}) }), work);
      return { result: result satisfies Rehearsed, transfer: [result.volume.data.buffer as ArrayBuffer] };
    }
    case 'enough': return { result: (await run(enoughForSteps(order.wish, order.plan, order.volume ? { volume: order.volume } : {}), work)) satisfies Enough };
  }
});
