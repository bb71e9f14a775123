import { BadInput } from './bad-input.ts';
import { grouped } from './memory-limit.ts';

/** What the directory of one page says, before any pixel is decoded. */
export interface TiffPage {
  readonly width: number;
  readonly height: number;
  readonly bits: number;
  readonly sample: 'unsigned' | 'signed' | 'float';
  /** Samples a pixel: 1 grey, 3 red, green and blue; more with an alpha channel. */
  readonly channels: number;
  readonly photometric: number;
  readonly compression: number;
  /** Width and height of a tile, or of a strip, pixels. */
  readonly block: readonly [number, number];
  /** A small copy of another page. */
  readonly thumbnail: boolean;
}

export interface TiffDirectory {
  readonly little: boolean;
  readonly pages: TiffPage[];
}

/** Bytes of one value of field types 1 to 12. */
const sizes = [0, 1, 1, 2, 4, 8, 1, 1, 2, 4, 8, 4, 8];
const mostPages = 65536;
const compressions: Record<number, string> = {
  2: 'fax', 3: 'fax', 4: 'fax', 6: 'JPEG', 7: 'JPEG', 34712: 'JPEG 2000', 34887: 'LERC', 34925: 'LZMA', 50000: 'Zstandard', 50001: 'WebP',
};

/**
 * Walks the directories of a TIFF and checks that everything they point to lies within the file, without decoding it.
 * turned: let pictures pass that are stored turned or mirrored.
 * Throws BadInput: not TIFF, cut short, a directory that leads back to itself, a kind of picture that readTiff does not read.
 * Source: TIFF revision 6.0 (Adobe, 1992), sections 2 and 8.
 */
export function tiffDirectory(bytes: Uint8Array, turned = false): TiffDirectory {
  if (!isTiff(bytes)) throw new BadInput('This is not a TIFF file: it does not begin with the bytes 49 49 2A 00 or 4D 4D 00 2A.');
  if (bytes.length < 8) throw new BadInput(`This TIFF is cut short: it ends inside its header, after ${bytes.length} bytes.`);
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const little = bytes[0] === 0x49;
  if (view.getUint16(2, little) === 43) throw new BadInput('This is a BigTIFF, which cannot be read: save it as an ordinary TIFF.');
  const pages: TiffPage[] = [];
  const seen = new Set<number>();
  let pointedTo = 0;
  for (let at = view.getUint32(4, little); at !== 0; ) {
    if (seen.has(at)) throw new BadInput(`This TIFF is damaged: after page ${pages.length} its list of pages leads back to an earlier one.`);
    if (seen.size >= mostPages) throw new BadInput(`This TIFF has more than ${grouped(mostPages)} pages: split it.`);
    seen.add(at);
    const page = readDirectory(view, little, at, pages.length + 1, turned);
    pointedTo += page.pointedTo;
    // Many entries that share the same bytes would be read over and over.
    if (pointedTo > 4 * bytes.length + 65536) throw new BadInput('This TIFF is damaged: its directories point to more than the file holds.');
    pages.push(page.page);
    at = page.next;
  }
  if (pages.length === 0) throw new BadInput('This TIFF is damaged: it has no page.');
  return { little, pages };
}

/** Does it begin as a TIFF file (or BigTIFF)? */
export function isTiff(bytes: Uint8Array): boolean {
  const [a, b, c, d] = bytes;
  return (a === 0x49 && b === 0x49 && (c === 42 || c === 43) && d === 0) || (a === 0x4d && b === 0x4d && c === 0 && (d === 42 || d === 43));
}

