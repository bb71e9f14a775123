import { BadInput } from './bad-input.ts';
import { grouped } from './memory-limit.ts';

/** How the numbers of an NPY file lie in it. */
export interface NpyHeader {
  readonly shape: readonly number[];
  /** As the file says it: '<f4', '>i2', '|u1' … */
  readonly dtype: string;
  /** The first index runs fastest. */
  readonly fortran: boolean;
  /** Where the first number begins, bytes from the beginning of the file. */
  readonly dataOffset: number;
  /** Bytes of a number. */
  readonly size: number;
  readonly count: number;
  /** Shape and dtype, for a sentence. */
  readonly inWords: string;
  /** The number `at` bytes into a view. */
  readonly read: (view: DataView, at: number) => number;
}

type Reader = (view: DataView, at: number, little: boolean) => number;

/** Kind and bytes of a dtype, and how one element is read. 64-bit integers lose what 32-bit floats cannot hold. */
const readers: Record<string, Reader> = {
  b1: (view, at) => (view.getUint8(at) ? 1 : 0),
  i1: (view, at) => view.getInt8(at),
  u1: (view, at) => view.getUint8(at),
  i2: (view, at, little) => view.getInt16(at, little),
  u2: (view, at, little) => view.getUint16(at, little),
  i4: (view, at, little) => view.getInt32(at, little),
  u4: (view, at, little) => view.getUint32(at, little),
  i8: (view, at, little) => Number(view.getBigInt64(at, little)),
  u8: (view, at, little) => Number(view.getBigUint64(at, little)),
  f2: (view, at, little) => halfFloat(view.getUint16(at, little)),
  f4: (view, at, little) => view.getFloat32(at, little),
  f8: (view, at, little) => view.getFloat64(at, little),
};

/** What can be read, for a sentence. */
const readable = 'Booleans, integers of 8 to 64 bits and floats of 16 to 64 bits can be read';

/** Why the other kinds of dtype cannot be read. */
const refusals: Record<string, string> = {
  O: 'holds Python objects (dtype object), which only Python can read; save an array of plain numbers, with .astype("float32") say',
  c: 'holds complex numbers; save the real part or the magnitude',
  S: 'holds text; save numbers',
  U: 'holds text; save numbers',
  a: 'holds text; save numbers',
  V: 'holds raw bytes or records; save one array of plain numbers',
  M: 'holds dates; save numbers',
  m: 'holds times; save numbers',
};

/** More than any header takes that describes one array. */
export const longestNpyHeader = 2 ** 16;

/**
 * What the header of an NPY file says, versions 1 to 3. bytes: the file, or its beginning (longestNpyHeader bytes are enough).
 * Throws BadInput: not NPY, cut short inside the header, damaged, complex, object, text or record dtype.
 * Source: NumPy's format description (numpy.lib.format), https://numpy.org/doc/stable/reference/generated/numpy.lib.format.html
 */
export function npyHeader(bytes: Uint8Array): NpyHeader {
  const { header, dataOffset } = headerText(bytes);
  const dtype = headerValue(header, 'descr', /^(?:'([^']*)'|"([^"]*)")/, 'a dtype in quotes');
  const fortran = headerValue(header, 'fortran_order', /^(True|False)/, 'True or False') === 'True';
  const shape = shapeOf(headerValue(header, 'shape', /^\(([\d\sL,]*)\)/, 'a list of sizes in parentheses'));

  const [, order, kind, size, unit] = /^([<>|=]?)([a-zA-Z])(\d*)(.*)$/.exec(dtype) ?? [];
  const read = readers[`${kind}${size}${unit}`];
  if (!read) throw new BadInput(`This NPY file ${refusals[kind] ?? `holds numbers of dtype '${dtype}', which is not one we know`}. ${readable}.`);
  const little = order !== '>';
  return {
    shape, dtype, fortran, dataOffset, size: Number(size), count: shape.reduce((product, length) => product * length, 1),
    inWords: `shape (${shape.join(', ')}${shape.length === 1 ? ',' : ''}) and dtype '${dtype}'`,
    read: (view, at) => read(view, at, little),
  };
}

