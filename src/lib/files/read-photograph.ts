import { BadInput } from './bad-input.ts';
import { pngOrientation, tiffOrientation, upright, type Orientation8 } from './exif-orientation.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import { takeChannel, type Channel, type Photograph } from './photograph.ts';
import { isJpeg, readJpeg } from './read-jpeg.ts';
import { isPng, readPng } from './read-png.ts';
import { readTiff } from './read-tiff.ts';
import { isTiff } from './tiff-directory.ts';

/** Red, green, blue and opacity, a byte each, row 0 at the top: what a page's own decoder gives. */
export interface ColourPixels {
  readonly width: number;
  readonly height: number;
  readonly data: Uint8Array | Uint8ClampedArray;
}

export interface ReadPhotographOptions {
  /** Of a colour photograph, the channel that is taken; green when left out. */
  readonly channel?: Channel;
  /** Decodes what is not read here (WebP and AVIF, say), upright; a page has one in its browser. It may throw. */
  readonly decode?: (bytes: Uint8Array, name: string) => Promise<ColourPixels>;
}

/**
 * Reads a photograph from JPEG, PNG (8 or 16 bits) or TIFF, told apart by its content, and puts it upright as its Exif says.
 * Of colour, one channel is taken (see takeChannel). name: the file's; it begins the sentence when reading fails.
 * Throws BadInput: not a picture, damaged, cut short, too big for memoryLimit, transparent, holding numbers that are not finite;
 * a HEIC or a camera's raw file, with the way to export it; WebP and AVIF, where there is no options.decode.
 */
export async function readPhotograph(bytes: Uint8Array, name: string, { channel = 'green', decode }: ReadPhotographOptions = {}): Promise<Photograph> {
  try {
    if (bytes.length === 0) throw new BadInput('This file is empty (0 bytes).');
    const stranger = strangerOf(bytes, name);
    if (stranger && (stranger.kind === 'export' || !decode)) throw new BadInput(stranger.sentence);
    if (stranger) return photographOf(await decoded(decode!, bytes, name), { channel });
    const means: { channels?: Photograph['channels'] } = {};
    const grey = takeChannel(channel, means);
    if (isJpeg(bytes)) {
      const { orientation, channels, ...jpeg } = await readJpeg(bytes, channel);
      return finished(jpeg, orientation, { full: 255, bits: 8, near: 254, encoding: 'srgb', channels });
    }
    if (isPng(bytes)) {
      const { pages, bits, ...size } = await readPng(bytes, { grey });
      const full = 2 ** bits - 1;
      return finished({ ...size, data: pages[0] }, pngOrientation(bytes), { full, bits, near: full, encoding: pngEncoding(bytes, bits), ...means });
    }
    if (isTiff(bytes)) {
      const { pages, bits, sample, ...size } = await readTiff(bytes, { grey, turned: true });
      if (pages.length !== 1) throw new BadInput(`This TIFF has ${grouped(pages.length)} pages, and a photograph has one: save each page as a file of its own.`);
      const full = sample === 'float' ? 1 : sample === 'signed' ? 2 ** (bits - 1) - 1 : 2 ** bits - 1;
      const near = sample === 'float' ? Infinity : full;
      return finished({ ...size, data: pages[0] }, tiffOrientation(bytes), { full, bits, near, encoding: sample === 'float' ? 'linear' : bits === 8 ? 'srgb' : 'unknown', ...means });
    }
    throw new BadInput('This is not a photograph that can be read: JPEG, PNG and TIFF can.');
  } catch (error) {
    if (error instanceof BadInput && !error.message.startsWith(`${name}: `)) throw new BadInput(`${name}: ${error.message}`);
    throw error;
  }
}

/** The photograph in pixels that something else has decoded, upright, 8 bits a channel: a browser's picture, a frame of a video. */
export function photographOf({ width, height, data }: ColourPixels, { channel = 'green' }: { channel?: Channel } = {}): Photograph {
  if (data.length !== 4 * width * height) throw new RangeError(`a picture of ${width} × ${height} has ${4 * width * height} bytes of colour and opacity, not ${data.length}`);
  const means: { channels?: Photograph['channels'] } = {};
  const grey = takeChannel(channel, means)(data, 4, width, height, 255, 'picture');
  return finished({ width, height, data: grey }, 1, { full: 255, bits: 8, near: 254, encoding: 'srgb', ...means });
}

interface Facts {
  /** The value at full scale, and the least that counts as saturated. */
  readonly full: number;
  readonly near: number;
  readonly bits: number;
  readonly encoding: Photograph['encoding'];
  readonly channels?: Photograph['channels'];
}

