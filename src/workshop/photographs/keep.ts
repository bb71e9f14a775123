/** Rolls kept in this browser (IndexedDB): each with its photographs, thumbnails, and the volume made of it. */
import { createStore, del, delMany, get, keys, set, setMany, type UseStore } from 'idb-keyval';
import type { Volume } from '../../lib/index.ts';
import type { SavedView } from '../volume/VolumeSheet.tsx';
import type { Roll } from './model.ts';
import type { Results } from './results.ts';

/** A new number when the shape of what is kept changes: what an older page kept is then left alone. */
const version = 1;

let store: UseStore | undefined;
const place = () => (store ??= createStore(`photographs-${version}`, 'rolls'));

type Part = 'roll' | 'file' | 'thumb' | 'results' | 'volume' | 'view';
const key = (part: Part, roll: string, frame?: number): IDBValidKey => (frame === undefined ? [part, roll] : [part, roll, frame]);

/** One line of the list of rolls. */
export interface Entry {
  readonly id: string;
  readonly title: string;
  readonly photographs: number;
  readonly bytes: number;
  /** ms since 1970 */
  readonly changed: number;
}

/** Newest first. */
export async function listRolls(): Promise<Entry[]> {
  const all = (await get<Entry[]>('list', place())) ?? [];
  return [...all].sort((a, b) => b.changed - a.changed);
}

export async function keepRoll(roll: Roll, volumeBytes: number): Promise<Entry[]> {
  const entry: Entry = { id: roll.id, title: roll.title, photographs: roll.frames.length, bytes: roll.frames.reduce((sum, { bytes }) => sum + bytes, 0) + volumeBytes, changed: Date.now() };
  const list = [entry, ...(await listRolls()).filter(({ id }) => id !== roll.id)];
  await setMany([[key('roll', roll.id), roll], ['list', list]], place());
  return list;
}

export const keepFile = (roll: string, frame: number, file: Blob) => set(key('file', roll, frame), file, place());
export const keepThumb = (roll: string, frame: number, thumb: Blob) => set(key('thumb', roll, frame), thumb, place());
export const keepResults = (roll: string, results: Results) => set(key('results', roll), results, place());
export const keepVolume = (roll: string, volume: Volume) => set(key('volume', roll), volume, place());
export const keepView = (roll: string, view: SavedView) => set(key('view', roll), view, place());

export interface Kept {
  readonly roll: Roll;
  readonly files: ReadonlyMap<number, Blob>;
  readonly thumbs: ReadonlyMap<number, Blob>;
  readonly results?: Results;
  readonly volume?: Volume;
  readonly view?: SavedView;
}

/** Files come as handles: their bytes are read when they are needed. */
export async function openRoll(id: string): Promise<Kept | undefined> {
  const roll = await get<Roll>(key('roll', id), place());
  if (!roll) return undefined;
  const all = await partsOf(id);
  const blobs = async (part: 'file' | 'thumb') => new Map(await Promise.all(all.filter(([kind]) => kind === part).map(async ([, , frame]) => [frame!, (await get<Blob>(key(part, id, frame), place()))!] as const)));
  const [files, thumbs, results, volume, view] = await Promise.all([blobs('file'), blobs('thumb'), get<Results>(key('results', id), place()), get<Volume>(key('volume', id), place()), get<SavedView>(key('view', id), place())]);
  return { roll, files, thumbs, ...(results ? { results } : {}), ...(volume ? { volume } : {}), ...(view ? { view } : {}) };
}

export async function deleteRoll(id: string): Promise<Entry[]> {
  const list = (await listRolls()).filter((entry) => entry.id !== id);
  await set('list', list, place());
  await delMany((await partsOf(id)).map((part) => part as unknown as IDBValidKey), place());
  return list;
}

/** Which roll was open last. */
export const lastRoll = () => get<string>('open', place());
export const openedRoll = (id: string | undefined) => (id === undefined ? del('open', place()) : set('open', id, place()));

const partsOf = async (id: string) => ((await keys(place())) as unknown[]).filter((each): each is [Part, string, number?] => Array.isArray(each) && each[1] === id);

/** Is there no room? */
export const isFull = (error: unknown) => error instanceof DOMException && (error.name === 'QuotaExceededError' || error.name === 'NS_ERROR_DOM_QUOTA_REACHED');
