import type { Work } from '../types.ts';
import type { Engine, EngineName } from './engine.ts';
import { updatesPerSecond } from './updates-per-second.ts';

/** How fast an engine is here, in updates a second. */
export interface EngineSpeed {
  readonly name: EngineName;
  readonly says: string;
  readonly slices: number;
  readonly volumes: number;
}

/** Times an engine on slices and on volumes, as updatesPerSecond does. About a second. */
export async function engineSpeed(engine: Engine, { signal, progress }: Work = {}): Promise<EngineSpeed> {
  const slices = await updatesPerSecond(engine, 'slices', signal);
  progress?.(0.5);
  const volumes = await updatesPerSecond(engine, 'volumes', signal);
  progress?.(1);
  return { name: engine.name, says: engine.says, slices, volumes };
}