/** Upright, in shares of full scale, counted and checked. The data are changed in place. */
function finished(picture: { width: number; height: number; data: Float32Array }, orientation: Orientation8, { full, near, bits, encoding, channels }: Facts): Photograph {
  const { width, height, data } = upright(picture.width, picture.height, picture.data, orientation);
  let saturated = 0;
  for (let i = 0; i < data.length; i++) {
    if (!Number.isFinite(data[i])) throw new BadInput(`This picture holds ${data[i]} in row ${grouped(Math.floor(i / width) + 1)}, column ${grouped((i % width) + 1)}: every pixel must be a finite number.`);
    if (data[i] >= near) saturated++;
    data[i] /= full;
  }
  return { width, height, data, bits, saturated, encoding, ...(channels ? { channels } : {}) };
}

async function decoded(decode: NonNullable<ReadPhotographOptions['decode']>, bytes: Uint8Array, name: string): Promise<ColourPixels> {
  let pixels: ColourPixels;
  try {
    pixels = await decode(bytes, name);
  } catch (error) {
    throw new BadInput(`This picture cannot be decoded here (${(error as Error).message}): save it as JPEG or PNG.`);
  }
  checkMemory(pixels.width * pixels.height * 2, `A picture of ${grouped(pixels.width)} × ${grouped(pixels.height)} pixels`);
  return pixels;
}

/** sRGB unless the PNG says that its samples are proportional to light; 16 bits may be either. Source: PNG, third edition, gAMA and sRGB. */
function pngEncoding(bytes: Uint8Array, bits: number): Photograph['encoding'] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (type === 'sRGB') return 'srgb';
    if (type === 'gAMA' && length === 4 && at + 12 <= bytes.length) return view.getUint32(at + 8) === 100000 ? 'linear' : 'srgb';
    if (type === 'IDAT') break;
    at += 12 + length;
  }
  return bits > 8 ? 'unknown' : 'srgb';
}

const rawEndings = /\.(3fr|arw|cr2|cr3|crw|dcr|dng|erf|iiq|kdc|mef|mos|mrw|nef|nrw|orf|pef|raf|raw|rw2|rwl|sr2|srf|srw|x3f)$/i;

/** A file of a kind that is known and not read here. 'decode': the browser may know how; 'export': something else has to be done first. */
function strangerOf(bytes: Uint8Array, name: string): { kind: 'export' | 'decode'; sentence: string } | undefined {
  const start = String.fromCharCode(...bytes.subarray(0, 16));
  const box = start.slice(4, 8) === 'ftyp' ? start.slice(8, 12) : '';
  if (/^(heic|heix|hevc|hevx|heim|heis|mif1|msf1)$/.test(box)) {
    return { kind: 'export', sentence: 'This is a HEIC photograph, which cannot be read: export it as JPEG (a phone has the setting “most compatible”, and its picture viewer can convert), all frames in the same way.' };
  }
  if (box.startsWith('crx') || /^(IIRO|IIRS|IIU\0|MMOR|FUJIFILMCCD-RAW|FOVb)/.test(start) || start.slice(8, 10) === 'CR' || rawEndings.test(name)) {
    return { kind: 'export', sentence: 'This is a camera’s raw file, which cannot be read: develop it to a 16-bit linear TIFF or PNG (no tone curve, one white balance and exposure for all frames).' };
  }
  if (box === 'avif' || box === 'avis') return { kind: 'decode', sentence: 'This is an AVIF picture, which only a browser can read: save it as JPEG or PNG.' };
  if (start.startsWith('RIFF') && start.slice(8, 12) === 'WEBP') return { kind: 'decode', sentence: 'This is a WebP picture, which only a browser can read: save it as JPEG or PNG.' };
  if (/^(qt  |isom|iso\d|mp4\d|M4V |avc1|3gp)/.test(box) || start.startsWith('\x1a\x45\xdf\xa3')) {
    return { kind: 'export', sentence: 'This is a video, not a photograph: choose it as a video, so that frames can be picked from it.' };
  }
  if (start.startsWith('GIF8')) return { kind: 'decode', sentence: 'This is a GIF picture, which has too few greys: save the photograph as JPEG or PNG.' };
  if (start.startsWith('BM') && /\.(bmp|dib)$/i.test(name)) return { kind: 'decode', sentence: 'This is a BMP picture, which only a browser can read: save it as PNG.' };
  return undefined;
}
