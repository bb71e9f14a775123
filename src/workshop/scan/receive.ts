/** From the files that were dropped to a scan on the sheet, or one sentence on why not. */
import { BadInput, checkFinite, readScan, type Scan, type Table2D } from '../../lib/index.ts';
import { unusable } from './faults.ts';
import { gather, namedFile, type DroppedFile } from './gather.ts';
import type { Brought } from './model.ts';
import { takenFrom } from './scanfile.ts';
import { listed, weighed } from './words.ts';

export interface GivenFile extends DroppedFile {
  readonly size: number;
  readonly bytes: () => Promise<Uint8Array>;
  /** The file itself, where it comes from the reader's disk. */
  readonly blob?: Blob;
}

export type TableReader = (name: string, bytes: Uint8Array) => Promise<Table2D[]>;

/** A file of this size is not opened: reading it takes as much again, and the numbers in it more. */
const LARGEST_FILE = 1e9;

/**
 * Finds the scan file and the numbers among the files, reads both, and checks that they belong together.
 * present: what lies on the sheet already; a scan file dropped alone may speak of it.
 * Throws BadInput: one sentence that begins with the name of the file it is about.
 */
export async function receive(files: readonly GivenFile[], read: TableReader, present?: Brought): Promise<{ brought: Brought; scan?: Scan }> {
  if (files.length === 0) throw new BadInput('Nothing that could be opened was dropped; drop a file with numbers, a scan file with its numbers, or their folder.');
  const { scan: scanFile, candidates, unused } = gather(files);
  if (!scanFile) {
    if (candidates.length === 0) throw new BadInput(`${files[0].name} is not a sinogram; NPY, CSV, TSV, PNG and TIFF files can be read, and scan files with the numbers they name.`);
    if (candidates.length > 1) {
      const names = candidates.slice(0, 4).map(({ name }) => name);
      throw new BadInput(`${listed(names)}${candidates.length > 4 ? ' and more' : ''} could each be the sinogram; drop one of them, or the scan file that names it too.`);
    }
    const pages = await tablesOf(candidates[0], read);
    return { brought: { name: candidates[0].name, pages, page: 0, unused } };
  }

  const scan = await about(scanFile.name, async () => readScan(new TextDecoder().decode(await opened(scanFile))));
  takenFrom(scan, scanFile.name); // complains here of scans that this page does not make
  const named = (scan.frames as { file: string }).file;
  const numbers = namedFile(candidates, scanFile.name, named);
  const before = present && namedFile([present], scanFile.name, named);
  if (!numbers && !before) throw new BadInput(`${scanFile.name} names ${named}, which was not dropped with it; drop both together, or their folder.`);
  const pages = numbers ? await tablesOf(numbers, read) : before!.pages;
  const name = numbers?.name ?? before!.name;
  checkMatch(scan, scanFile.name, pages[0], name);
  const others = candidates.filter((file) => file !== numbers).map((file) => file.name);
  return { brought: { name, scanName: scanFile.name, pages, page: 0, unused: [...others, ...unused] }, scan };
}

/** One table out of one file, for a picture to compare with. */
export async function receivePicture(files: readonly GivenFile[], read: TableReader): Promise<{ name: string; table: Table2D }> {
  if (files.length !== 1) throw new BadInput(`${files.length === 0 ? 'Nothing' : `${files.length} files`} dropped; one picture is laid beside the slice: NPY, CSV, TSV, PNG or TIFF.`);
  const [table] = await tablesOf(files[0], read);
  return { name: files[0].name, table };
}

async function tablesOf(file: GivenFile, read: TableReader): Promise<Table2D[]> {
  const bytes = await opened(file);
  const tables = await about(file.name, () => read(file.name, bytes));
  const wrong = tables.length === 0 ? `${file.name} holds no numbers.` : unusable(tables[0], file.name);
  if (wrong) throw new BadInput(wrong);
  tables.forEach((table, page) => checkFinite(table, tables.length > 1 ? `${file.name}, page ${page + 1},` : file.name));
  return tables;
}

async function opened(file: GivenFile): Promise<Uint8Array> {
  if (file.size === 0) throw new BadInput(`${file.name} is empty; a file with numbers in it is needed.`);
  if (file.size > LARGEST_FILE) throw new BadInput(`${file.name} has ${weighed(file.size)} and would take at least ${weighed(2 * file.size)} of memory; files up to ${weighed(LARGEST_FILE)} are opened here.`);
  try {
    return await file.bytes();
  } catch {
    throw new BadInput(`${file.name} could not be opened; it may have been moved since, or be a folder.`);
  }
}

/** The reader's sentences say "this file": say which. */
async function about<T>(name: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof BadInput && !error.message.startsWith(name)) throw new BadInput(`${name}: ${error.message}`);
    throw error;
  }
}

function checkMatch(scan: Scan, scanName: string, table: Table2D, name: string): void {
  const angles = 'list' in scan.angles ? scan.angles.list.length : scan.angles.count;
  if (angles !== table.rows) throw new BadInput(`${scanName} gives ${angles} angles and ${name} has ${table.rows} rows; there must be one row a view.`);
  const { columns } = scan.detector;
  if (columns !== undefined && columns !== table.columns) throw new BadInput(`${scanName} gives a detector of ${columns} columns and ${name} has ${table.columns}; they must agree.`);
}
