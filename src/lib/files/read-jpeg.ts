import { BadInput } from './bad-input.ts';
import { tiffOrientation, type Orientation8 } from './exif-orientation.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import type { Channel, Photograph } from './photograph.ts';

/** Does it begin as a JPEG file? */
export function isJpeg(bytes: Uint8Array): boolean {
  return bytes[0] === 0xff && bytes[1] === 0xd8 && bytes[2] === 0xff;
}

/** One channel of a JPEG as it is stored: values 0 to 255, row 0 the first in the file, which orientation may say is not the top. */
export interface JpegPicture {
  readonly width: number;
  readonly height: number;
  readonly data: Float32Array;
  readonly orientation: Orientation8;
  /** Means of a colour picture, shares of 255. */
  readonly channels?: Photograph['channels'];
}

/**
 * Reads a JPEG of 8 bits, grey or colour, baseline or progressive. Colour profiles and comments are ignored.
 *   R = Y + 1.402 (Cr − 128)     G = Y − 0.344136 (Cb − 128) − 0.714136 (Cr − 128)     B = Y + 1.772 (Cb − 128)
 * held within 0…255 and not rounded: cutting the fraction off would darken every pixel by half a step.
 * Throws BadInput: not JPEG, cut short or damaged, 12 bits, lossless or arithmetic coding, four channels (print colours), too big for
 * memoryLimit while it is decoded.
 * Source: ITU-T T.81 (1992) for the parts, which are walked through first; T.871 (2011) for the colours; decoded by jpeg-js.
 */
export async function readJpeg(bytes: Uint8Array, channel: Channel): Promise<JpegPicture> {
  const { width, height, components, samples, orientation, adobe, inRgb } = jpegHeader(bytes);
  const pixels = width * height;
  // While decoding: a 32-bit number for each sample, then samples, channels twice, and the picture that is kept.
  checkMemory(samples + samples / 4 + 1.5 * pixels + pixels, `A JPEG of ${grouped(width)} × ${grouped(height)} pixels`);
  const decode = ((jpeg) => jpeg.default?.decode ?? jpeg.decode)((await import('jpeg-js')) as JpegModule);
  let stored = bytes;
  if (adobe.length > 0) {
    // The decoder would follow Adobe's mark and round the colours down; under another number it passes the mark over.
    stored = bytes.slice();
    for (const at of adobe) stored[at + 1] = 0xef;
  }
  let decoded;
  try {
    // Tolerant of a last restart interval that is not full; what is cut short still fails, for want of the marker behind it.
    decoded = decode(stored, { useTArray: true, formatAsRGBA: false, colorTransform: false, tolerantDecoding: true, maxResolutionInMP: 500, maxMemoryUsageInMB: 1500 });
  } catch (error) {
    throw new BadInput(`This JPEG is cut short or damaged (${(error as Error).message}): copy it from the camera again.`);
  }
  if (decoded.width !== width || decoded.height !== height) throw new BadInput('This JPEG is damaged: it states its size twice, and differently.');
  const data = new Float32Array(pixels);
  if (components === 1) {
    for (let i = 0; i < pixels; i++) data[i] = decoded.data[3 * i];
    return { width, height, data, orientation };
  }
  const means = inRgb ? takeRgb(decoded.data, channel, data) : takeYcc(decoded.data, channel, data);
  const [red, green, blue] = means;
  return { width, height, data, orientation, channels: { red, green, blue } };
}

/** Writes one of the stored channels into `data`; gives the means of all, as shares of 255. */
function takeRgb(rgb: Uint8Array, channel: Channel, data: Float32Array): number[] {
  const sums = [0, 0, 0];
  const chosen = ['red', 'green', 'blue'].indexOf(channel);
  for (let i = 0; i < data.length; i++) {
    for (let c = 0; c < 3; c++) sums[c] += rgb[3 * i + c];
    data[i] = rgb[3 * i + chosen];
  }
  return sums.map((sum) => sum / (255 * data.length));
}

/** The same from brightness and two differences of colour. */
function takeYcc(ycc: Uint8Array, channel: Channel, data: Float32Array): number[] {
  const within = (value: number) => (value < 0 ? 0 : value > 255 ? 255 : value);
  const chosen = ['red', 'green', 'blue'].indexOf(channel);
  let reds = 0, greens = 0, blues = 0;
  for (let i = 0; i < data.length; i++) {
    const y = ycc[3 * i], cb = ycc[3 * i + 1] - 128, cr = ycc[3 * i + 2] - 128;
    const red = within(y + 1.402 * cr);
    const green = within(y - 0.344136 * cb - 0.714136 * cr);
    const blue = within(y + 1.772 * cb);
    reds += red;
    greens += green;
    blues += blue;
    data[i] = chosen === 0 ? red : chosen === 1 ? green : blue;
  }
  return [reds, greens, blues].map((sum) => sum / (255 * data.length));
}

type JpegModule = typeof import('jpeg-js') & { default?: typeof import('jpeg-js') };

interface JpegHeader {
  readonly width: number;
  readonly height: number;
  readonly components: number;
  /** Samples of all components, each in whole blocks of 8 × 8. */
  readonly samples: number;
  /** Whether the three are red, green and blue themselves, as Adobe's mark or their names say. */
  readonly inRgb: boolean;
  /** Where Adobe's marks are. */
  readonly adobe: readonly number[];
  readonly orientation: Orientation8;
}

