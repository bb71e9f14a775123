import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import { checkOpaque, greyOf, type Picture, type ToGrey } from './picture.ts';
import { step } from './tiff-unpack.ts';

const signature = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];

/** Does it begin as a PNG file? */
export function isPng(bytes: Uint8Array): boolean {
  return signature.every((byte, i) => bytes[i] === byte);
}

interface Header {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly colour: number;
  readonly interlaced: boolean;
}

const channelsOf: Record<number, number> = { 0: 1, 2: 3, 3: 1, 4: 2, 6: 4 };
const depthsOf: Record<number, number[]> = { 0: [1, 2, 4, 8, 16], 2: [8, 16], 3: [1, 2, 4, 8], 4: [8, 16], 6: [8, 16] };

/**
 * Reads a grey PNG of 1 to 16 bits: raw values, 0 to 2^bits − 1; gamma, colour profile and comments are ignored.
 * A colour or palette PNG whose pixels are all grey is taken as grey. An animation gives its still picture.
 * grey: what becomes of colour, greyOf when left out.
 * Throws BadInput: not PNG, cut short or damaged (checksums), coloured, transparent, too big for memoryLimit.
 * Source: PNG Specification, third edition (W3C); decoded by fast-png. The header is read first, and the compressed data are
 * measured before they are decoded, so that a small file cannot take more memory than its header says.
 */
export async function readPng(bytes: Uint8Array, { grey = greyOf }: { grey?: ToGrey } = {}): Promise<Picture> {
  const { header, essential, packed } = readChunks(bytes);
  const { width, height, depth, colour } = header;
  const channels = channelsOf[colour];
  checkMemory(width * height * channels, `A PNG of ${grouped(width)} × ${grouped(height)} pixels`);
  await checkUnpackedLength(packed, unpackedLength(header));

  const full = 2 ** depth - 1;
  const picture = (page: Float32Array): Picture => ({ width, height, pages: [page], bits: depth, sample: 'unsigned' });
  const { decode, convertIndexedToRgb } = await import('fast-png');
  let decoded;
  try {
    decoded = decode(essential, { checkCrc: true });
    if (colour === 3) {
      const rgb = convertIndexedToRgb(decoded);
      const perPixel = rgb.length / (width * height);
      if (perPixel === 4) checkOpaque(rgb, 4, 255, 'PNG');
      return { ...picture(grey(rgb, perPixel, width, height, 255, 'PNG')), bits: 8 };
    }
  } catch (error) {
    if (error instanceof BadInput) throw error;
    throw new BadInput(`This PNG is damaged (${(error as Error).message}): save it again.`);
  }
  const { data } = decoded;
  if (channels === 2 || channels === 4) checkOpaque(data, channels, full, 'PNG');
  if (channels >= 3) return picture(grey(data, channels, width, height, full, 'PNG'));
  if (depth < 8) return picture(unpackBits(data, width, height, depth));
  const page = new Float32Array(width * height);
  for (let i = 0; i < page.length; i++) page[i] = data[i * channels];
  return picture(page);
}

/** The header, and the file again with nothing but its picture: comments and profiles may be compressed too, and are not needed. */
function readChunks(bytes: Uint8Array): { header: Header; essential: Uint8Array; packed: Uint8Array[] } {
  if (!isPng(bytes)) throw new BadInput('This is not a PNG file: it does not begin with the bytes 89 50 4E 47 0D 0A 1A 0A.');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const kept: Uint8Array[] = [bytes.subarray(0, 8)];
  const packed: Uint8Array[] = [];
  let header: Header | undefined;
  for (let at = 8; ; ) {
    if (at + 12 > bytes.length) throw new BadInput(`This PNG is cut short: it ends after ${grouped(bytes.length)} bytes, before its end mark (IEND).`);
    const length = view.getUint32(at);
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    const end = at + 12 + length;
    if (end > bytes.length) throw new BadInput(`This PNG is cut short: a part named ${type} of ${grouped(length)} bytes begins at byte ${grouped(at)}, and the file ends at ${grouped(bytes.length)}.`);
    if (!header) header = headerOf(type, length, view, at + 8);
    if (['IHDR', 'PLTE', 'tRNS', 'IDAT', 'IEND'].includes(type)) kept.push(bytes.subarray(at, end));
    if (type === 'IDAT') packed.push(bytes.subarray(at + 8, at + 8 + length));
    if (type === 'IEND') break;
    at = end;
  }
  return { header, essential: joined(kept), packed };
}

