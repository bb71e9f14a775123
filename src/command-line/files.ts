import { accessSync, closeSync, constants, existsSync, fsyncSync, mkdirSync, openSync, readdirSync, readFileSync, realpathSync, renameSync, rmSync, statSync, writeFileSync, writeSync } from 'node:fs';
import { basename, dirname, join, resolve } from 'node:path';
import { BadInput, checkMemory, readTable, type Table2D } from '../lib/index.ts';

/** Reads a file whole. Throws BadInput: not there, a folder or a device, not allowed, larger than memoryLimit. */
export function readBytes(path: string): Uint8Array {
  try {
    const kind = statSync(path);
    if (!kind.isFile()) throw new BadInput(`${path} is ${kind.isDirectory() ? 'a folder' : 'a device or a pipe'}, not a file.`);
    const { size } = kind;
    checkMemory(size / 4, `${path}, a file of ${size.toLocaleString('en-GB')} bytes,`);
    return new Uint8Array(readFileSync(path));
  } catch (error) {
    throw error instanceof BadInput ? error : new BadInput(`${path} ${reason(error)}.`);
  }
}

/** The one table of a file. Throws BadInput where readTable would, and for several pages. */
export async function readOneTable(path: string, name = path): Promise<Table2D> {
  const tables = await readTable(readBytes(path), name);
  if (tables.length !== 1) throw new BadInput(`${name} has ${tables.length} pages, and one is expected: save the page that you mean as a file of its own.`);
  return tables[0];
}

/** Where a result goes. Throws BadInput, before any work is done, if it would overwrite what it is made from or cannot be written. */
export function checkOutput(path: string, inputs: readonly string[]): void {
  const real = (file: string) => (existsSync(file) ? realpathSync(file) : resolve(file));
  if (inputs.some((file) => real(file) === real(path))) throw new BadInput(`${path} is what the result is made from: give another name.`);
  if (statSync(path, { throwIfNoEntry: false })?.isDirectory()) throw new BadInput(`${path} is a folder: give the name of a file in it.`);
  let folder = dirname(resolve(path));
  while (!existsSync(folder)) folder = dirname(folder);
  try {
    if (!statSync(folder).isDirectory()) throw Object.assign(new Error(), { code: 'ENOTDIR' });
    accessSync(folder, constants.W_OK);
  } catch (error) {
    throw new BadInput(`${path} cannot be written: ${folder} ${reason(error)}.`);
  }
}

/** Writes a file so that it is there whole or not at all: under another name beside it, then renamed. Makes its folder. */
export function writeWhole(path: string, bytes: Uint8Array): void {
  const unfinished = join(dirname(path), `.${basename(path)}.${process.pid}.unfinished`);
  try {
    mkdirSync(dirname(path), { recursive: true });
    writeFileSync(unfinished, bytes, { flush: true });
    renameSync(unfinished, path);
  } catch (error) {
    rmSync(unfinished, { force: true });
    throw new BadInput(`${path} ${reason(error)}.`);
  }
}

/**
 * The same from pieces, one after the other, for what would not fit into memory. What an earlier attempt that was killed left unfinished is
 * taken away: nobody else writes a file of this name.
 */
export async function writePieces(path: string, pieces: AsyncIterable<Uint8Array>): Promise<void> {
  const unfinished = join(dirname(path), `.${basename(path)}.${process.pid}.unfinished`);
  let file: number | undefined;
  try {
    mkdirSync(dirname(path), { recursive: true });
    const left = readdirSync(dirname(path)).filter((name) => name.startsWith(`.${basename(path)}.`) && /^\d+\.unfinished$/.test(name.slice(basename(path).length + 2)));
    for (const name of left) rmSync(join(dirname(path), name), { force: true });
    file = openSync(unfinished, 'w');
    for await (const piece of pieces) for (let done = 0; done < piece.length;) done += writeSync(file, piece, done, Math.min(piece.length - done, 2 ** 30));
    fsyncSync(file);
    closeSync(file);
    file = undefined;
    renameSync(unfinished, path);
  } catch (error) {
    if (file !== undefined) closeSync(file);
    rmSync(unfinished, { force: true });
    throw typeof (error as NodeJS.ErrnoException)?.code === 'string' ? new BadInput(`${path} ${reason(error)}.`) : error;
  }
}

export function reason(error: unknown): string {
  const { code, message } = error as NodeJS.ErrnoException;
  const reasons: Record<string, string> = {
    ENOENT: 'is not there: check the name and the folder',
    ENOTDIR: 'is a file where a folder should be',
    EEXIST: 'cannot be made: a file of that name is in the way',
    EISDIR: 'is a folder, not a file',
    EACCES: 'may not be opened: its permissions forbid it',
    EPERM: 'may not be opened: its permissions forbid it',
    EROFS: 'cannot be written: the disk is read-only',
    ENOSPC: 'cannot be written: the disk is full',
    ENAMETOOLONG: 'has a name that is too long',
  };
  return reasons[code ?? ''] ?? `cannot be used (${message})`;
}
