/** The page's side of the worker: started when first needed, asked in promises. */
import type { Image, Table2D, Work } from '../../lib/index.ts';
import { openRoom } from '../room.ts';
import type { Placement } from './compare.ts';
import type { Recipe, Taken } from './model.ts';
import type { Compared, Order, Results } from './worker.ts';

const room = openRoom<Order, Results>(() => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }));

/** Tables out of a file; rejects with BadInput and its sentence. The bytes are handed over and gone. */
export function readFile(name: string, bytes: Uint8Array): Promise<Table2D[]> {
  return room.ask({ kind: 'read', name, bytes }, {}, [bytes.buffer as ArrayBuffer]);
}

/** A slice; rejects with the signal's reason when stopped. */
export function makeSlice(table: Table2D, taken: Taken, recipe: Recipe, work: Work): Promise<Results['make']> {
  return room.ask({ kind: 'make', table, taken, recipe }, work);
}

/** Resolves when the formula can be understood; rejects with BadInput. */
export function checkFormula(formula: string): Promise<void> {
  return room.ask({ kind: 'formula', formula });
}

/** How far apart two slices on the same pixels are; for a picture also how else it could lie. */
export function compare(first: Image, second: Image, picture?: { table: Table2D; placement: Placement }): Promise<Compared> {
  return room.ask({ kind: 'compare', first, second, picture });
}