type Frame = Pick<JpegHeader, 'width' | 'height' | 'components' | 'samples' | 'inRgb'>;

const mostScans = 200;
const unread: Record<number, string> = { 0xc3: 'is lossless', 0xc5: 'is hierarchical', 0xc6: 'is hierarchical', 0xc7: 'is hierarchical and lossless', 0xc9: 'uses arithmetic coding', 0xca: 'uses arithmetic coding', 0xcb: 'is lossless', 0xcd: 'is hierarchical', 0xce: 'is hierarchical', 0xcf: 'is hierarchical' };

/** Walks through the parts, to know the size before anything is decoded, and that there are no more scans than a camera makes. */
export function jpegHeader(bytes: Uint8Array): JpegHeader {
  if (!isJpeg(bytes)) throw new BadInput('This is not a JPEG file: it does not begin with the bytes FF D8 FF.');
  const cut = () => new BadInput(`This JPEG is cut short: it ends after ${grouped(bytes.length)} bytes, before its end mark (FF D9).`);
  let frame: Frame | undefined;
  const adobe: { at: number; transform: number }[] = [];
  let orientation: Orientation8 = 1;
  let scans = 0;
  for (let at = 2; ; ) {
    while (bytes[at] === 0xff && bytes[at + 1] === 0xff) at++;
    if (at + 2 > bytes.length) throw cut();
    if (bytes[at] !== 0xff) throw new BadInput(`This JPEG is damaged: byte ${grouped(at)} should begin a new part (FF).`);
    const marker = bytes[at + 1];
    if (marker === 0xd9) break;
    const length = (bytes[at + 2] << 8) | bytes[at + 3];
    if (at + 2 + length > bytes.length || at + 4 > bytes.length) throw cut();
    if (length < 2) throw new BadInput(`This JPEG is damaged: its part at byte ${grouped(at)} is said to be ${length} bytes long.`);
    const body = bytes.subarray(at + 4, at + 2 + length);
    if (marker === 0xee && body.length >= 12 && String.fromCharCode(...body.subarray(0, 5)) === 'Adobe') adobe.push({ at, transform: body[11] });
    at += 2 + length;
    if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) {
      if (frame) throw new BadInput('This JPEG is damaged: it holds more than one picture where there should be one.');
      frame = frameOf(marker, body);
    }
    if (marker === 0xe1 && orientation === 1 && String.fromCharCode(...body.subarray(0, 6)) === 'Exif\0\0') orientation = tiffOrientation(body.subarray(6));
    if (marker === 0xda) {
      if (!frame) throw new BadInput('This JPEG is damaged: its picture begins before its size is stated.');
      if (++scans > mostScans) throw new BadInput(`This JPEG is damaged: it is written in more than ${mostScans} scans.`);
      at = nextMarker(bytes, at);
    }
  }
  if (!frame || scans === 0) throw new BadInput('This JPEG holds no picture.');
  return { ...frame, inRgb: adobe.length > 0 ? adobe[0].transform === 0 : frame.inRgb, adobe: adobe.map(({ at }) => at), orientation };
}

/** From within the coded picture to the next mark that is not a restart. */
function nextMarker(bytes: Uint8Array, from: number): number {
  for (let at = from; at + 1 < bytes.length; at++) {
    if (bytes[at] === 0xff && bytes[at + 1] !== 0 && bytes[at + 1] !== 0xff && !(bytes[at + 1] >= 0xd0 && bytes[at + 1] <= 0xd7)) return at;
  }
  return bytes.length;
}

function frameOf(marker: number, body: Uint8Array): Frame {
  if (unread[marker]) throw new BadInput(`This JPEG ${unread[marker]}, which cannot be read: save it as an ordinary JPEG.`);
  const [precision, , , , , components] = body;
  const height = (body[1] << 8) | body[2];
  const width = (body[3] << 8) | body[4];
  if (precision !== 8) throw new BadInput(`This JPEG has ${precision} bits a sample, and 8 can be read: save it as 16-bit PNG or TIFF.`);
  if (width === 0 || height === 0) throw new BadInput(`This JPEG is damaged: its header says ${width} × ${height} pixels.`);
  if (components !== 1 && components !== 3) throw new BadInput(`This JPEG has ${components} channels, and grey or red, green and blue can be read: save it in RGB.`);
  if (body.length < 6 + 3 * components) throw new BadInput('This JPEG is damaged: its header (SOF) is too short.');
  const factors = Array.from({ length: components }, (_, i) => [body[7 + 3 * i] >> 4, body[7 + 3 * i] & 15]);
  if (factors.flat().some((factor) => factor < 1 || factor > 4)) throw new BadInput('This JPEG is damaged: its header states sampling factors that do not exist.');
  const [most, mostDown] = [Math.max(...factors.map(([h]) => h)), Math.max(...factors.map(([, v]) => v))];
  const blocks = Math.ceil(width / (8 * most)) * Math.ceil(height / (8 * mostDown));
  const samples = factors.reduce((sum, [h, v]) => sum + blocks * h * v * 64, 0);
  const inRgb = components === 3 && String.fromCharCode(body[6], body[9], body[12]) === 'RGB';
  return { width, height, components, samples, inRgb };
}
