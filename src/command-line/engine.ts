import { BadInput, EngineLost, engineNames, keepGoing, openEngine, plainEngine, updatesPerSecond, type Engine, type EngineName } from '../lib/index.ts';
import { say } from './output.ts';

/** Less work than this the plain engine has done in half a second: before others are ready and measured. */
const small = 1e8;

/**
 * The engine that was asked for, or for `auto` the fastest here by measurement; should it be lost, the work goes on with the next, and a sentence
 * says so. updates: pixels or voxels times views, about, times iterations.   kind: what the work is like.
 * Throws BadInput for an engine that there is not.
 */
export async function engineFor(asked: string, updates: number, kind: 'slices' | 'volumes', signal: AbortSignal): Promise<Engine> {
  if (asked !== 'auto' && !(engineNames as readonly string[]).includes(asked)) {
    throw new BadInput(`${asked} is not an engine: ${[...engineNames].reverse().join(', ')} are, and auto takes the fastest here.`);
  }
  if (asked === 'plain' || (asked === 'auto' && updates < small)) return plainEngine();
  const others = (after: EngineName) => engineNames.slice(engineNames.indexOf(after) + 1).filter((name) => name !== 'plain').map((name) => () => open(name));
  if (asked !== 'auto') {
    try {
      return keepGoing(await open(asked as EngineName), others(asked as EngineName), say);
    } catch (failure) {
      throw failure instanceof EngineLost ? new BadInput(`The engine ${asked} is not to be had: ${failure.message}`) : failure;
    }
  }
  let best: { engine: Engine; speed: number } | undefined;
  for (const name of engineNames) {
    try {
      const engine = await open(name);
      const speed = await updatesPerSecond(engine, kind, signal);
      if (best && speed <= best.speed) engine.close();
      else {
        best?.engine.close();
        best = { engine, speed };
      }
    } catch (failure) {
      if (!(failure instanceof EngineLost)) throw failure; // one that is not there is passed over
    }
  }
  return best!.engine.name === 'plain' ? best!.engine : keepGoing(best!.engine, others(best!.engine.name), say);
}

/** Graphics cards are reached from Node through the package webgpu, which is not installed with the project: it is large. */
async function open(name: EngineName): Promise<Engine> {
  if (name !== 'gpu') return openEngine(name);
  const packageName = 'webgpu';
  let found;
  try {
    found = await import(packageName) as { create: (options: string[]) => unknown; globals: object };
  } catch {
    throw new EngineLost('The command line reaches a graphics card through the package webgpu, which is not installed: npm install --no-save webgpu.');
  }
  Object.assign(globalThis, found.globals);
  return openEngine('gpu', { gpu: found.create([]) });
}
