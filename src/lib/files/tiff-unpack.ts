import { BadInput } from './bad-input.ts';
import { grouped } from './memory-limit.ts';

/**
 * Unpacks one strip or tile of a TIFF, stopping at `most` bytes: what the header promises is the most that a strip may take,
 * however small it is packed. The decoders that come with the TIFF library have no such end.
 * compression: 5 LZW, 8 or 32946 deflate, 32773 PackBits, 1 none.   The result may be shorter than `most`.
 * Throws BadInput if the data are damaged or longer than `most`.
 * Source: TIFF revision 6.0, sections 9 (PackBits) and 13 (LZW); deflate by fflate.
 */
export async function tiffUnpack(packed: Uint8Array, compression: number, most: number): Promise<Uint8Array> {
  if (compression === 5) return unpackLzw(packed, most);
  if (compression === 32773) return unpackPackBits(packed, most);
  if (compression === 8 || compression === 32946) return inflate(packed, most);
  return packed;
}

/** Packed bytes unpacked at a time: deflate makes at most 1032 bytes of one, so 4 MB. */
export const step = 4096;

const tooLong = (most: number) => new BadInput(`This TIFF is damaged: a piece of its picture is longer than the ${grouped(most)} bytes that its directory promises.`);

async function inflate(packed: Uint8Array, most: number): Promise<Uint8Array> {
  const { Unzlib } = await import('fflate');
  const out = new Uint8Array(most);
  let length = 0;
  const stream = new Unzlib((chunk) => {
    if (length + chunk.length > most) throw tooLong(most);
    out.set(chunk, length);
    length += chunk.length;
  });
  for (let at = 0; at < packed.length; at += step) stream.push(packed.subarray(at, at + step), at + step >= packed.length);
  return out.subarray(0, length);
}

/** A byte n ≤ 127: n + 1 bytes follow as they are; n ≥ 129: the next byte 257 − n times; 128: nothing. */
function unpackPackBits(packed: Uint8Array, most: number): Uint8Array {
  const out = new Uint8Array(most);
  let length = 0;
  for (let at = 0; at < packed.length; ) {
    const n = packed[at++];
    if (n === 128) continue;
    const run = n < 128 ? n + 1 : 257 - n;
    if (length + run > most) throw tooLong(most);
    if (n < 128) out.set(packed.subarray(at, at + run), length);
    else out.fill(packed[at], length, length + run);
    at += n < 128 ? run : 1;
    length += run;
  }
  return out.subarray(0, length);
}

/**
 * Codes of 9 to 12 bits, highest bit first: 0–255 a byte, 256 start again, 257 end, above that a string that stands in the output
 * already: each code adds the string before it and one byte more.
 */
function unpackLzw(packed: Uint8Array, most: number): Uint8Array {
  const out = new Uint8Array(most);
  const start = new Int32Array(4096);
  const size = new Int32Array(4096);
  let [length, next, width] = [0, 258, 9];
  let [lastStart, lastSize] = [0, 0];
  let [held, bits] = [0, 0];
  for (const byte of packed) {
    held = ((held << 8) | byte) & 0xffffff;
    bits += 8;
    if (bits < width) continue;
    bits -= width;
    const code = (held >> bits) & ((1 << width) - 1);
    if (code === 257) break;
    if (code === 256) {
      [next, width, lastSize] = [258, 9, 0];
      continue;
    }
    if (lastSize > 0 && next < 4096) {
      start[next] = lastStart;
      size[next] = lastSize + 1;
      next++;
    }
    if (code > 257 && code >= next) throw new BadInput('This TIFF is damaged: its LZW data cannot be unpacked.');
    const run = code < 256 ? 1 : size[code];
    if (length + run > most) throw tooLong(most);
    if (code < 256) out[length] = code;
    else for (let i = 0; i < run; i++) out[length + i] = out[start[code] + i];
    [lastStart, lastSize] = [length, run];
    length += run;
    if (next + 1 >= 1 << width && width < 12) width++;
  }
  return out.subarray(0, length);
}
