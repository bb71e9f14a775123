import type { Specimen } from '../specimen/specimen.ts';
import { compute, computeNow } from './compute.ts';
import type { AnyPlate, State } from './definition.ts';
import type { Answer, Job } from './worker.ts';

/** sketch: the plate's sketch of the result is asked for, or was made; the whole result follows. */
export interface Order { readonly state: State; readonly specimen: Specimen; readonly sketch?: boolean }
export interface Outcome extends Order { readonly result?: unknown; readonly failure?: string }

/**
 * Where a plate hands in its settings. The newest wins: it calls off an older computation still running and replaces one still waiting;
 * `done` hears results in the order of their settings and never an older one after a newer.
 */
export interface Desk {
  readonly ask: (order: Order) => void;
  /** Whether a result is on its way. */
  readonly busy: () => boolean;
}

/** How work is done: it answers once, and stop asks it to hurry up with an answer that nobody waits for. */
export type Bench = (plate: AnyPlate, order: Order) => { readonly answer: Promise<{ result: unknown } | { failure: string } | { stopped: true }>; readonly stop: () => void };

export function openDesk(plate: AnyPlate, done: (outcome: Outcome) => void, work: Bench = plate.runs === 'page' ? onPage : sketchFirst()): Desk {
  let current: { stop: () => void } | undefined;
  let sketched: Order | undefined;
  let next: Order | undefined;

  const start = async (order: Order) => {
    const job = work(plate, order);
    current = job;
    sketched = plate.sketch && !order.sketch ? order : undefined;
    const answer = await job.answer;
    if (current !== job) return; // called off, and not waited for
    current = undefined;
    const waiting = next;
    next = undefined;
    if (waiting) void start(first(waiting));
    else if (order.sketch) void start({ ...order, sketch: undefined });
    if ('stopped' in answer) return;
    if ('failure' in answer && (waiting || order.sketch)) return;
    if (order.sketch && 'result' in answer && answer.result === undefined) return;
    done({ ...order, ...answer });
  };
  const first = (order: Order): Order => (plate.sketch ? { ...order, sketch: true } : order);

  return {
    ask(order) {
      if (current && !sketched) {
        next = order;
        return current.stop();
      }
      current?.stop();
      void start(first(order));
    },
    busy: () => current !== undefined,
  };
}

const onPage: Bench = (plate, { state, specimen }) => ({
  answer: Promise.resolve().then(() => ({ result: computeNow(plate, state, specimen) })).catch(said),
  stop: () => {},
});

/** Sketches and whole results have a bench each: a sketch is quick enough for the page where the whole is not. */
function sketchFirst(): Bench {
  const benches = [quickOnPage({ patience: 1 }), quickOnPage()]; // the whole may be quick once and slow the next time: nobody waits for it, and it must not hold up a sketch
  return (plate, order) => benches[order.sketch ? 1 : 0](plate, order);
}

/**
 * What takes less than a frame is done on the page, at once, in the same frame as the control's own movement: handing it to the worker and drawing
 * twice takes longer than the work. It begins in the worker, comes to the page when it was quick there, and goes back when it is slow,
 * `patience` times in a row: four as a rule, because code is slow until the browser has compiled it.
 */
export function quickOnPage({ worker = inWorker, page = atOnce, now = () => performance.now(), patience = 4 }: { worker?: Bench; page?: Bench; now?: () => number; patience?: number } = {}): Bench {
  let onThePage = false;
  let limit = 24;
  let slow = 0;
  return (plate, order) => {
    const began = now();
    const onPage = onThePage;
    const job = (onPage ? page : worker)(plate, order);
    const answer = job.answer.then((result) => {
      if (!('result' in result)) return result;
      const took = now() - began;
      if (!onPage) onThePage = took < limit;
      else if (took < 16) slow = 0;
      else if (++slow >= patience) {
        onThePage = false;
        limit = 8;
        slow = 0;
      }
      return result;
    });
    return { answer, stop: job.stop };
  };
}

const atOnce: Bench = (plate, { state, specimen, sketch }) => ({ answer: compute(plate, state, specimen, { sketch }).then((result) => ({ result }), said), stop: () => {} });

/** In steps where the computation has them, so that a newer setting can call it off. */
const here: Bench = (plate, order) => {
  const control = new AbortController();
  const answer = compute(plate, order.state, order.specimen, { signal: control.signal, sketch: order.sketch }).then((result) => ({ result }), (failure) => (control.signal.aborted ? { stopped: true as const } : said(failure)));
  return { answer, stop: () => control.abort() };
};

const said = (failure: unknown) => ({ failure: failure instanceof Error ? failure.message : String(failure) });

let worker: Worker | undefined;
let broken = false;
let jobs = 0;
const waiting = new Map<number, { answer: (answer: Answer) => void; again: () => void }>();

/** The worker is opened with the first job. Where it cannot be had, the page does the work, with pauses. */
const inWorker: Bench = (plate, order) => {
  const job = ++jobs;
  if (!worker && !broken) worker = openWorker();
  if (broken) return here(plate, order);
  let stop = () => worker?.postMessage({ stop: job } satisfies Job);
  const answer = new Promise<{ result: unknown } | { failure: string } | { stopped: true }>((resolve) => {
    const again = () => {
      const instead = here(plate, order);
      stop = instead.stop;
      void instead.answer.then(resolve);
    };
    waiting.set(job, { answer: resolve, again });
  });
  worker!.postMessage({ plate: plate.id, job, state: order.state, specimen: order.specimen.key, sketch: order.sketch } satisfies Job);
  return { answer, stop: () => stop() };
};

function openWorker(): Worker | undefined {
  try {
    const opened = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module', name: 'plates' });
    opened.addEventListener('message', ({ data }: MessageEvent<Answer>) => {
      waiting.get(data.job)?.answer(data);
      waiting.delete(data.job);
    });
    opened.addEventListener('error', () => {
      broken = true;
      worker = undefined;
      for (const each of waiting.values()) each.again();
      waiting.clear();
    });
    return opened;
  } catch {
    broken = true;
    return undefined;
  }
}
