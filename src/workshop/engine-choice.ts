/** Which engine the reader wants, and how fast each was when it was last measured: kept in this browser, where pages and workers find it. */
import { createStore, get, set, type UseStore } from 'idb-keyval';
import type { EngineName, EngineSpeed } from '../lib/index.ts';

export interface EngineChoice {
  /** auto: the fastest as measured. */
  readonly wish: EngineName | 'auto';
  readonly speeds: readonly EngineSpeed[];
  /** Why an engine was not to be had, by its name. */
  readonly absent: Readonly<Partial<Record<EngineName, string>>>;
}

let store: UseStore | undefined;
const place = () => (store ??= createStore('engine-choice', 'choice'));

/** Nothing where nothing was kept, or this browser keeps nothing. */
export async function keptChoice(): Promise<EngineChoice | undefined> {
  try {
    const kept = await get<EngineChoice>('choice', place());
    return kept && Array.isArray(kept.speeds) ? kept : undefined;
  } catch {
    return undefined;
  }
}

/** Whether it could be kept. */
export const keepChoice = (choice: EngineChoice): Promise<boolean> => set('choice', choice, place()).then(() => true, () => false);
