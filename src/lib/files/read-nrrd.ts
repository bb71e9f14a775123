import type { Volume } from '../types.ts';
import type { Point3 } from '../volume/point.ts';
import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';

export interface NrrdVolume extends Volume {
  /** The header's fields and, of its key/value pairs, the rest: { type: 'float', content: …, scale: … }. */
  readonly fields: Readonly<Record<string, string>>;
  /** Whether the file says how large a voxel is; where it does not, 1 mm is taken. */
  readonly sizeKnown: boolean;
}

type Reader = (view: DataView, at: number, little: boolean) => number;
const int8: Reader = (view, at) => view.getInt8(at), uint8: Reader = (view, at) => view.getUint8(at);
const int16: Reader = (view, at, little) => view.getInt16(at, little), uint16: Reader = (view, at, little) => view.getUint16(at, little);
const int32: Reader = (view, at, little) => view.getInt32(at, little), uint32: Reader = (view, at, little) => view.getUint32(at, little);
const int64: Reader = (view, at, little) => Number(view.getBigInt64(at, little)), uint64: Reader = (view, at, little) => Number(view.getBigUint64(at, little));
const float: Reader = (view, at, little) => view.getFloat32(at, little), double: Reader = (view, at, little) => view.getFloat64(at, little);

/** Bytes of a sample and how it is read, by every name that the format gives its type. */
const kinds: [size: number, read: Reader, names: string][] = [
  [1, int8, 'signed char|int8|int8_t'],
  [1, uint8, 'uchar|unsigned char|uint8|uint8_t'],
  [2, int16, 'short|short int|signed short|signed short int|int16|int16_t'],
  [2, uint16, 'ushort|unsigned short|unsigned short int|uint16|uint16_t'],
  [4, int32, 'int|signed int|int32|int32_t'],
  [4, uint32, 'uint|unsigned int|uint32|uint32_t'],
  [8, int64, 'longlong|long long|long long int|signed long long|signed long long int|int64|int64_t'],
  [8, uint64, 'ulonglong|unsigned long long|unsigned long long int|uint64|uint64_t'],
  [4, float, 'float'],
  [8, double, 'double'],
];

/** mm of a unit of length. */
const units: Record<string, number> = { '': 1, mm: 1, cm: 10, m: 1000, um: 1e-3, 'µm': 1e-3, 'μm': 1e-3, nm: 1e-6 };

/**
 * Reads a volume from a NRRD file, versions 1 to 5, its data attached: raw, gzip or text, either byte order, integers and floats of all sizes.
 * Where the header has space directions the voxels are put into this library's order (columns to +x, rows to −y, slices to +z) whichever
 * way the file counts them, and into its place; a left-handed space is mirrored in x. Where it has only spacings, rows are taken to run down,
 * as in a picture, and the middle of the volume lies at the origin. Two dimensions are a volume of one slice.
 * Samples of which the header says scale and offset (or, of integers, old min and old max) come back as values.
 * Throws BadInput: not NRRD, data in another file, another encoding, cut short, voxels that are not cubes or stand askew, too big for
 * memoryLimit, damaged.   Source: the format's definition, NRRD0001 to NRRD0005 (from memory).
 */
