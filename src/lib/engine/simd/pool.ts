import { BadInput } from '../../files/bad-input.ts';
import type { Work } from '../../types.ts';
import { EngineLost } from '../engine.ts';
import { release, type Frames } from './cone.ts';
import type { Job } from './job.ts';
import type { FromWorker, ToWorker } from './message.ts';

/** A part of a task: the job, and what passes between its worker and whoever ordered it. */
export interface Part {
  /** Made when a worker is free to take it: what it holds is handed over to that worker, and gone here. */
  readonly job: () => Job;
  /** How much of the whole's progress it is; 1 when left out. */
  readonly weight?: number;
  /** The frames of a slab, from a view on; put into the room if there is some and they fit. */
  readonly frames?: (view: number, room?: Float32Array) => Frames;
  readonly slices?: (firstSlice: number, data: Float32Array) => void;
  /** Hears what the job returned. */
  readonly done?: (data: Float32Array) => void;
}

export interface Pool {
  readonly size: number;
  /** Does the parts, on as many workers as there are. One task at a time: others wait for their turn. */
  run(parts: readonly Part[], work?: Work): Promise<void>;
  /** For tests: makes a worker come to grief. */
  failOne(): void;
  close(): void;
}

/** The one face that workers of browsers and of Node have here. */
interface Hand {
  post(message: ToWorker, transfer?: Transferable[]): void;
  end(): void;
  /** In Node a worker at work keeps the program alive, and an idle one does not. */
  hold(at: boolean): void;
}

interface Running {
  readonly part: Part;
  readonly settle: (failure?: unknown) => void;
  readonly progress: (fraction: number) => void;
}

/** Workers that wait for parts of tasks, each with an instance of the kernels. In Node they do not keep a program from ending. */
export function openPool(size: number, kernels: WebAssembly.Module): Pool {
  const running = new Map<number, Running>();
  let lost: EngineLost | undefined;
  let nextId = 1;
  let turn: Promise<unknown> = Promise.resolve();

  const lose = (why: string) => {
    lost ??= new EngineLost(why);
    for (const { settle } of [...running.values()]) settle(lost);
    for (const hand of hands) hand.end();
  };

  const hear = (hand: Hand, message: FromWorker) => {
    const its = running.get(message.id);
    if (!its) {
      if ('slices' in message) release(message.slices);
      return; // of a task that was called off
    }
    try {
      if ('progress' in message) its.progress(message.progress);
      else if ('wants' in message) {
        const frames = its.part.frames!(message.wants, message.room);
        hand.post({ id: message.id, frames }, [frames.data.buffer as ArrayBuffer]);
      } else if ('slices' in message) {
        its.part.slices!(message.firstSlice, message.slices);
        hand.post({ id: message.id, room: message.slices }, [message.slices.buffer as ArrayBuffer]);
      } else if ('done' in message) {
        if (message.done) {
          its.part.done?.(message.done);
          release(message.done);
        }
        its.settle();
      } else if ('bad' in message) its.settle(message.lost ? new EngineLost(message.bad) : new BadInput(message.bad));
    } catch (failure) {
      hand.post({ id: message.id, drop: true }); // it would wait for an answer
      its.settle(inMemory(failure));
    }
  };

  const hands: Hand[] = Array.from({ length: size }, () => openHand((hand, message) => hear(hand, message), lose));
  for (const hand of hands) hand.post({ kernels });

  /** One part on one worker. */
  const give = (hand: Hand, part: Part, progress: (fraction: number) => void) => {
    const id = nextId++;
    const promise = new Promise<void>((resolve, reject) => {
      running.set(id, {
        part, progress,
        settle: (failure) => {
          running.delete(id);
          if (failure) reject(failure);
          else resolve();
        },
      });
      try {
        const job = part.job();
        hand.post({ id, job }, 'data' in job ? [job.data.buffer as ArrayBuffer] : []);
      } catch (failure) {
        running.get(id)!.settle(inMemory(failure));
      }
    });
    return { promise, drop: () => { if (running.has(id)) hand.post({ id, drop: true }); } };
  };

  async function spread(parts: readonly Part[], { signal, progress }: Work): Promise<void> {
    signal?.throwIfAborted();
    if (lost) throw lost;
    const all = parts.reduce((sum, { weight = 1 }) => sum + weight, 0);
    const rest = [...parts.entries()], far = parts.map(() => 0);
    const dropping = new Set<() => void>();
    const stop = () => {
      rest.length = 0;
      for (const drop of dropping) drop();
    };
    const tell = (k: number, fraction: number) => {
      far[k] = Math.max(far[k], fraction);
      progress?.(parts.reduce((sum, { weight = 1 }, i) => sum + weight * far[i], 0) / all);
    };
    const aborted = Promise.withResolvers<never>(), heard = () => aborted.reject(signal!.reason);
    aborted.promise.catch(() => {}); // nobody need be waiting for it
    signal?.addEventListener('abort', heard);
    const works = hands.map(async (hand) => {
      for (let next = rest.shift(); next; next = rest.shift()) {
        const [k, part] = next;
        const { promise, drop } = give(hand, part, (fraction) => tell(k, fraction));
        dropping.add(drop);
        await promise;
        dropping.delete(drop);
        tell(k, 1);
      }
    });
    try {
      await Promise.race([Promise.all(works), aborted.promise]);
    } catch (failure) {
      stop();
      for (const work of works) work.catch(() => {});
      for (const { settle } of [...running.values()]) settle(failure);
      throw failure;
    } finally {
      signal?.removeEventListener('abort', heard);
    }
  }

  return {
    size,
    async run(parts, work = {}) {
      const before = turn;
      const now = (async () => {
        await before.catch(() => {});
        for (const hand of hands) hand.hold(true);
        try {
          await spread(parts, work);
        } finally {
          for (const hand of hands) hand.hold(false);
        }
      })();
      turn = now;
      await now;
    },
    failOne() { hands[0].post({ fail: true }); },
    close() {
      lost ??= new EngineLost('The workers have been closed.');
      for (const { settle } of [...running.values()]) settle(lost);
      for (const hand of hands) hand.end();
    },
  };
}

