import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import { checkOpaque, greyOf, type Picture } from './picture.ts';
import { tiffDirectory, type TiffPage } from './tiff-directory.ts';
import { tiffUnpack } from './tiff-unpack.ts';

/**
 * Reads a grey TIFF of one or several pages of one size: integers of 8, 16 or 32 bits, signed or not, floats of 16, 32 or 64 bits,
 * either byte order, strips or tiles, uncompressed or LZW, deflate, PackBits. The result is float32: raw values, except that
 * unsigned values stored with white as zero are turned round (2^bits − 1 − v). A colour picture whose pixels are all grey is
 * taken as grey. Small copies (thumbnails) are left out.
 * Throws BadInput: see tiffDirectory; also coloured, transparent, pages of different sizes, too big for memoryLimit.
 * Source: TIFF revision 6.0; pixels decoded by geotiff, after tiffDirectory has checked every offset.
 */
export async function readTiff(bytes: Uint8Array): Promise<Picture> {
  const { pages: all } = tiffDirectory(bytes);
  const chosen = all.map((page, index) => ({ page, index })).filter(({ page }) => !page.thumbnail);
  if (chosen.length === 0) throw new BadInput('This TIFF holds nothing but thumbnails: save the full picture.');
  const { width, height, bits, sample } = chosen[0].page;
  for (const { page, index } of chosen) {
    if (page.width !== width || page.height !== height) {
      throw new BadInput(`This TIFF has pages of different sizes: page ${chosen[0].index + 1} is ${width} × ${height} pixels and page ${index + 1} is ${page.width} × ${page.height}.`);
    }
  }
  const what = chosen.length === 1 ? 'A TIFF' : `A TIFF of ${grouped(chosen.length)} pages`;
  checkMemory(width * height * Math.max(1, chosen[0].page.channels) * chosen.length, `${what} of ${grouped(width)} × ${grouped(height)} pixels`);
  for (const page of all) checkMemory(page.block[0] * page.block[1] * page.channels, `A TIFF with tiles of ${grouped(page.block[0])} × ${grouped(page.block[1])} pixels`);

  const pages: Float32Array[] = [];
  try {
    const file = await open(bytes);
    for (const { page, index } of chosen) pages.push(greyPage(page, await pixels(file, index)));
  } catch (error) {
    if (error instanceof BadInput) throw error;
    throw new BadInput(`This TIFF is cut short or damaged (${(error as Error).message}): save it again.`);
  }
  return { width, height, pages, bits, sample };
}

type File = Awaited<ReturnType<typeof import('geotiff')['fromArrayBuffer']>>;

async function open(bytes: Uint8Array): Promise<File> {
  const { fromArrayBuffer, addDecoder, BaseDecoder } = await import('geotiff');
  // Ours know when to stop; see tiffUnpack.
  class Bounded extends BaseDecoder {
    async decodeBlock(packed: ArrayBuffer): Promise<ArrayBuffer> {
      const { compression, most } = this.parameters as unknown as { compression: number; most: number };
      const block = await tiffUnpack(new Uint8Array(packed), compression, most);
      return block.slice().buffer as ArrayBuffer;
    }
  }
  for (const compression of [5, 8, 32946, 32773]) {
    addDecoder(compression, () => Promise.resolve(Bounded), async (directory) => {
      const value = async (tag: string) => Number(await directory.loadValue(tag as 'ImageWidth'));
      const tiled = !directory.hasTag('StripOffsets');
      const tileWidth = await value(tiled ? 'TileWidth' : 'ImageWidth');
      const height = await value('ImageLength');
      const tileHeight = tiled ? await value('TileLength') : Math.min(height, (await value('RowsPerStrip')) || height);
      const bitsPerSample = (await directory.loadValue('BitsPerSample')) as ArrayLike<number>;
      const predictor = Number((await directory.loadValue('Predictor')) ?? 1);
      const most = tileWidth * tileHeight * bitsPerSample.length * (bitsPerSample[0] / 8);
      return { tileWidth, tileHeight, predictor, bitsPerSample: Array.from(bitsPerSample), planarConfiguration: 1, compression, most };
    });
  }
  const whole = bytes.byteLength === bytes.buffer.byteLength && bytes.buffer instanceof ArrayBuffer ? bytes.buffer : (bytes.slice().buffer as ArrayBuffer);
  const file = await fromArrayBuffer(whole);
  // Its arrays that are read when needed are read as little-endian whatever the file is; so read them at once.
  (file as unknown as { parser: { eager: boolean } }).parser.eager = true;
  return file;
}

