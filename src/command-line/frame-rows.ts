import { closeSync, fstatSync, openSync, readSync } from 'node:fs';
import { BadInput, checkNpyLength, longestNpyHeader, npyHeader, type NpyHeader, type Projections } from '../lib/index.ts';
import { reason } from './files.ts';

/** A file of line integrals, [view][row from the bottom][column], that is read in parts. */
export interface FrameFile {
  readonly header: NpyHeader;
  /** Rows firstRow … endRow − 1 of every view; no more of the file is read. progress: 0…1. */
  readonly rows: (firstRow: number, endRow: number, mirrored: boolean, work: { signal: AbortSignal; progress: (fraction: number) => void }) => Promise<{ projections: Projections; bytesRead: number }>;
}

/**
 * Opens an NPY of frames by its header. wanted: views, rows and columns.
 * Throws BadInput: not there, not NPY, another shape, values that are not finite numbers.
 */
export function openFrames(path: string, wanted: readonly [views: number, rows: number, columns: number]): FrameFile {
  const header = withFile(path, (file, bytes) => {
    const start = new Uint8Array(Math.min(bytes, longestNpyHeader));
    readFully(file, start, 0);
    const found = npyHeader(start);
    checkNpyLength(found, bytes);
    return found;
  });
  const { shape, fortran, size, dataOffset, read } = header;
  if (shape.length !== 3 || shape.some((length, axis) => length !== wanted[axis])) {
    throw new BadInput(`${path} holds ${shape.join(' × ')} numbers, and the scan file asks for ${wanted.join(' × ')}: view, row from the bottom, column.`);
  }
  const [views, rows, columns] = wanted;

  return {
    header,
    rows: async (firstRow, endRow, mirrored, { signal, progress }) => {
      const kept = endRow - firstRow, data = new Float32Array(views * kept * columns);
      // In C order the rows of a view lie together, in Fortran order those of a column.
      const [pieces, inRow] = fortran ? [columns, views] : [views, columns];
      const bytes = new Uint8Array(kept * inRow * size), view = new DataView(bytes.buffer);
      await withFile(path, async (file) => {
        for (let k = 0; k < pieces; k++) {
          readFully(file, bytes, dataOffset + (k * rows + firstRow) * inRow * size);
          for (let i = 0; i < kept * inRow; i++) {
            const value = read(view, i * size), at = fortran ? ((i % views) * kept + Math.floor(i / views)) * columns + k : k * kept * columns + i;
            if (!Number.isFinite(value)) throw new BadInput(`${path} holds ${value} in view ${fortran ? i % views : k}: line integrals are finite numbers.`);
            data[at] = value;
          }
          if (k % 16 === 15) {
            progress((k + 1) / pieces);
            await new Promise(setImmediate); // Ctrl+C is heard here
            signal.throwIfAborted();
          }
        }
      });
      if (mirrored) for (let at = 0; at < data.length; at += columns) data.subarray(at, at + columns).reverse();
      return { projections: { views, rows: kept, columns, data }, bytesRead: dataOffset + pieces * bytes.length };
    },
  };
}

/** Opens a file to read some of it, and closes it. Throws BadInput, with the file's name before the sentence. */
export function withFile<T>(path: string, use: (file: number, bytes: number) => T): T {
  let file: number | undefined;
  const named = (error: unknown) => {
    if (error instanceof BadInput) return error.message.startsWith(path) ? error : new BadInput(`${path}: ${error.message}`);
    return typeof (error as NodeJS.ErrnoException)?.code === 'string' ? new BadInput(`${path} ${reason(error)}.`) : error;
  };
  const close = () => { if (file !== undefined) closeSync(file); };
  try {
    file = openSync(path, 'r');
    const kind = fstatSync(file);
    if (!kind.isFile()) throw new BadInput(`${path} is ${kind.isDirectory() ? 'a folder' : 'a device or a pipe'}, not a file.`);
    const result = use(file, kind.size);
    if (result instanceof Promise) return result.catch((error) => { throw named(error); }).finally(close) as T;
    close();
    return result;
  } catch (error) {
    close();
    throw named(error);
  }
}

/** Fills `into` from a place in the file. Throws BadInput where the file ends before. */
export function readFully(file: number, into: Uint8Array, at: number): void {
  for (let done = 0; done < into.length;) {
    const read = readSync(file, into, done, Math.min(into.length - done, 2 ** 30), at + done);
    if (read === 0) throw new BadInput(`The file ends ${into.length - done} bytes too soon: it became shorter while it was read.`);
    done += read;
  }
}