export async function readNrrd(bytes: Uint8Array): Promise<NrrdVolume> {
  const { fields, dataAt } = readHeader(bytes);
  const data = fields['data file'] ?? fields.datafile;
  if (data !== undefined) throw new BadInput(`This NRRD file keeps its data in another file (${data.split('\n')[0].slice(0, 80)}): save it with the header attached.`);
  const dimension = Number(need(fields, 'dimension'));
  if (dimension !== 2 && dimension !== 3) throw new BadInput(`This NRRD file has ${fields.dimension} dimensions: a volume has three.`);
  const sizes = numbersOf(need(fields, 'sizes'));
  if (sizes.length !== dimension || !sizes.every((size) => Number.isInteger(size) && size >= 1)) {
    throw new BadInput(`This NRRD file has a damaged header: its sizes are "${fields.sizes.slice(0, 60)}" and should be ${dimension} whole numbers from 1.`);
  }
  const type = need(fields, 'type').toLowerCase();
  const kind = kinds.find(([, , names]) => names.split('|').includes(type));
  if (!kind) throw new BadInput(`This NRRD file holds samples of type "${type.slice(0, 40)}": integers of 8 to 64 bits, float and double can be read.`);
  const [size, read] = kind;
  const inWords = `${sizes.map(grouped).join(' × ')} samples of type ${type}`;
  const count = sizes.reduce((product, length) => product * length, 1);
  checkMemory(count, `A NRRD file of ${inWords}`);

  const placed = placeOf(fields, dimension, [...sizes, ...(dimension === 2 ? [1] : [])] as unknown as Point3);
  const values = new Float32Array(count);
  const { start, steps, width, height, depth } = placed;
  const [n0, n1] = sizes;
  let i = 0;
  const next = (value: number): void => {
    const a = i % n0, b = Math.floor(i / n0) % n1, c = Math.floor(i / (n0 * n1));
    values[start + a * steps[0] + b * steps[1] + c * steps[2]] = value;
    i++;
  };

  const encoding = need(fields, 'encoding').toLowerCase();
  const source = afterLines(bytes, dataAt, Number(fields['line skip'] ?? fields.lineskip ?? 0));
  if (['txt', 'text', 'ascii'].includes(encoding)) {
    const numbers = numbersOf(new TextDecoder('latin1').decode(source));
    if (numbers.length !== count) throw new BadInput(`This NRRD file should hold ${inWords}, ${grouped(count)} in all, and holds ${grouped(numbers.length)} numbers.`);
    numbers.forEach(next);
  } else {
    const skip = Number(fields['byte skip'] ?? fields.byteskip ?? 0);
    if (!(Number.isInteger(skip) && skip >= -1)) throw new BadInput(`This NRRD file has a damaged header: its byte skip is "${skip}" and should be a whole number from −1.`);
    const raw = await unpacked(source, encoding, count * size, skip, inWords);
    const endian = fields.endian?.toLowerCase();
    if (size > 1 && endian !== 'little' && endian !== 'big') throw new BadInput('This NRRD file does not say in which order its bytes stand: its header should have a line "endian: little" or "endian: big".');
    const view = new DataView(raw.buffer, raw.byteOffset, raw.byteLength);
    for (let k = 0; k < count; k++) next(read(view, k * size, endian === 'little'));
  }

  const { scale, offset } = scaleOf(fields, type);
  if (scale !== 1 || offset !== 0) for (let k = 0; k < count; k++) values[k] = offset + scale * values[k];
  const { voxelSize, centre, sizeKnown } = placed;
  return { width, height, depth, voxelSize, ...(centre && { centre }), data: values, fields, sizeKnown };
}

/** Does it begin as a NRRD file? */
export function isNrrd(bytes: Uint8Array): boolean {
  return [0x4e, 0x52, 0x52, 0x44, 0x30, 0x30, 0x30].every((byte, i) => bytes[i] === byte);
}

/** More than any header takes. */
const longestHeader = 1e6;