async function pixels(file: File, index: number): Promise<ArrayLike<number>> {
  const image = await file.getImage(index);
  return (await image.readRasters({ interleave: true })) as unknown as ArrayLike<number>;
}

function greyPage(page: TiffPage, samples: ArrayLike<number>): Float32Array {
  const { width, height, channels, bits, photometric } = page;
  const full = page.sample === 'float' ? 1 : page.sample === 'signed' ? 2 ** (bits - 1) - 1 : 2 ** bits - 1;
  if (channels === 2 || channels === 4) checkOpaque(samples, channels, full, 'TIFF');
  if (photometric === 2) return greyOf(samples, channels, width, height, full, 'TIFF');
  const grey = new Float32Array(width * height);
  for (let i = 0; i < grey.length; i++) grey[i] = photometric === 0 ? full - samples[i * channels] : samples[i * channels];
  return grey;
}

/** What writeTiff can write. */
export type TiffSample = 'float32' | 'uint16' | 'uint8';

/**
 * Writes a grey TIFF, little-endian, uncompressed, one strip a page. Integer samples are rounded and held at the ends of their range.
 * pages: one array of width · height values each, row 0 at the top.   description: kept in the file's ImageDescription, ASCII.
 * Throws RangeError: no page, a page that does not fill the picture, a file of more than 4 GB.
 * Source: TIFF revision 6.0, sections 2–4 and 19 (SampleFormat).
 */
export function writeTiff(width: number, height: number, pages: readonly ArrayLike<number>[], sample: TiffSample = 'float32', description = ''): Uint8Array {
  const wrong = pages.find((page) => page.length !== width * height);
  if (pages.length === 0 || wrong) throw new RangeError(`pages of ${width} × ${height} need ${width * height} values each; there are ${pages.length} pages${wrong ? `, one of ${wrong.length}` : ''}`);
  const bytesPerSample = { float32: 4, uint16: 2, uint8: 1 }[sample];
  const text = new TextEncoder().encode(description ? `${description.replace(/[^\x20-\x7e\n]/g, '?')}\0` : '');
  const entries = text.length > 0 ? 12 : 11;
  const directoryLength = 2 + 12 * entries + 4;
  const pixelBytes = width * height * bytesPerSample;
  const even = (length: number) => length + (length % 2);
  const pageLength = directoryLength + even(pixelBytes);
  const textAt = 8;
  const first = textAt + even(text.length);
  const total = first + pages.length * pageLength;
  if (total >= 2 ** 32) throw new RangeError(`a TIFF holds at most 4 GB, and this one would take ${grouped(total)} bytes`);

  const bytes = new Uint8Array(total);
  const view = new DataView(bytes.buffer);
  bytes.set([0x49, 0x49, 42, 0]);
  view.setUint32(4, first, true);
  bytes.set(text, textAt);
  pages.forEach((page, p) => {
    const at = first + p * pageLength;
    const pixelsAt = at + directoryLength;
    view.setUint16(at, entries, true);
    let entry = at + 2;
    const field = (tag: number, type: 2 | 3 | 4, value: number, count = 1) => {
      view.setUint16(entry, tag, true);
      view.setUint16(entry + 2, type, true);
      view.setUint32(entry + 4, count, true);
      view.setUint32(entry + 8, value, true);
      entry += 12;
    };
    field(256, 4, width);
    field(257, 4, height);
    field(258, 3, bytesPerSample * 8);
    field(259, 3, 1);
    field(262, 3, 1);
    if (text.length > 4) field(270, 2, textAt, text.length);
    else if (text.length > 0) field(270, 2, view.getUint32(textAt, true), text.length);
    field(273, 4, pixelsAt);
    field(277, 3, 1);
    field(278, 4, height);
    field(279, 4, pixelBytes);
    field(284, 3, 1);
    field(339, 3, sample === 'float32' ? 3 : 1);
    view.setUint32(entry, p + 1 < pages.length ? at + pageLength : 0, true);
    const full = 2 ** (8 * bytesPerSample) - 1;
    const whole = (value: number) => Math.min(full, Math.max(0, Math.round(value) || 0));
    for (let i = 0; i < page.length; i++) {
      if (sample === 'float32') view.setFloat32(pixelsAt + 4 * i, page[i], true);
      else if (sample === 'uint16') view.setUint16(pixelsAt + 2 * i, whole(page[i]), true);
      else bytes[pixelsAt + i] = whole(page[i]);
    }
  });
  return bytes;
}
