import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import { checkOpaque, greyOf, type Picture, type ToGrey } from './picture.ts';
import { tiffDirectory, type TiffPage } from './tiff-directory.ts';
import { tiffUnpack } from './tiff-unpack.ts';

/**
 * Reads a grey TIFF of one or several pages of one size: integers of 8, 16 or 32 bits, signed or not, floats of 16, 32 or 64 bits,
 * either byte order, strips or tiles, uncompressed or LZW, deflate, PackBits. The result is float32: raw values, except that
 * unsigned values stored with white as zero are turned round (2^bits − 1 − v). A colour picture whose pixels are all grey is
 * taken as grey. Small copies (thumbnails) are left out.
 * grey: what becomes of colour, greyOf when left out.   turned: take pixels that are stored turned or mirrored, as they are stored.
 * Throws BadInput: see tiffDirectory; also coloured, transparent, pages of different sizes, too big for memoryLimit.
 * Source: TIFF revision 6.0; pixels decoded by geotiff, after tiffDirectory has checked every offset.
 */
export async function readTiff(bytes: Uint8Array, { grey = greyOf, turned = false }: { grey?: ToGrey; turned?: boolean } = {}): Promise<Picture> {
  const { pages: all } = tiffDirectory(bytes, turned);
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
    for (const { page, index } of chosen) pages.push(greyPage(page, await pixels(file, index), grey));
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

function greyPage(page: TiffPage, samples: ArrayLike<number>, toGrey: ToGrey): Float32Array {
  const { width, height, channels, bits, photometric } = page;
  const full = page.sample === 'float' ? 1 : page.sample === 'signed' ? 2 ** (bits - 1) - 1 : 2 ** bits - 1;
  if (channels === 2 || channels === 4) checkOpaque(samples, channels, full, 'TIFF');
  if (photometric === 2) return toGrey(samples, channels, width, height, full, 'TIFF');
  const grey = new Float32Array(width * height);
  for (let i = 0; i < grey.length; i++) grey[i] = photometric === 0 ? full - samples[i * channels] : samples[i * channels];
  return grey;
}
