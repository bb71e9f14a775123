import type { Work } from '../types.ts';

/** Long work, written once as a generator: it yields how far it has come, 0…1, every few milliseconds, and returns its result. */
export type Steps<T> = Generator<number, T, void>;

/** Runs the work through, at once. */
export function finish<T>(steps: Steps<T>): T {
  for (;;) {
    const step = steps.next();
    if (step.done) return step.value;
  }
}

/**
 * Runs the work in slices of about 8 ms, so that the page, or the worker's inbox, gets its turn in between.
 * work.progress hears each fraction once per slice, and 1 at the end. When work.signal is aborted the work stops at its next
 * yield, its own `finally` blocks run, and the promise is rejected with signal.reason.
 */
export async function run<T>(steps: Steps<T>, work: Work = {}): Promise<T> {
  try {
    for (;;) {
      work.signal?.throwIfAborted();
      const sliceEnd = performance.now() + SLICE_MS;
      let step = steps.next();
      while (!step.done && performance.now() < sliceEnd) step = steps.next();
      if (step.done) {
        work.progress?.(1);
        return step.value;
      }
      work.progress?.(step.value);
      await nextTurn();
    }
  } finally {
    steps.return(undefined as T); // lets an interrupted generator clean up; does nothing to a finished one
  }
}

/** The same work as a part of a longer one: its 0…1 is reported as from…to. */
export function* part<T>(steps: Steps<T>, from: number, to: number): Steps<T> {
  try {
    for (;;) {
      const step = steps.next();
      if (step.done) return step.value;
      yield from + (to - from) * step.value;
    }
  } finally {
    steps.return(undefined as T); // an interrupted whole interrupts its parts
  }
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
