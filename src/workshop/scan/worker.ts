/** The darkroom: reads files, makes slices and compares them off the page's thread. Work under way is stopped by a message, never by killing the worker. */
import { compileWindow, readTable, reconstructWith, scanGeometry, scanGrid, scanRecipe, scanSinogram, usualIterations, type FlatBeam, type Image, type Table2D, type Work } from '../../lib/index.ts';
import { bestLaid, compared, type Comparison, type Laid, type Placement } from './compare.ts';
import type { Recipe, Taken } from './model.ts';
import { workshopEngine } from '../engine.ts';
import { howItWent } from '../method.ts';
import { serveRoom } from '../room.ts';
import { lineIntegrals } from './prepare.ts';
import { scanOf } from './scanfile.ts';

export type Order =
  | { readonly kind: 'read'; readonly name: string; readonly bytes: Uint8Array }
  | { readonly kind: 'make'; readonly table: Table2D; readonly taken: Taken; readonly recipe: Recipe }
  | { readonly kind: 'formula'; readonly formula: string }
  | { readonly kind: 'compare'; readonly first: Image; readonly second: Image; readonly picture?: { readonly table: Table2D; readonly placement: Placement } };

export interface Results {
  read: Table2D[];
  /** how: who made it and how it went, in words. */
  make: { readonly image: Image; readonly how: string };
  formula: void;
  compare: Compared;
}

export interface Compared extends Comparison {
  /** For a picture: how it lies, and how it would lie best. */
  readonly laid?: { readonly now: Laid; readonly best: Laid };
}

serveRoom<Order>(async (order, { signal, progress }) => {
  switch (order.kind) {
    case 'read': {
      const tables = await readTable(order.bytes, order.name);
      return { result: tables, transfer: [...new Set(tables.map(({ data }) => data.buffer as ArrayBuffer))] };
    }
    case 'make': {
      const made = await makeSlice(order, { signal, progress });
      return { result: made satisfies Results['make'], transfer: [made.image.data.buffer as ArrayBuffer] };
    }
    case 'formula':
      await compileWindow(order.formula);
      return { result: undefined };
    case 'compare': {
      const laid = order.picture && bestLaid(order.picture.table, order.picture.placement, order.first);
      return { result: { ...compared(order.first, order.second), laid } satisfies Compared };
    }
  }
});

/** The same steps as the command line takes with the scan file and sinogram that the page hands out. */
async function makeSlice({ table, taken, recipe }: { table: Table2D; taken: Taken; recipe: Recipe }, work: Work): Promise<Results['make']> {
  const upright = lineIntegrals(table, taken);
  const scan = scanOf(taken, recipe, upright.rows, upright.columns);
  const grid = scanGrid(scan), how = await scanRecipe(scan);
  const rounds = how.method === 'fbp' ? 1 : 8 * (how.iterations ?? usualIterations[how.method]);
  const { engine, told } = await workshopEngine(grid.width * grid.height * upright.rows * rounds, 'slices', { signal: work.signal });
  const made = await reconstructWith(engine, scanSinogram(scan, upright), scanGeometry(scan) as FlatBeam, grid, how, work);
  return { image: made.picture, how: howItWent(made, engine, told) };
}