/** What there is no memory for is thrown as a RangeError; the engine is then lost. */
function inMemory(failure: unknown): unknown {
  return failure instanceof RangeError ? new EngineLost(`The memory does not suffice (${failure.message.replace(/\.$/, '')}).`) : failure;
}

function openHand(hear: (hand: Hand, message: FromWorker) => void, lose: (why: string) => void): Hand {
  const node = (globalThis as { process?: { getBuiltinModule?(name: string): unknown } }).process?.getBuiltinModule?.('node:worker_threads') as NodeThreads | undefined;
  let ended = false;
  const died = (why: string) => { if (!ended) lose(`A worker died${why && ` (${why.replace(/\.$/, '')})`}.`); };
  if (node) {
    const here = import.meta.url; // not written in one, so that no bundler takes this for the browser's
    // Their numbers lie in the kernels' memory; room for many short-lived objects is room wasted.
    const worker = new node.Worker(new URL('./worker.ts', here), { execArgv: [], resourceLimits: { maxYoungGenerationSizeMb: 2 } });
    worker.unref();
    const hand = {
      post: (message: ToWorker, transfer?: Transferable[]) => worker.postMessage(message, transfer),
      end: () => { ended = true; void worker.terminate(); },
      hold: (at: boolean) => { if (at) worker.ref(); else worker.unref(); },
    };
    worker.on('message', (message) => hear(hand, message as FromWorker));
    worker.on('error', (error) => died((error as Error).message));
    worker.on('exit', () => died(''));
    return hand;
  }
  const worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  const hand = {
    post: (message: ToWorker, transfer: Transferable[] = []) => worker.postMessage(message, transfer),
    end: () => { ended = true; worker.terminate(); },
    hold: () => {},
  };
  worker.addEventListener('message', ({ data }: MessageEvent<FromWorker>) => hear(hand, data));
  worker.addEventListener('error', (event) => {
    event.preventDefault();
    died(event.message ?? '');
  });
  worker.addEventListener('messageerror', () => died('a message could not be read'));
  return hand;
}

interface NodeThreads {
  Worker: new (url: URL, options: { execArgv: string[]; resourceLimits: { maxYoungGenerationSizeMb: number } }) => {
    postMessage(message: unknown, transfer?: Transferable[]): void;
    on(event: string, heard: (value: unknown) => void): void;
    ref(): void;
    unref(): void;
    terminate(): Promise<number>;
  };
}
