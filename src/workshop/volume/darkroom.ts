/**
 * The page's side of the worker. The worker is started with the first order and given a copy of the volume: for as long as it runs, the
 * volume is in memory twice (not where its buffer is shared). A large copy is given up when a minute has passed without an order.
 */
import { BadInput, type Volume, type Work } from '../../lib/index.ts';
import type { Answer, Order, Request, Results } from './worker.ts';

export interface Darkroom {
  /** Rejects with BadInput and its sentence, or with the signal's reason when stopped. */
  ask<Kind extends keyof Results>(order: Order & { kind: Kind }, work?: Work): Promise<Results[Kind]>;
  close(): void;
}

/** Voxels handed over at a time: 4 MB, so that the page is never held up. */
const portion = 1 << 20;
/** Copies larger than this are not kept for nothing: bytes, and ms. */
const large = 64 << 20, patience = 60_000;

export function openDarkroom(volume: Volume): Darkroom {
  let worker: Worker | undefined;
  let ready: Promise<void> | undefined;
  let idle: ReturnType<typeof setTimeout> | undefined;
  let lastId = 0;
  const waiting = new Map<number, { resolve: (result: any) => void; reject: (reason: unknown) => void; work: Work }>();

  const close = () => {
    clearTimeout(idle);
    worker?.terminate();
    worker = ready = undefined;
  };
  const fail = (reason: Error) => {
    close();
    for (const { reject } of waiting.values()) reject(reason);
    waiting.clear();
  };
  const rest = () => {
    clearTimeout(idle);
    if (waiting.size === 0 && volume.data.byteLength > large) idle = setTimeout(close, patience);
  };
  const hear = (answer: Answer) => {
    const asked = waiting.get(answer.id);
    if (!asked) return;
    if (answer.kind === 'progress') { asked.work.progress?.(answer.fraction); return; }
    waiting.delete(answer.id);
    rest();
    if (answer.kind === 'done') asked.resolve(answer.result);
    else if (answer.stopped) asked.reject(asked.work.signal?.reason ?? new DOMException('stopped', 'AbortError'));
    else asked.reject(answer.ours ? new Error(answer.sentence) : new BadInput(answer.sentence));
  };
  const open = (): Worker => {
    if (worker) return worker;
    const started = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
    started.addEventListener('message', ({ data }: MessageEvent<Answer>) => hear(data));
    started.addEventListener('error', (event) => {
      event.preventDefault();
      fail(new Error(event.message || 'the worker could not be started'));
    });
    ready = handOver(volume, started);
    return (worker = started);
  };

  return {
    async ask(order, work = {}) {
      work.signal?.throwIfAborted();
      const id = ++lastId;
      const room = open();
      clearTimeout(idle);
      const answer = new Promise<any>((resolve, reject) => waiting.set(id, { resolve, reject, work }));
      answer.catch(() => {}); // it may fail before anyone listens, while the volume is on its way
      work.signal?.addEventListener('abort', () => room.postMessage({ kind: 'stop', id } satisfies Request), { once: true });
      await ready;
      if (work.signal?.aborted) {
        waiting.delete(id);
        rest();
        throw work.signal.reason;
      }
      room.postMessage({ kind: 'order', id, order } satisfies Request);
      return answer;
    },
    close: () => fail(new DOMException('closed', 'AbortError')),
  };
}

async function handOver({ data, ...grid }: Volume, worker: Worker): Promise<void> {
  const tell = (request: Request, transfer: Transferable[] = []) => worker.postMessage(request, transfer);
  if (typeof SharedArrayBuffer !== 'undefined' && data.buffer instanceof SharedArrayBuffer) { tell({ kind: 'grid', grid, shared: data }); return; }
  tell({ kind: 'grid', grid });
  for (let from = 0; from < data.length; from += portion) {
    const part = data.slice(from, from + portion);
    tell({ kind: 'voxels', from, data: part }, [part.buffer]);
    await new Promise((resolve) => setTimeout(resolve));
  }
}
