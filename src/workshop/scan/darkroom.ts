/** The page's side of the worker: started when first needed, asked in promises. */
import { BadInput, type Image, type Table2D, type Work } from '../../lib/index.ts';
import type { Placement } from './compare.ts';
import type { Recipe, Taken } from './model.ts';
import type { Answer, Compared, Order, Request } from './worker.ts';

interface Waiting {
  readonly resolve: (result: any) => void;
  readonly reject: (reason: unknown) => void;
  readonly work: Work;
}

let worker: Worker | undefined;
let lastId = 0;
const waiting = new Map<number, Waiting>();

/** Tables out of a file; rejects with BadInput and its sentence. The bytes are handed over and gone. */
export function readFile(name: string, bytes: Uint8Array): Promise<Table2D[]> {
  return ask({ kind: 'read', id: ++lastId, name, bytes }, {}, [bytes.buffer as ArrayBuffer]);
}

/** A slice; rejects with the signal's reason when stopped. */
export function makeSlice(table: Table2D, taken: Taken, recipe: Recipe, work: Work): Promise<Image> {
  return ask({ kind: 'make', id: ++lastId, table, taken, recipe }, work);
}

/** Resolves when the formula can be understood; rejects with BadInput. */
export function checkFormula(formula: string): Promise<void> {
  return ask({ kind: 'formula', id: ++lastId, formula }, {});
}

/** How far apart two slices on the same pixels are; for a picture also how else it could lie. */
export function compare(first: Image, second: Image, picture?: { table: Table2D; placement: Placement }): Promise<Compared> {
  return ask({ kind: 'compare', id: ++lastId, first, second, picture }, {});
}

function ask<T>(order: Order, work: Work, transfer: Transferable[] = []): Promise<T> {
  const room = open();
  return new Promise<T>((resolve, reject) => {
    waiting.set(order.id, { resolve, reject, work });
    work.signal?.addEventListener('abort', () => room.postMessage({ kind: 'stop', id: order.id } satisfies Request));
    room.postMessage(order, transfer);
  });
}

function open(): Worker {
  if (worker) return worker;
  worker = new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
  worker.addEventListener('message', ({ data }: MessageEvent<Answer>) => hear(data));
  worker.addEventListener('error', (event) => {
    event.preventDefault();
    worker = undefined;
    for (const { reject } of waiting.values()) reject(new Error(event.message || 'the worker could not be started'));
    waiting.clear();
  });
  return worker;
}

function hear(answer: Answer): void {
  const asked = waiting.get(answer.id);
  if (!asked) return;
  if (answer.kind === 'progress') { asked.work.progress?.(answer.fraction); return; }
  waiting.delete(answer.id);
  if (answer.kind === 'done') asked.resolve(answer.result);
  else if (answer.stopped) asked.reject(asked.work.signal?.reason ?? new DOMException('stopped', 'AbortError'));
  else asked.reject(answer.ours ? new Error(answer.sentence) : new BadInput(answer.sentence));
}
