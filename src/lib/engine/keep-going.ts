import type { Geometry } from '../types.ts';
import type { GridOf } from '../reconstruct/iterate.ts';
import type { Operator } from '../reconstruct/operator.ts';
import { EngineLost, type Engine } from './engine.ts';
import { plainEngine } from './plain.ts';
import { waitFor, type Steps } from './steps.ts';

/** How the next engine is had, should the one before be lost. */
export type NextEngine = () => Promise<Engine>;

/**
 * An engine that goes on: where `first` is lost in the middle of a task, the task is done by the next, from its beginning, and so is all that
 * follows; the plain engine comes last and is not lost. Nothing that was finished is lost either: iterative methods keep picture and
 * residuals themselves and only repeat the step that failed.
 * tell: hears one sentence, what happened and who goes on.
 */
export function keepGoing(first: Engine, next: readonly NextEngine[], tell: (sentence: string) => void): Engine {
  let now = first;
  const rest = [...next];
  let changing: Promise<void> | undefined;

  /** Brings the next engine in, unless that has been done since `lost` was in use. */
  async function replace(lost: Engine, why: EngineLost): Promise<void> {
    if (now !== lost) return;
    changing ??= (async () => {
      lost.close();
      let reason = why.message;
      for (;;) {
        const open = rest.shift();
        try {
          now = open ? await open() : plainEngine();
          break;
        } catch (failure) {
          if (!(failure instanceof EngineLost)) throw failure;
          reason += ` ${failure.message}`;
        }
      }
      tell(`${reason} The work goes on with ${now.says}.`);
    })().finally(() => { changing = undefined; });
    await changing;
  }

  async function keep<T>(task: (engine: Engine) => Promise<T>): Promise<T> {
    for (;;) {
      const engine = now;
      try {
        return await task(engine);
      } catch (failure) {
        if (!(failure instanceof EngineLost) || engine.name === 'plain') throw failure;
        await replace(engine, failure);
      }
    }
  }

  return {
    get name() { return now.name; },
    get says() { return now.says; },
    project: (...args) => keep((engine) => engine.project(...args)),
    transpose: (...args) => keep((engine) => engine.transpose(...args)),
    filter: (...args) => keep((engine) => engine.filter(...args)),
    backproject: (...args) => keep((engine) => engine.backproject(...args)),
    reconstruct: (...args) => keep((engine) => engine.reconstruct(...args)),
    operator: (geometry, grid, mask) => keepOperating(geometry, grid, mask, () => now, replace),
    close: () => now.close(),
  };
}

/** The operator of whichever engine is in use; a step that fails with EngineLost is taken again by the next one's. */
function keepOperating<G extends Geometry>(
  geometry: G, grid: GridOf<G>, mask: ArrayLike<number> | undefined, current: () => Engine, replace: (lost: Engine, why: EngineLost) => Promise<void>,
): Operator {
  let engine = current();
  let operator = engine.operator(geometry, grid, mask);

  function* again(step: (operator: Operator) => Steps<void>): Steps<void> {
    for (;;) {
      if (engine !== current()) {
        operator.dispose?.();
        engine = current();
        operator = engine.operator(geometry, grid, mask);
      }
      try {
        return yield* step(operator);
      } catch (failure) {
        if (!(failure instanceof EngineLost) || engine.name === 'plain') throw failure;
        const lost = engine;
        yield* waitFor(() => replace(lost, failure)); // the step then writes anew all that it may have half written
      }
    }
  }

  const { size, pixels, views, cells, numbers } = operator;
  return {
    size, pixels, views, cells, numbers,
    applySteps: (picture, rays, of) => again((its) => its.applySteps(picture, rays, of)),
    transposeSteps: (rays, picture, of) => again((its) => its.transposeSteps(rays, picture, of)),
    dispose: () => operator.dispose?.(),
  };
}
