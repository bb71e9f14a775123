import { compute, firstSpecimen } from './compute.ts';
import type { AnyPlate } from './definition.ts';

/** Results of the plates as they start, kept while the book is built. */
const results = new Map<string, unknown>();

/** Computes what the plate shows first. Plate.astro awaits it before it draws the island. */
export async function first(plate: AnyPlate): Promise<void> {
  if (!results.has(plate.id)) results.set(plate.id, await compute(plate, plate.initial, firstSpecimen(plate)));
}

export function firstResult(plate: AnyPlate): unknown {
  if (!results.has(plate.id)) throw new Error(`src/widgets/${plate.id}/Plate.astro draws the plate without \`await first(…)\` before.`);
  return results.get(plate.id);
}
