/** The bench put away in this browser (IndexedDB) and found again. */
import { clear, createStore, getMany, set, type UseStore } from 'idb-keyval';
import { readPlan, type Plan, type Volume } from '../../lib/index.ts';

/** A new number when the shape of what is kept changes: what an older page kept is then left alone. */
const version = 1;

let store: UseStore | undefined;
const place = () => (store ??= createStore(`bench-${version}`, 'bench'));

export interface OwnVolume { readonly name: string; readonly volume: Volume }
export interface Kept { readonly plan?: Plan; readonly other?: Plan; readonly volume?: OwnVolume }

export const keepPlans = (plan: Plan, other: Plan | undefined) => set('plans', { plan, other }, place());
export const keepVolume = (volume: OwnVolume) => set('volume', volume, place());

export const forget = () => clear(place());

/** What was kept, as far as it can still be used. */
export async function recall(): Promise<Kept> {
  const [plans, volume] = await getMany<unknown>(['plans', 'volume'], place());
  const { plan, other } = (plans ?? {}) as { plan?: unknown; other?: unknown };
  return { plan: usable(plan), other: usable(other), volume: volume as OwnVolume | undefined };
}

function usable(plan: unknown): Plan | undefined {
  try {
    return plan === undefined ? undefined : readPlan(JSON.stringify(plan));
  } catch {
    return undefined;
  }
}
