/** From the files that were dropped to photographs of a roll, or one sentence on why not. */
import { BadInput, readScan, sortFrames, type Scan } from '../../lib/index.ts';
import type { GivenFile } from '../scan/receive.ts';
import { added, emptyRoll, type Frame, type Roll } from './model.ts';
import { rollFrom } from './scanfile.ts';

export interface NewFrame { readonly frame: Frame; readonly file: Blob }

export interface Received {
  readonly roll: Roll;
  /** Its photographs that were not in a roll before. */
  readonly fresh: readonly NewFrame[];
  /** Names of files that were not needed. */
  readonly unused: readonly string[];
  /** The scan file that described it. */
  readonly scanName?: string;
}

const hidden = /(^|\/)(\.|Thumbs\.db$|desktop\.ini$|__MACOSX\/)/i;
const videoEnding = /\.(mp4|m4v|mov|webm|mkv|3gp|avi|mpe?g|ts|mts|m2ts)$/i;

/** A ZIP is unpacked before it comes here; a video is picked from first. */
export const isArchive = ({ name }: { name: string }) => /\.zip$/i.test(name);
export const isVideo = ({ name }: { name: string }) => videoEnding.test(name);

/**
 * Photographs go to the present roll, if there is one, after those that are there; a scan file begins a new roll, of the photographs dropped
 * with it or of the present roll's. Kinds are told by words in their names, unless a scan file says them.
 * Throws BadInput: nothing to open, a scan file that is wrong or names photographs that are not there.
 */
export async function receive(given: readonly GivenFile[], present: Roll | undefined, presentFiles: ReadonlyMap<number, Blob>, newId: string): Promise<Received> {
  const seen = given.filter(({ name }) => !hidden.test(name));
  if (seen.length === 0) throw new BadInput('Nothing that could be opened was dropped; drop photographs, their folder, a ZIP of them, or a video.');
  const scanFile = await scanFileAmong(seen);
  if (scanFile) {
    const before = (present?.frames ?? []).filter((frame) => presentFiles.has(frame.id)).map((frame): GivenFile => ({ name: frame.name, size: frame.bytes, blob: presentFiles.get(frame.id)!, bytes: async () => new Uint8Array(await presentFiles.get(frame.id)!.arrayBuffer()) }));
    const pool = [...seen.filter((file) => file.name !== scanFile.name), ...before];
    const { roll, frames } = rollFrom(scanFile.scan, scanFile.name, pool, emptyRoll(newId));
    const used = new Set(frames.map(({ name }) => name));
    return gather(added({ ...roll, frames: [] }, frames), pool, seen.filter(({ name }) => !used.has(name) && name !== scanFile.name).map(({ name }) => name), new Set(), scanFile.name);
  }
  const { views, dark, flat, other } = sortFrames(seen.map(({ name }) => name));
  if (views.length + dark.length + flat.length === 0) throw new BadInput(`${seen[0].name} is not a photograph${seen.length > 1 ? `, nor is anything else among these ${seen.length} files` : ''}: JPEG, PNG, TIFF and WebP can be read, in a folder or in a ZIP, and videos.`);
  const sizes = new Map(seen.map((file) => [file.name, file.size]));
  const of = (role: Frame['role'], names: readonly string[]) => names.map((name) => ({ name, role, bytes: sizes.get(name)! }));
  const base = present ?? { ...emptyRoll(newId), title: titleOf(seen[0].name) };
  const known = new Set(base.frames.map(({ id }) => id));
  return gather(added(base, [...of('view', views), ...of('dark', dark), ...of('flat', flat)]), seen, other, known);
}

async function gather(roll: Roll, pool: readonly GivenFile[], unused: readonly string[], known: ReadonlySet<number>, scanName?: string): Promise<Received> {
  const byName = new Map(pool.map((file) => [file.name, file]));
  const fresh = await Promise.all(roll.frames.filter(({ id }) => !known.has(id)).map(async (frame): Promise<NewFrame> => {
    const file = byName.get(frame.name)!;
    return { frame, file: file.blob ?? new Blob([(await file.bytes()) as Uint8Array<ArrayBuffer>]) };
  }));
  const sizes = new Map(fresh.map(({ frame, file }) => [frame.id, file.size]));
  const frames = roll.frames.map((frame) => (sizes.has(frame.id) ? { ...frame, bytes: sizes.get(frame.id)! } : frame));
  return { roll: { ...roll, frames }, fresh: fresh.map(({ frame, file }) => ({ frame: { ...frame, bytes: file.size }, file })), unused, ...(scanName ? { scanName } : {}) };
}

/** The first JSON file that says it is a scan file, scan.json before others; of several kinds of JSON beside photographs the rest is passed over. */
async function scanFileAmong(files: readonly GivenFile[]): Promise<{ name: string; scan: Scan } | undefined> {
  const all = files.filter(({ name }) => /\.json$/i.test(name)).sort((a, b) => Number(/(^|\/)scan\.json$/i.test(b.name)) - Number(/(^|\/)scan\.json$/i.test(a.name)));
  for (const file of all) {
    const text = new TextDecoder().decode(await file.bytes());
    if (!/"format"\s*:\s*"scan"/.test(text) && !/scan[^/]*\.json$/i.test(file.name)) continue;
    try {
      return { name: file.name, scan: readScan(text) };
    } catch (error) {
      throw error instanceof BadInput ? new BadInput(`${file.name}: ${error.message}`) : error;
    }
  }
  return undefined;
}

/** The folder's name, or the file's. */
function titleOf(name: string): string {
  const parts = name.split('/');
  return (parts.length > 1 ? parts[0] : parts[0].replace(/[-_ ]*\d*\.[^.]*$/, '')) || 'A scan';
}