function readDirectory(view: DataView, little: boolean, at: number, pageNumber: number, turned: boolean): { page: TiffPage; next: number; pointedTo: number } {
  const where = `page ${pageNumber} of this TIFF`;
  const within = (offset: number, length: number, what: string) => {
    if (offset + length > view.byteLength) {
      throw new BadInput(`This TIFF is cut short: ${what} of page ${pageNumber} should reach byte ${grouped(offset + length)}, and the file ends at ${grouped(view.byteLength)}.`);
    }
  };
  within(at, 2, 'the directory');
  const entries = view.getUint16(at, little);
  within(at, 2 + 12 * entries + 4, 'the directory');

  const fields = new Map<number, { type: number; count: number; offset: number }>();
  let pointedTo = 0;
  for (let i = 0; i < entries; i++) {
    const entry = at + 2 + 12 * i;
    const [tag, type, count] = [view.getUint16(entry, little), view.getUint16(entry + 2, little), view.getUint32(entry + 4, little)];
    const length = (sizes[type] ?? 0) * count;
    if (!sizes[type]) throw new BadInput(`This TIFF is damaged: entry ${tag} of page ${pageNumber} has field type ${type}, which does not exist.`);
    const offset = length <= 4 ? entry + 8 : view.getUint32(entry + 8, little);
    within(offset, length, `entry ${tag}`);
    pointedTo += length;
    fields.set(tag, { type, count, offset });
  }
  const values = (tag: number): number[] | undefined => {
    const field = fields.get(tag);
    if (!field) return undefined;
    const read = { 1: 'getUint8', 3: 'getUint16', 4: 'getUint32' }[field.type] as 'getUint16' | undefined;
    if (!read) throw new BadInput(`This TIFF is damaged: entry ${tag} of page ${pageNumber} is not a whole number.`);
    return Array.from({ length: field.count }, (_, i) => view[read](field.offset + i * sizes[field.type], little));
  };
  const one = (tag: number, otherwise: number) => values(tag)?.[0] ?? otherwise;

  const [width, height] = [one(256, 0), one(257, 0)];
  if (width === 0 || height === 0) throw new BadInput(`This TIFF is damaged: page ${pageNumber} is ${width} × ${height} pixels.`);
  const channels = one(277, 1);
  const bits = values(258) ?? [1];
  const format = values(339) ?? [1];
  if ([...bits, ...format].length > 64 || bits.some((b) => b !== bits[0]) || format.some((f) => f !== format[0])) {
    throw new BadInput(`${where} has channels of different kinds: save it as a grey picture.`);
  }
  const sample = { 1: 'unsigned', 2: 'signed', 3: 'float', 4: 'unsigned' }[format[0]] as TiffPage['sample'] | undefined;
  if (!sample || !(sample === 'float' ? [16, 32, 64] : [8, 16, 32]).includes(bits[0])) {
    throw new BadInput(`${capital(where)} has samples of ${bits[0]} bits in format ${format[0]}: integers of 8, 16 or 32 bits and floats of 16, 32 or 64 bits can be read.`);
  }
  const compression = one(259, 1);
  if (![1, 5, 8, 32946, 32773].includes(compression)) {
    throw new BadInput(`${capital(where)} is compressed with ${compressions[compression] ?? `method ${compression}`}: save it uncompressed, or with LZW, deflate or PackBits.`);
  }
  const photometric = one(262, 1);
  if (photometric > 2) throw new BadInput(`${capital(where)} is a colour picture (photometric ${photometric}): a sinogram needs one grey value a pixel, so save it in greyscale.`);
  if (photometric === 0 && sample !== 'unsigned') throw new BadInput(`${capital(where)} says that white is zero and holds ${sample} samples: save it with black as zero.`);
  if (channels > 4 || (photometric === 2 && channels < 3) || (photometric < 2 && channels > 2) || bits.length !== channels) {
    throw new BadInput(`${capital(where)} has ${channels} channels: save it as a grey picture.`);
  }
  if (!turned && one(274, 1) !== 1) throw new BadInput(`${capital(where)} is stored turned or mirrored (orientation ${one(274, 1)}): save it upright.`);
  if (one(317, 1) !== 1 && !little) throw new BadInput(`${capital(where)} is big-endian and compressed with a predictor: save it uncompressed.`);
  if (one(284, 1) === 2 && channels > 1) throw new BadInput(`${capital(where)} keeps its channels apart: save it as a grey picture.`);

  const tiled = fields.has(322) && !fields.has(273);
  const block: [number, number] = tiled ? [one(322, 0), one(323, 0)] : [width, Math.min(height, one(278, height) || height)];
  if (tiled && block.some((edge) => edge < 1 || edge > 65536)) throw new BadInput(`This TIFF is damaged: page ${pageNumber} has tiles of ${block[0]} × ${block[1]} pixels.`);
  const needed = Math.ceil(width / block[0]) * Math.ceil(height / block[1]);
  const [offsets, lengths] = [values(tiled ? 324 : 273) ?? [], values(tiled ? 325 : 279) ?? []];
  if (offsets.length !== needed || lengths.length !== needed) {
    throw new BadInput(`This TIFF is damaged: page ${pageNumber} needs ${grouped(needed)} pieces of picture, and its directory lists ${grouped(Math.min(offsets.length, lengths.length))}.`);
  }
  offsets.forEach((offset, i) => within(offset, Math.max(1, lengths[i]), 'the picture'));

  const page = { width, height, bits: bits[0], sample, channels, photometric, compression, block, thumbnail: (one(254, 0) & 1) === 1 };
  return { page, next: view.getUint32(at + 2 + 12 * entries, little), pointedTo };
}

const capital = (text: string) => text[0].toUpperCase() + text.slice(1);
