/** The engine that does the workshop's heavy work, in a worker: the reader's choice, or the fastest by a measurement made once in this browser. */
import { EngineLost, engineNames, engineSpeed, keepGoing, openEngine, plainEngine, type Engine, type EngineName, type EngineSpeed, type Work } from '../lib/index.ts';
import { keepChoice, keptChoice, type EngineChoice } from './engine-choice.ts';

/** Less work than this the plain engine has done in half a second. */
const small = 1e8;

let current: { readonly engine: Engine; readonly wish: string; readonly told: string[] } | undefined;

/**
 * updates: pixels or voxels times views (times about eight a round of an iterative method).
 * told: sentences on engines lost on the way, emptied for each task.
 */
export async function workshopEngine(updates: number, kind: 'slices' | 'volumes', work: Work = {}): Promise<{ engine: Engine; told: readonly string[] }> {
  const choice = (await keptChoice()) ?? (updates < small ? undefined : await measured(work));
  const wanted = choice?.wish ?? 'auto';
  if (wanted === 'plain' || (wanted === 'auto' && updates < small)) return { engine: plainEngine(), told: [] };
  const order = wanted === 'auto' ? bySpeed(choice!.speeds, kind) : [wanted, ...engineNames.slice(engineNames.indexOf(wanted) + 1)];
  const key = order.join();
  if (current?.wish === key) {
    current.told.length = 0;
    return current;
  }
  current?.engine.close();
  current = undefined;
  const told: string[] = [];
  const openers = order.filter((name) => name !== 'plain').map((name) => () => openEngine(name));
  const engine = keepGoing(await firstOf(openers), openers, (sentence) => told.push(sentence));
  current = { engine, wish: key, told };
  return current;
}

async function firstOf(openers: (() => Promise<Engine>)[]): Promise<Engine> {
  for (;;) {
    const open = openers.shift();
    if (!open) return plainEngine();
    try {
      return await open();
    } catch (failure) {
      if (!(failure instanceof EngineLost)) throw failure;
    }
  }
}

/** Fastest first. */
export function bySpeed(speeds: readonly EngineSpeed[], kind: 'slices' | 'volumes'): EngineName[] {
  return [...speeds].sort((a, b) => b[kind] - a[kind]).map(({ name }) => name);
}

/** Opens each engine in turn, times it and keeps the figures; the reader's wish stays. */
export async function measured(work: Work = {}): Promise<EngineChoice> {
  const speeds: EngineSpeed[] = [];
  const absent: Partial<Record<EngineName, string>> = {};
  for (const [k, name] of engineNames.entries()) {
    work.signal?.throwIfAborted();
    try {
      const engine = await openEngine(name);
      try {
        speeds.push(await engineSpeed(engine, { signal: work.signal }));
      } finally {
        engine.close();
      }
    } catch (failure) {
      if (!(failure instanceof EngineLost)) throw failure;
      absent[name] = failure.message;
    }
    work.progress?.((k + 1) / engineNames.length);
  }
  const choice: EngineChoice = { wish: (await keptChoice())?.wish ?? 'auto', speeds, absent };
  await keepChoice(choice);
  return choice;
}