function readHeader(bytes: Uint8Array): { fields: Record<string, string>; dataAt: number } {
  if (!isNrrd(bytes)) throw new BadInput('This is not a NRRD file: it does not begin with "NRRD000".');
  const version = bytes[7] - 0x30;
  if (!(version >= 1 && version <= 5)) throw new BadInput(`This NRRD file has format version ${String.fromCharCode(bytes[7] ?? 63)}; versions 1 to 5 can be read.`);
  const fields: Record<string, string> = Object.create(null) as Record<string, string>;
  let at = 0, first = true;
  for (;;) {
    const end = bytes.indexOf(10, at);
    if (at > longestHeader) throw new BadInput('This NRRD file has no empty line between its header and its data.');
    if (end < 0 && (first || at >= bytes.length)) break;
    const line = new TextDecoder().decode(bytes.subarray(at, end < 0 ? bytes.length : Math.min(end, at + longestHeader))).replace(/\r$/, '');
    at = end < 0 ? bytes.length : end + 1;
    if (line === '') return { fields, dataAt: at };
    const pair = /^([^:#][^:]*):(=|\s)(.*)$/.exec(line);
    if (pair) {
      const name = pair[1].trim().toLowerCase();
      if (pair[2] !== '=' || !(name in fields)) fields[name] = pair[3].trim();
    } else if (end >= 0 && !first && !line.startsWith('#') && !/^[^:]+:$/.test(line)) {
      throw new BadInput(`This NRRD file has a damaged header: "${line.slice(0, 60)}" should be a field and its value, with a colon between.`);
    }
    first = false;
  }
  if (fields['data file'] ?? fields.datafile) return { fields, dataAt: bytes.length };
  throw new BadInput('This NRRD file is cut short: it ends inside its header, before the empty line that ends it.');
}

function need(fields: Record<string, string>, name: string): string {
  if (fields[name] === undefined) throw new BadInput(`This NRRD file has a damaged header: the line "${name}: …" is missing.`);
  return fields[name];
}

/** Numbers with spaces, commas or parentheses between. */
function numbersOf(text: string): number[] {
  return text.split(/[\s,()]+/).filter((word) => word !== '').map(Number);
}

interface Place {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly voxelSize: number;
  readonly centre?: Point3;
  readonly sizeKnown: boolean;
  /** Where the file's first sample goes, and by how much on along each of its axes. */
  readonly start: number;
  readonly steps: Point3;
}

function placeOf(fields: Record<string, string>, dimension: number, sizes: Point3): Place {
  const directions = fields['space directions'];
  if (directions === undefined) return placeBySpacings(fields, dimension, sizes);
  const groups = [...directions.matchAll(/\(([^)]*)\)/g)].map(([, text]) => numbersOf(text));
  const inSpace = Number(fields['space dimension'] ?? (fields.space ? 3 : groups[0]?.length));
  if (groups.length !== dimension || groups.some((group) => group.length !== inSpace || group.length > 3 || !group.every(Number.isFinite)) || inSpace < dimension) {
    throw new BadInput(`This NRRD file has a damaged header: its space directions are "${directions.slice(0, 80)}" and should be ${dimension} directions of ${dimension === 2 ? 'two or three' : 'three'} numbers each.`);
  }
  const mm = unitOf(fields['space units'], inSpace);
  const mirrored = /^(3D-left-handed|3DLH|left-anterior-superior|LAS)/i.test(fields.space ?? '') ? -1 : 1;
  const inMm = (group: readonly number[]): Point3 => [mirrored * mm * (group[0] ?? 0), mm * (group[1] ?? 0), mm * (group[2] ?? 0)];
  const axes = groups.map(inMm);
  if (dimension === 2) axes.push([0, 0, Math.hypot(...axes[0])]);
  const lengths = axes.map((axis) => Math.hypot(...axis));
  const voxelSize = cubic(lengths);
  const along = axes.map((axis) => axis.findIndex((value) => Math.abs(value) > 0.9999995 * voxelSize));
  if (new Set(along).size !== 3 || along.includes(-1)) {
    throw new BadInput(`This NRRD file's voxels stand askew (space directions ${directions.slice(0, 80)}): their edges should run along x, y and z.`);
  }
  const counts: number[] = [0, 0, 0];
  along.forEach((w, a) => { counts[w] = sizes[a]; });
  const [width, height, depth] = counts;
  const strides = [1, -width, width * height]; // memory runs to +x, −y and +z
  let start = 0;
  const steps = axes.map((axis, a) => {
    const w = along[a];
    const step = Math.sign(axis[w]) * strides[w];
    if (step < 0) start -= step * (sizes[a] - 1);
    return step;
  }) as unknown as Point3;
  const origin = numbersOf(fields['space origin'] ?? '');
  if (origin.length > 0 && !(origin.length === inSpace && origin.every(Number.isFinite))) throw new BadInput(`This NRRD file has a damaged header: its space origin is "${fields['space origin'].slice(0, 60)}" and should be ${inSpace} numbers.`);
  const first = inMm(origin);
  const centre = origin.length === 0 ? undefined : [0, 1, 2].map((k) => first[k] + axes.reduce((sum, axis, a) => sum + (axis[k] * (sizes[a] - 1)) / 2, 0)) as unknown as Point3;
  return { width, height, depth, voxelSize, ...(centre && { centre }), sizeKnown: true, start, steps };
}

function placeBySpacings(fields: Record<string, string>, dimension: number, sizes: Point3): Place {
  const [width, height, depth] = sizes;
  const place = { width, height, depth, start: 0, steps: [1, width, width * height] as const };
  const given = fields.spacings === undefined ? [] : numbersOf(fields.spacings).map((value) => Math.abs(value));
  if (given.length > 0 && given.length !== dimension) throw new BadInput(`This NRRD file has a damaged header: its spacings are "${fields.spacings.slice(0, 60)}" and should be ${dimension} numbers.`);
  const known = given.length > 0 && given.every((value) => !Number.isNaN(value));
  if (!known) return { ...place, voxelSize: 1, sizeKnown: false };
  const mm = unitOf(fields.units, dimension);
  return { ...place, voxelSize: cubic(given.map((value) => value * mm)), sizeKnown: true };
}

/** One length for all edges, mm. */
function cubic(lengths: readonly number[]): number {
  const [first] = lengths;
  if (!lengths.every((length) => length > 0 && Number.isFinite(length))) throw new BadInput(`This NRRD file's voxels measure ${lengths.join(' × ')} mm: every edge should be longer than 0.`);
  if (lengths.some((length) => Math.abs(length - first) > 1e-3 * first)) {
    throw new BadInput(`This NRRD file's voxels measure ${lengths.map((length) => Number(length.toPrecision(4))).join(' × ')} mm: cubes are needed, so resample it to one size.`);
  }
  return first;
}

function unitOf(text: string | undefined, count: number): number {
  if (text === undefined) return 1;
  const names = [...text.matchAll(/"([^"]*)"/g)].map(([, name]) => name.trim()).slice(0, count);
  const factors = names.map((name) => units[name]);
  const unknown = names.find((_, i) => factors[i] === undefined);
  if (unknown !== undefined) throw new BadInput(`This NRRD file gives its lengths in "${unknown.slice(0, 20)}": mm, cm, m, um and nm are known.`);
  if (new Set(factors).size > 1) throw new BadInput(`This NRRD file gives its lengths in different units (${names.join(', ')}): one is needed.`);
  return factors[0] ?? 1;
}

function scaleOf(fields: Record<string, string>, type: string): { scale: number; offset: number } {
  const [scale, offset] = [Number(fields.scale), Number(fields.offset)];
  if (fields.scale !== undefined && fields.offset !== undefined && Number.isFinite(scale) && Number.isFinite(offset)) return { scale, offset };
  const [least, greatest] = [Number(fields['old min'] ?? fields.oldmin ?? NaN), Number(fields['old max'] ?? fields.oldmax ?? NaN)];
  const cells = { 1: 256, 2: 65536 }[kinds.find(([, read, names]) => (read === uint8 || read === uint16) && names.split('|').includes(type))?.[0] ?? 0];
  if (!cells || !(greatest > least) || !Number.isFinite(greatest - least)) return { scale: 1, offset: 0 };
  return { scale: (greatest - least) / cells, offset: least + (greatest - least) / (2 * cells) };
}

function afterLines(bytes: Uint8Array, dataAt: number, lines: number): Uint8Array {
  if (!(Number.isInteger(lines) && lines >= 0 && lines < 1e6)) throw new BadInput(`This NRRD file has a damaged header: its line skip is ${lines} and should be a whole number from 0.`);
  let at = dataAt;
  for (let line = 0; line < lines; line++) {
    at = bytes.indexOf(10, at) + 1;
    if (at === 0) throw new BadInput(`This NRRD file is cut short: its data should begin after ${grouped(lines)} lines.`);
  }
  return bytes.subarray(at);
}

/** The samples' bytes; `skip` of them, unpacked, stand before (−1: whatever does). */
async function unpacked(source: Uint8Array, encoding: string, length: number, skip: number, inWords: string): Promise<Uint8Array> {
  let found: Uint8Array;
  if (encoding === 'raw') found = source;
  else if (encoding === 'gzip' || encoding === 'gz') found = await gunzip(source, length + Math.max(0, skip), inWords);
  else throw new BadInput(`This NRRD file is packed with "${encoding.slice(0, 20)}": raw, gzip and text can be read, so save it as one of these.`);
  const at = skip < 0 ? found.length - length : skip;
  if (at < 0 || found.length - at < length) {
    throw new BadInput(`This NRRD file is cut short: ${inWords} take ${grouped(length)} bytes, and ${grouped(Math.max(0, found.length - Math.max(0, skip)))} follow the header.`);
  }
  return found.subarray(at, at + length);
}

/** Packed bytes unpacked at a time: deflate makes at most 1032 bytes of one. */
const atATime = 4096;

async function gunzip(packed: Uint8Array, most: number, inWords: string): Promise<Uint8Array> {
  const { Gunzip } = await import('fflate');
  const out = new Uint8Array(most);
  let length = 0;
  const stream = new Gunzip((chunk) => {
    if (length + chunk.length > most) throw new BadInput(`This NRRD file is damaged: unpacked, it holds more than the ${grouped(most)} bytes of ${inWords}.`);
    out.set(chunk, length);
    length += chunk.length;
  });
  try {
    for (let at = 0; at < packed.length; at += atATime) stream.push(packed.subarray(at, at + atATime), at + atATime >= packed.length);
  } catch (error) {
    if (error instanceof BadInput) throw error;
    throw new BadInput(`This NRRD file cannot be unpacked (${(error as Error).message}): it is cut short or damaged.`);
  }
  return out.subarray(0, length);
}
