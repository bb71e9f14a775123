/// <reference lib="webworker" />
/** Measures the engines of this machine, and holds each against the plain one. */
import { engineAgreement, openEngine, type Agreement, type EngineName } from '../lib/index.ts';
import type { EngineChoice } from './engine-choice.ts';
import { measured } from './engine.ts';
import { serveRoom } from './room.ts';

export type Order =
  | { readonly kind: 'measure' }
  | { readonly kind: 'agree'; readonly name: EngineName };

export interface Results {
  measure: EngineChoice;
  agree: readonly Agreement[];
}

serveRoom<Order>(async (order, work) => {
  if (order.kind === 'measure') return { result: (await measured(work)) satisfies Results['measure'] };
  const engine = await openEngine(order.name);
  try {
    return { result: (await engineAgreement(engine, work)) satisfies Results['agree'] };
  } finally {
    engine.close();
  }
});