/** Throws BadInput unless a file of so many bytes holds the numbers of its header and nothing more. */
export function checkNpyLength({ count, size, dataOffset, inWords }: NpyHeader, fileBytes: number): void {
  const expected = count * size;
  const actual = fileBytes - dataOffset;
  if (actual === expected) return;
  const how = actual < expected ? 'cut short, or its shape is wrong' : 'too long for its shape';
  throw new BadInput(`This NPY file is ${how}: ${inWords} take ${grouped(expected)} bytes, and ${grouped(actual)} follow the header.`);
}

/** Does it begin as an NPY file? */
export function isNpy(bytes: Uint8Array): boolean {
  return [0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59].every((byte, i) => bytes[i] === byte);
}

/** The text of the header, and where the data start: after the magic bytes, two of version and two (version 1) or four of length. */
function headerText(bytes: Uint8Array): { header: string; dataOffset: number } {
  if (!isNpy(bytes)) throw new BadInput('This is not an NPY file: it does not begin with the bytes 93 4E 55 4D 50 59 ("\\x93NUMPY").');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const lengthBytes = bytes[6] === 1 ? 2 : 4;
  if (bytes.length < 8 + lengthBytes) throw new BadInput(`This NPY file is cut short: it ends inside its header, after ${bytes.length} bytes.`);
  if (bytes[6] < 1 || bytes[6] > 3) throw new BadInput(`This NPY file has format version ${bytes[6]}; versions 1, 2 and 3 can be read.`);
  const headerLength = lengthBytes === 2 ? view.getUint16(8, true) : view.getUint32(8, true);
  const dataOffset = 8 + lengthBytes + headerLength;
  if (dataOffset > bytes.length) throw new BadInput(`This NPY file is cut short: its header takes ${grouped(dataOffset)} bytes and the file has ${grouped(bytes.length)}.`);
  return { header: new TextDecoder(bytes[6] === 3 ? 'utf-8' : 'latin1').decode(bytes.subarray(8 + lengthBytes, dataOffset)), dataOffset };
}

/** One entry of the header, which is a Python dictionary: {'descr': '<f4', 'fortran_order': False, 'shape': (2, 3), } */
function headerValue(header: string, key: string, pattern: RegExp, right: string): string {
  const at = new RegExp(`['"]${key}['"]\\s*:\\s*`).exec(header);
  const rest = at ? header.slice(at.index + at[0].length) : '';
  if (key === 'descr' && rest.startsWith('[')) throw new BadInput(`This NPY file ${refusals.V}. ${readable}.`);
  const found = pattern.exec(rest);
  if (!found) throw new BadInput(`This NPY file has a damaged header: ${right} should stand at '${key}'.`);
  return found[1] ?? found[2];
}

/** '2, 3' → [2, 3]; Python 2 wrote 2L. */
function shapeOf(text: string): number[] {
  const parts = text.split(',').map((part) => part.trim());
  if (parts.at(-1) === '') parts.pop();
  return parts.map((part) => {
    if (!/^\d{1,15}L?$/.test(part)) throw new BadInput(`This NPY file has a damaged header: its shape is (${text.slice(0, 60)}), which is not a list of sizes.`);
    return parseInt(part, 10);
  });
}

/** IEEE 754 half precision, from its 16 bits: 1 of sign, 5 of exponent, 10 of fraction. */
function halfFloat(bits: number): number {
  const sign = bits & 0x8000 ? -1 : 1;
  const exponent = (bits >> 10) & 31;
  const fraction = bits & 1023;
  if (exponent === 31) return fraction ? NaN : sign * Infinity;
  return sign * (exponent ? (1024 + fraction) * 2 ** (exponent - 25) : fraction * 2 ** -24);
}
