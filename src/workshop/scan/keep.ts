/** The sheet put away in this browser (IndexedDB) and found again. Only what has changed is written. */
import { clear, createStore, getMany, setMany, type UseStore } from 'idb-keyval';
import { emptySheet, type Sheet } from './model.ts';

/** A new number when the shape of what is kept changes: what an older page kept is then left alone. */
const VERSION = 1;
const PARTS = ['brought', 'taken', 'reasons', 'recipe', 'slice', 'beside', 'look'] as const;

let store: UseStore | undefined;
const place = () => (store ??= createStore('own-scan', 'sheet'));
let last: Partial<Sheet> = {};

export async function remember(sheet: Sheet): Promise<void> {
  const changed = PARTS.filter((part) => sheet[part] !== last[part]);
  if (changed.length === 0) return;
  await setMany([['version', VERSION], ...changed.map((part): [string, unknown] => [part, sheet[part]])], place());
  last = sheet;
}

/** What was kept, or nothing when there is nothing or it cannot be used. */
export async function recall(): Promise<Sheet | undefined> {
  const [version, ...parts] = await getMany(['version', ...PARTS], place());
  if (version !== VERSION) return undefined;
  const sheet = { ...emptySheet, ...Object.fromEntries(PARTS.map((part, k) => [part, parts[k]]).filter(([, value]) => value !== undefined)) } as Sheet;
  last = sheet;
  return sheet.brought || sheet.beside ? sheet : undefined;
}

export async function forget(): Promise<void> {
  last = {};
  await clear(place());
}
