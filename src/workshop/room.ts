/**
 * Long work in a worker, asked for in promises. The page's side: openRoom. The worker's side: serveRoom. Work is stopped by a message; a
 * worker that dies fails what it was asked for, with a sentence, and the next order starts a new one.
 */
import { BadInput, type Work } from '../lib/index.ts';

type Request<Order> = { readonly kind: 'order'; readonly id: number; readonly order: Order } | { readonly kind: 'stop'; readonly id: number };

type Answer =
  | { readonly kind: 'progress'; readonly id: number; readonly fraction: number }
  | { readonly kind: 'done'; readonly id: number; readonly result: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly sentence: string; readonly stopped: boolean; readonly ours: boolean };

export interface Room<Order extends { kind: string }, Results extends Record<Order['kind'], unknown>> {
  /** Rejects with BadInput and its sentence, or with the signal's reason when stopped. */
  ask<Kind extends Order['kind']>(order: Order & { kind: Kind }, work?: Work, transfer?: Transferable[]): Promise<Results[Kind]>;
  close(): void;
}

export function openRoom<Order extends { kind: string }, Results extends Record<Order['kind'], unknown>>(start: () => Worker): Room<Order, Results> {
  let worker: Worker | undefined;
  let last = 0;
  const waiting = new Map<number, { resolve: (result: any) => void; reject: (reason: unknown) => void; work: Work }>();
  const fail = (reason: unknown) => {
    worker?.terminate();
    worker = undefined;
    for (const { reject } of waiting.values()) reject(reason);
    waiting.clear();
  };
  const hear = (answer: Answer) => {
    const asked = waiting.get(answer.id);
    if (!asked) return;
    if (answer.kind === 'progress') { asked.work.progress?.(answer.fraction); return; }
    waiting.delete(answer.id);
    if (answer.kind === 'done') asked.resolve(answer.result);
    else if (answer.stopped) asked.reject(asked.work.signal?.reason ?? new DOMException('stopped', 'AbortError'));
    else asked.reject(answer.ours ? new Error(answer.sentence) : new BadInput(answer.sentence));
  };
  const open = (): Worker => {
    if (worker) return worker;
    worker = start();
    worker.addEventListener('message', ({ data }: MessageEvent<Answer>) => hear(data));
    worker.addEventListener('error', (event) => {
      event.preventDefault();
      fail(new Error(event.message || 'the worker could not be started, or ended by itself'));
    });
    return worker;
  };
  return {
    ask(order, work = {}, transfer = []) {
      if (work.signal?.aborted) return Promise.reject(work.signal.reason);
      const room = open();
      const id = ++last;
      const answer = new Promise<any>((resolve, reject) => waiting.set(id, { resolve, reject, work }));
      work.signal?.addEventListener('abort', () => room.postMessage({ kind: 'stop', id } satisfies Request<Order>), { once: true });
      room.postMessage({ kind: 'order', id, order } satisfies Request<Order>, transfer);
      return answer;
    },
    close: () => fail(new DOMException('closed', 'AbortError')),
  };
}

/** In the worker: does each order as it comes. done: the result, and what of it is handed over rather than copied. */
export function serveRoom<Order>(done: (order: Order, work: Required<Work>) => Promise<{ result: unknown; transfer?: Transferable[] }>): void {
  const underWay = new Map<number, AbortController>();
  const tell = (answer: Answer, transfer: Transferable[] = []) => (self as unknown as Worker).postMessage(answer, transfer);
  const carryOut = async (id: number, order: Order) => {
    const control = new AbortController();
    underWay.set(id, control);
    try {
      const { result, transfer } = await done(order, { signal: control.signal, progress: (fraction) => tell({ kind: 'progress', id, fraction }) });
      control.signal.throwIfAborted();
      tell({ kind: 'done', id, result }, transfer);
    } catch (error) {
      tell({ kind: 'failed', id, sentence: error instanceof Error ? error.message : String(error), stopped: control.signal.aborted, ours: !(error instanceof BadInput || error instanceof RangeError) });
    } finally {
      underWay.delete(id);
    }
  };
  addEventListener('message', ({ data }: MessageEvent<Request<Order>>) => {
    if (data.kind === 'stop') underWay.get(data.id)?.abort();
    else void carryOut(data.id, data.order);
  });
}
