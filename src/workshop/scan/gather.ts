/** Files dropped together: which is the scan file, which holds the numbers, which are not needed. */

export interface DroppedFile {
  /** With its folder where a folder was dropped: disc/scan.json. */
  readonly name: string;
}

export interface Gathered<File extends DroppedFile> {
  readonly scan?: File;
  /** What may hold the numbers, when there is no scan file to say which. */
  readonly candidates: readonly File[];
  readonly unused: readonly string[];
}

const NUMBERS = /\.(npy|csv|tsv|txt|png|tiff?)$/i;
const HIDDEN = /(^|\/)(\.|Thumbs\.db$|__MACOSX\/)/i;

/** Sorts by name alone; a file without a known ending counts as numbers only when nothing else does. */
export function gather<File extends DroppedFile>(files: readonly File[]): Gathered<File> {
  const seen = files.filter(({ name }) => !HIDDEN.test(name));
  const scans = seen.filter(({ name }) => /\.json$/i.test(name));
  const scan = scans.find(({ name }) => /(^|\/)scan\.json$/i.test(name)) ?? scans[0];
  const known = seen.filter(({ name }) => NUMBERS.test(name));
  const candidates = known.length > 0 ? known : seen.filter((file) => !scans.includes(file));
  const kept = new Set<File>([...candidates, ...(scan ? [scan] : [])]);
  return { scan, candidates, unused: seen.filter((file) => !kept.has(file)).map(({ name }) => name) };
}

/** The file that a scan file names: beside it by preference, else anywhere among the dropped by its last name. */
export function namedFile<File extends DroppedFile>(files: readonly File[], scanName: string, named: string): File | undefined {
  const folder = scanName.slice(0, scanName.lastIndexOf('/') + 1);
  const last = (path: string) => path.slice(path.lastIndexOf('/') + 1);
  const wanted = named.replace(/^\.\//, '');
  return files.find(({ name }) => name === folder + wanted)
    ?? files.find(({ name }) => last(name) === last(wanted));
}
