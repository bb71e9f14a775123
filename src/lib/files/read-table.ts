import { BadInput } from './bad-input.ts';
import { readDelimited } from './read-delimited.ts';
import { grouped, memoryLimit } from './memory-limit.ts';
import { isNpy, readNpy } from './read-npy.ts';
import type { Picture } from './picture.ts';
import { isNrrd, readNrrd, type NrrdVolume } from './read-nrrd.ts';
import { isPng, readPng } from './read-png.ts';
import { isTiff } from './tiff-directory.ts';
import { readTiff } from './read-tiff.ts';

/** Numbers in rows and columns: data[row · columns + column]. What every 2-D reader gives. */
export interface Table2D {
  readonly rows: number;
  readonly columns: number;
  readonly data: Float32Array;
}

/**
 * Reads numbers in rows and columns from NPY, NRRD, PNG, TIFF or text (CSV, TSV, spaces), told apart by their content. One table a page:
 * NPY of three dimensions [page][row][column], NRRD (by slices, the lowest first) and TIFF of several pages give several. NPY of one dimension is one row.
 * name: for the sentence when it fails, and to say what was expected when the content is nothing known.
 * Throws BadInput that begins with the name.
 */
export async function readTable(bytes: Uint8Array, name: string): Promise<Table2D[]> {
  try {
    if (bytes.length === 0) throw new BadInput('This file is empty (0 bytes).');
    if (isNpy(bytes)) return tablesOfNpy(bytes);
    if (isNrrd(bytes)) return tablesOfNrrd(await readNrrd(bytes));
    if (isPng(bytes)) return tablesOfPicture(await readPng(bytes));
    if (isTiff(bytes)) return tablesOfPicture(await readTiff(bytes));
    return [readDelimited(textOf(bytes, name))];
  } catch (error) {
    if (error instanceof BadInput) throw new BadInput(`${name}: ${error.message}`);
    throw error;
  }
}

function tablesOfNpy(bytes: Uint8Array): Table2D[] {
  const { shape, data } = readNpy(bytes);
  const inWords = `(${shape.join(', ')}${shape.length === 1 ? ',' : ''})`;
  if (shape.length < 1 || shape.length > 3) throw new BadInput(`This NPY file has ${shape.length} dimensions, shape ${inWords}: two (rows, columns) are expected.`);
  if (data.length === 0) throw new BadInput(`This NPY file holds no numbers: its shape is ${inWords}.`);
  const [pages, rows, columns] = [1, 1, 1, ...shape].slice(-3);
  return Array.from({ length: pages }, (_, page) => ({ rows, columns, data: data.subarray(page * rows * columns, (page + 1) * rows * columns) }))
    .map((table) => (pages === 1 ? table : { ...table, data: table.data.slice() }));
}

function tablesOfNrrd({ width, height, depth, data }: NrrdVolume): Table2D[] {
  return Array.from({ length: depth }, (_, slice) => ({ rows: height, columns: width, data: data.slice(slice * width * height, (slice + 1) * width * height) }));
}

function tablesOfPicture({ width, height, pages }: Picture): Table2D[] {
  return pages.map((data) => ({ rows: height, columns: width, data }));
}

/** How other kinds of file begin, and what to do with one. */
const strangers: [RegExp, string][] = [
  [/^\xff\xd8\xff/, 'a JPEG picture, which throws away small differences: save it as PNG or TIFF'],
  [/^PK\x03\x04/, 'a ZIP archive (NPZ, XLSX and ODS are such archives too): unpack it, or save the numbers as NPY or CSV'],
  [/^\x1f\x8b/, 'packed with gzip: unpack it first'],
  [/^\x89HDF\r\n/, 'an HDF5 file (newer MATLAB files are such files too): save the numbers as NPY or CSV'],
  [/^MATLAB 5\.0 MAT-file/, 'a MATLAB file: save the numbers as NPY or CSV, with writematrix say'],
  [/^%PDF/, 'a PDF: save the numbers or the picture itself'],
  [/^GIF8/, 'a GIF picture: save it as PNG'],
  [/^BM[^]{0,12}\0/, 'a BMP picture: save it as PNG'],
  [/^\x80[\x02-\x05]/, 'a Python pickle, which only Python can read: save the array with numpy.save'],
  [/^[^]{128}DICM/, 'a DICOM file, which cannot be read: save the numbers as NPY, or the picture as 16-bit PNG or TIFF'],
  [/^(?:\xef\xbb\xbf)?\s*[{[]/, 'JSON, not rows of numbers: NPY, PNG, TIFF and text with rows of numbers can be read'],
  [/^(?:\xef\xbb\xbf)?\s*</, 'a web page or XML, not rows of numbers: NPY, PNG, TIFF and text with rows of numbers can be read'],
];

/** The text of a file that is none of the known kinds, if text it is. */
function textOf(bytes: Uint8Array, name: string): string {
  const start = String.fromCharCode(...bytes.subarray(0, 132));
  const stranger = strangers.find(([begins]) => begins.test(start));
  if (stranger) throw new BadInput(`This is ${stranger[1]}.`);
  const utf16 = start.startsWith('\xff\xfe') ? 'utf-16le' : start.startsWith('\xfe\xff') ? 'utf-16be' : undefined;
  const unknown = () => new BadInput(`This is not ${expected(name)}: NPY, PNG, TIFF, and text with rows of numbers can be read.`);
  if (bytes.length > memoryLimit / 2) throw new BadInput(`This text file has ${grouped(bytes.length)} bytes: save the numbers as NPY, which takes a fraction of that.`);
  if (!utf16 && bytes.subarray(0, 4096).includes(0)) throw unknown();
  try {
    return new TextDecoder(utf16 ?? 'utf-8', { fatal: true }).decode(bytes);
  } catch {
    throw unknown();
  }
}

/** What the ending of the name promised. */
function expected(name: string): string {
  const ending = /\.(npy|png|tiff?|csv|tsv|txt)$/i.exec(name)?.[1].toLowerCase();
  if (!ending) return 'a kind of file that is known here';
  const kind = ending === 'npy' ? 'an NPY file' : ending === 'png' ? 'a PNG' : ending.startsWith('tif') ? 'a TIFF' : 'text';
  return `${kind}, whatever its name says`;
}
