import type { Work } from '../types.ts';

/**
 * Long work, written once as a generator: it yields how far it has come, 0…1, every few milliseconds, and returns its result. Work that
 * is partly done elsewhere, by other threads or a graphics card, also yields promises, and goes on once they are settled.
 */
export type Steps<T> = Generator<number | Promise<unknown>, T, void>;

/** Runs the work through, at once. Throws TypeError for work that waits for something: that wants `run`. */
export function finish<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
    if (typeof step.value !== 'number') throw new TypeError('This work is partly done elsewhere, so it cannot be finished at once: await run(steps).');
  }
}

/**
 * Runs the work in slices of about 8 ms, so that the page, or the worker's inbox, gets its turn in between.
 * work.progress hears each fraction once per slice, and 1 at the end. When work.signal is aborted the work stops at its next
 * yield, its own `finally` blocks run, and the promise is rejected with signal.reason.
 */
export async function run<T>(steps: Steps<T>, work: Work = {}): Promise<T> {
  const stopped = abortion(work.signal);
  let far = 0, told = 0, tellAt = 0;
  try {
    for (;;) {
      work.signal?.throwIfAborted();
      const sliceEnd = performance.now() + SLICE_MS;
      let step = steps.next();
      while (!step.done && typeof step.value === 'number' && performance.now() < sliceEnd) {
        far = step.value;
        step = steps.next();
      }
      if (step.done) {
        work.progress?.(1);
        return step.value;
      }
      if (typeof step.value === 'number') far = step.value;
      if (far > told && performance.now() >= tellAt) {
        work.progress?.(told = far);
        tellAt = performance.now() + SLICE_MS;
      }
      if (typeof step.value === 'number') await nextTurn();
      else await (stopped ? Promise.race([step.value, stopped.promise]) : step.value);
    }
  } finally {
    stopped?.forget();
    steps.return(undefined as T); // lets an interrupted generator clean up; does nothing to a finished one
  }
}

/**
 * Waits for what is done elsewhere, as steps: its progress is theirs, and where the steps are called off it is told so by its signal.
 * A failure of what is waited for is thrown here.
 */
export function* waitFor<T>(begin: (work: Required<Work>) => Promise<T>): Steps<T> {
  const stop = new AbortController();
  let fraction = 0, wake = () => {};
  let outcome: { value: T } | { failure: unknown } | undefined;
  begin({ signal: stop.signal, progress: (now) => { fraction = now; wake(); } })
    .then((value) => { outcome = { value }; }, (failure: unknown) => { outcome = { failure }; })
    .then(() => wake());
  try {
    while (!outcome) {
      yield new Promise<void>((resolve) => { wake = resolve; });
      yield fraction;
    }
  } finally {
    if (!outcome) stop.abort();
  }
  if ('failure' in outcome) throw outcome.failure;
  return outcome.value;
}

/** The same work as a part of a longer one: its 0…1 is reported as from…to. */
export function* part<T>(steps: Steps<T>, from: number, to: number): Steps<T> {
  try {
    for (;;) {
      const step = steps.next();
      if (step.done) return step.value;
      yield typeof step.value === 'number' ? from + (to - from) * step.value : step.value;
    }
  } finally {
    steps.return(undefined as T); // an interrupted whole interrupts its parts
  }
}

/** A promise that is rejected when the signal is aborted. */
function abortion(signal?: AbortSignal): { promise: Promise<never>; forget: () => void } | undefined {
  if (!signal) return undefined;
  const { promise, reject } = Promise.withResolvers<never>();
  const heard = () => reject(signal.reason);
  signal.addEventListener('abort', heard);
  promise.catch(() => {}); // nobody need be waiting for it
  return { promise, forget: () => signal.removeEventListener('abort', heard) };
}

/** Half a frame: long enough to be worth the switch, short enough that the page still draws at its full rate. */
const SLICE_MS = 8;

/** A message to oneself, because a timer of 0 ms waits 4 ms in a browser once it has been nested a few times. */
function nextTurn(): Promise<void> {
  return new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => {
      port1.close();
      resolve();
    };
    port2.postMessage(null);
  });
}
