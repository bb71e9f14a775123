/** The darkroom: reads files, makes slices and compares them off the page's thread. Work under way is stopped by a message, never by killing the worker. */
import { BadInput, compileWindow, fbpSteps, readTable, run, scanGeometry, scanGrid, scanSinogram, type FlatBeam, type Image, type Table2D } from '../../lib/index.ts';
import { bestLaid, compared, type Comparison, type Laid, type Placement } from './compare.ts';
import type { Recipe, Taken } from './model.ts';
import { lineIntegrals } from './prepare.ts';
import { scanOf } from './scanfile.ts';

export type Order =
  | { readonly kind: 'read'; readonly id: number; readonly name: string; readonly bytes: Uint8Array }
  | { readonly kind: 'make'; readonly id: number; readonly table: Table2D; readonly taken: Taken; readonly recipe: Recipe }
  | { readonly kind: 'formula'; readonly id: number; readonly formula: string }
  | { readonly kind: 'compare'; readonly id: number; readonly first: Image; readonly second: Image; readonly picture?: { readonly table: Table2D; readonly placement: Placement } };

export type Request = Order | { readonly kind: 'stop'; readonly id: number };

export type Answer =
  | { readonly kind: 'progress'; readonly id: number; readonly fraction: number }
  | { readonly kind: 'done'; readonly id: number; readonly result: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly sentence: string; readonly stopped: boolean; readonly ours: boolean };

export interface Compared extends Comparison {
  /** For a picture: how it lies, and how it would lie best. */
  readonly laid?: { readonly now: Laid; readonly best: Laid };
}

const underWay = new Map<number, AbortController>();

addEventListener('message', ({ data }: MessageEvent<Request>) => {
  if (data.kind === 'stop') underWay.get(data.id)?.abort();
  else void carryOut(data);
});

async function carryOut(order: Order): Promise<void> {
  const { id } = order;
  const control = new AbortController();
  underWay.set(id, control);
  try {
    const progress = (fraction: number) => tell({ kind: 'progress', id, fraction });
    const { result, transfer = [] } = await done(order, control.signal, progress);
    tell({ kind: 'done', id, result }, transfer);
  } catch (error) {
    const sentence = error instanceof Error ? error.message : String(error);
    tell({ kind: 'failed', id, sentence, stopped: control.signal.aborted, ours: !(error instanceof BadInput) });
  } finally {
    underWay.delete(id);
  }
}

async function done(order: Order, signal: AbortSignal, progress: (fraction: number) => void): Promise<{ result: unknown; transfer?: Transferable[] }> {
  switch (order.kind) {
    case 'read': {
      const tables = await readTable(order.bytes, order.name);
      return { result: tables, transfer: [...new Set(tables.map(({ data }) => data.buffer as ArrayBuffer))] };
    }
    case 'make': {
      const image = await makeSlice(order, signal, progress);
      return { result: image, transfer: [image.data.buffer as ArrayBuffer] };
    }
    case 'formula':
      await compileWindow(order.formula);
      return { result: undefined };
    case 'compare': {
      const laid = order.picture && bestLaid(order.picture.table, order.picture.placement, order.first);
      return { result: { ...compared(order.first, order.second), laid } satisfies Compared };
    }
  }
}

/** The same steps as the command line takes with the scan file and sinogram that the page hands out. */
async function makeSlice({ table, taken, recipe }: { table: Table2D; taken: Taken; recipe: Recipe }, signal: AbortSignal, progress: (fraction: number) => void): Promise<Image> {
  const upright = lineIntegrals(table, taken);
  const scan = scanOf(taken, recipe, upright.rows, upright.columns);
  const window = recipe.window === 'formula' ? await compileWindow(recipe.formula) : recipe.window;
  return run(fbpSteps(scanSinogram(scan, upright), scanGeometry(scan) as FlatBeam, { window, cutoff: recipe.cutoff, grid: scanGrid(scan) }), { signal, progress });
}

function tell(answer: Answer, transfer: Transferable[] = []): void {
  (self as unknown as Worker).postMessage(answer, transfer);
}
