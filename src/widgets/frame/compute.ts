import { finish, run } from '../../lib/index.ts';
import { ownSpecimen, specimen, type Specimen, type SpecimenId } from '../specimen/specimen.ts';
import { ownSlice } from '../specimen/store.ts';
import type { AnyPlate, State } from './definition.ts';
import { remember } from './remember.ts';

/**
 * The result for a state, wherever this runs: page, worker or build; or the plate's sketch of it. With a signal a computation written in steps
 * makes pauses, and stops when it is aborted.
 */
export async function compute(plate: AnyPlate, state: State, subject: Specimen, { signal, sketch = false }: { signal?: AbortSignal; sketch?: boolean } = {}): Promise<unknown> {
  const first = await (sketch ? plate.sketch?.(state, subject) : plate.compute(state, subject));
  return !isSteps(first) ? first : signal ? run(first as never, { signal }) : finish(first as never);
}

/** The result at once, for a plate that needs neither steps nor waiting. */
export function computeNow(plate: AnyPlate, state: State, subject: Specimen): unknown {
  const result = plate.compute(state, subject);
  if (result instanceof Promise || isSteps(result)) throw new TypeError(`Plate ${plate.id} says runs: 'page' but its compute is not at once.`);
  return result;
}

/** The specimen of that name, or the plate's first when it cannot show it or there is no slice of one's own. */
export async function findSpecimen(plate: AnyPlate, id: SpecimenId | undefined): Promise<Specimen> {
  if (!id || !plate.specimens?.includes(id)) return firstSpecimen(plate);
  return id === 'own' ? ((await ownByKey()) ?? firstSpecimen(plate)) : bookSpecimen(id);
}

/** The same specimen in another thread, by its key. */
export async function specimenByKey(plate: AnyPlate, key: string): Promise<Specimen> {
  return key.startsWith('own') ? ((await ownByKey(key)) ?? firstSpecimen(plate)) : bookSpecimen(key as 'head');
}

/** The specimen that a plate starts with. */
export function firstSpecimen(plate: AnyPlate): Specimen {
  return bookSpecimen(plate.specimens?.find((id) => id !== 'own') ?? 'head');
}

function bookSpecimen(id: Exclude<SpecimenId, 'own'>): Specimen {
  return remember('specimen', id, () => specimen(id));
}

let own: Specimen | undefined;

/** Reads the reader's slice again unless it is the one read last. */
async function ownByKey(key?: string): Promise<Specimen | undefined> {
  if (own && own.key === key) return own;
  const slice = await ownSlice();
  own = slice && ownSpecimen(slice.image, slice.title, `own ${slice.saved}`);
  return own;
}

function isSteps(value: unknown): boolean {
  return typeof (value as Iterator<unknown> | null)?.next === 'function';
}