function headerOf(type: string, length: number, view: DataView, at: number): Header {
  if (type !== 'IHDR' || length !== 13) throw new BadInput('This PNG is damaged: it does not begin with its header (IHDR).');
  const [width, height, depth, colour] = [view.getUint32(at), view.getUint32(at + 4), view.getUint8(at + 8), view.getUint8(at + 9)];
  const interlaced = view.getUint8(at + 12) === 1;
  if (width === 0 || height === 0 || !depthsOf[colour]?.includes(depth)) {
    throw new BadInput(`This PNG is damaged: its header says ${width} × ${height} pixels of ${depth} bits and colour type ${colour}, which does not exist.`);
  }
  if (interlaced && depth < 8) throw new BadInput(`This PNG is interlaced with ${depth} bits a pixel, which cannot be read: save it without interlacing.`);
  return { width, height, depth, colour, interlaced };
}

function joined(parts: readonly Uint8Array[]): Uint8Array {
  const whole = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}

/** Bytes of all scan lines with their filter bytes; interlaced pictures are seven smaller ones (Adam7). */
function unpackedLength({ width, height, depth, colour, interlaced }: Header): number {
  const lines = (w: number, h: number) => (w > 0 && h > 0 ? h * (1 + Math.ceil((w * depth * channelsOf[colour]) / 8)) : 0);
  if (!interlaced) return lines(width, height);
  const passes = [[0, 0, 8, 8], [4, 0, 8, 8], [0, 4, 4, 8], [2, 0, 4, 4], [0, 2, 2, 4], [1, 0, 2, 2], [0, 1, 1, 2]];
  return passes.reduce((sum, [x, y, dx, dy]) => sum + lines(Math.ceil((width - x) / dx), Math.ceil((height - y) / dy)), 0);
}

/** Unpacks in small steps, keeping nothing, to see that the data are as long as the header says. */
async function checkUnpackedLength(packed: readonly Uint8Array[], expected: number): Promise<void> {
  const { Unzlib } = await import('fflate');
  let length = 0;
  const inflate = new Unzlib((chunk) => (length += chunk.length));
  try {
    for (const part of packed) {
      for (let at = 0; at < part.length; at += step) {
        inflate.push(part.subarray(at, at + step));
        if (length > expected) throw new BadInput(`This PNG is damaged: its data are longer than the ${grouped(expected)} bytes that its header promises.`);
      }
    }
    inflate.push(new Uint8Array(0), true);
  } catch (error) {
    if (error instanceof BadInput) throw error;
    throw new BadInput(`This PNG is cut short or damaged: its data cannot be unpacked (${(error as Error).message}).`);
  }
  if (length < expected) throw new BadInput(`This PNG is cut short: its header promises ${grouped(expected)} bytes of picture, and ${grouped(length)} are there.`);
}

/** 1, 2 or 4 bits a pixel, the leftmost in the highest bits, each row begun on a new byte. */
function unpackBits(data: ArrayLike<number>, width: number, height: number, depth: number): Float32Array {
  const grey = new Float32Array(width * height);
  const stride = Math.ceil((width * depth) / 8);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const bit = column * depth;
      grey[row * width + column] = (data[row * stride + (bit >> 3)] >> (8 - depth - (bit & 7))) & (2 ** depth - 1);
    }
  }
  return grey;
}
