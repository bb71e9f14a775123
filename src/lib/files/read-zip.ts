import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import { step } from './tiff-unpack.ts';

/** A file in an archive. */
export interface ZipEntry {
  /** With its folders, separated by /. */
  readonly name: string;
  /** Bytes once unpacked, as the archive states; read gives exactly so many or throws. */
  readonly size: number;
  /** Unpacks it. Throws BadInput that begins with the name where it is damaged or longer than stated. */
  readonly read: () => Promise<Uint8Array>;
}

/** Does it begin as a ZIP archive? */
export function isZip(bytes: Uint8Array): boolean {
  return bytes[0] === 0x50 && bytes[1] === 0x4b && ((bytes[2] === 3 && bytes[3] === 4) || (bytes[2] === 5 && bytes[3] === 6));
}

const mostEntries = 20_000;
const mostTogether = 4e9;

/**
 * The files in a ZIP archive, in its order, folders left out. Nothing is unpacked before its entry is read, one file at a time, and
 * the sizes are looked at first: each file at most memoryLimit, all together at most 4 GB, and no two of them made from the same bytes
 * (which is how a small archive comes to hold a large one many times).
 * Throws BadInput: not ZIP, cut short or damaged, more than 20,000 files, too large unpacked, encrypted, ZIP64 or in several parts.
 * Source: APPNOTE.TXT 6.3, the central directory; unpacked by fflate.
 */
export function unpackZip(bytes: Uint8Array): ZipEntry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const { count, directory } = endOf(bytes, view);
  if (count > mostEntries) throw new BadInput(`This ZIP holds ${grouped(count)} files, and at most ${grouped(mostEntries)} can be taken: split it.`);
  const listed: { name: string; size: number; packed: number; method: number; checksum: number; from: number }[] = [];
  let at = directory;
  for (let i = 0; i < count; i++) {
    if (at + 46 > bytes.length || view.getUint32(at, true) !== 0x02014b50) throw new BadInput(`This ZIP is cut short or damaged: its list of files ends after ${grouped(i)} of ${grouped(count)}.`);
    const [flags, method] = [view.getUint16(at + 8, true), view.getUint16(at + 10, true)];
    const [checksum, packed, size] = [16, 20, 24].map((offset) => view.getUint32(at + offset, true));
    const [nameLength, extraLength, commentLength] = [28, 30, 32].map((offset) => view.getUint16(at + offset, true));
    const local = view.getUint32(at + 42, true);
    const name = new TextDecoder().decode(bytes.subarray(at + 46, at + 46 + nameLength)).replaceAll('\\', '/');
    at += 46 + nameLength + extraLength + commentLength;
    if (name.endsWith('/')) continue;
    if (flags & 1) throw new BadInput(`${name} in this ZIP is encrypted: pack it without a password.`);
    if (method !== 0 && method !== 8) throw new BadInput(`${name} in this ZIP is packed with method ${method}: pack it with the ordinary one (deflate).`);
    if (packed === 0xffffffff || size === 0xffffffff || local === 0xffffffff) throw zip64();
    checkMemory(size / 4, `${name} in this ZIP`);
    if (local + 30 > bytes.length || view.getUint32(local, true) !== 0x04034b50) throw new BadInput(`This ZIP is cut short or damaged: ${name} is not where its list says.`);
    const from = local + 30 + view.getUint16(local + 26, true) + view.getUint16(local + 28, true);
    if (from + packed > directory) throw new BadInput(`This ZIP is cut short or damaged: ${name} should reach byte ${grouped(from + packed)}, and the files end at ${grouped(directory)}.`);
    listed.push({ name, size, packed, method, checksum, from });
  }
  const together = listed.reduce((sum, { size }) => sum + size, 0);
  if (together > mostTogether) throw new BadInput(`This ZIP would unpack to ${grouped(Math.round(together / 1e6))} MB, and at most ${grouped(mostTogether / 1e6)} MB can be taken: split it.`);
  const inOrder = [...listed].sort((a, b) => a.from - b.from);
  inOrder.forEach(({ name, from }, i) => {
    if (i > 0 && from < inOrder[i - 1].from + inOrder[i - 1].packed) throw new BadInput(`This ZIP is damaged: ${inOrder[i - 1].name} and ${name} are made from the same bytes.`);
  });
  return listed.map(({ name, size, packed, method, checksum, from }) => ({ name, size, read: () => unpack(bytes.subarray(from, from + packed), { name, size, method, checksum }) }));
}

const zip64 = () => new BadInput('This ZIP is of the kind for more than 4 GB (ZIP64), which cannot be read: split it.');

/** The record at the end: how many files, and where their list begins. */
function endOf(bytes: Uint8Array, view: DataView): { count: number; directory: number } {
  const stop = Math.max(0, bytes.length - 22 - 65535);
  for (let at = bytes.length - 22; at >= stop; at--) {
    if (view.getUint32(at, true) !== 0x06054b50) continue;
    if (view.getUint16(at + 4, true) !== 0 || view.getUint16(at + 8, true) !== view.getUint16(at + 10, true)) throw new BadInput('This ZIP is one part of several: put them together first.');
    const [count, directory] = [view.getUint16(at + 10, true), view.getUint32(at + 16, true)];
    if (count === 0xffff || directory === 0xffffffff) throw zip64();
    if (directory > at) throw new BadInput('This ZIP is damaged: its list of files should begin behind its end.');
    return { count, directory };
  }
  throw new BadInput(isZip(bytes) ? `This ZIP is cut short: it ends after ${grouped(bytes.length)} bytes without its list of files.` : 'This is not a ZIP archive.');
}

async function unpack(packed: Uint8Array, { name, size, method, checksum }: { name: string; size: number; method: number; checksum: number }): Promise<Uint8Array> {
  const wrong = (what: string) => new BadInput(`${name} in this ZIP is damaged: ${what}.`);
  let whole: Uint8Array;
  if (method === 0) {
    if (packed.length !== size) throw wrong(`it is said to have ${grouped(size)} bytes, and ${grouped(packed.length)} are there`);
    whole = packed.slice();
  } else {
    const { Inflate } = await import('fflate');
    whole = new Uint8Array(size);
    let filled = 0;
    const inflate = new Inflate((chunk) => {
      if (filled + chunk.length > size) throw wrong(`it unpacks to more than the ${grouped(size)} bytes that it is said to have`);
      whole.set(chunk, filled);
      filled += chunk.length;
    });
    try {
      for (let at = 0; at < packed.length; at += step) inflate.push(packed.subarray(at, at + step), at + step >= packed.length);
    } catch (error) {
      throw error instanceof BadInput ? error : wrong(`it cannot be unpacked (${(error as Error).message})`);
    }
    if (filled !== size) throw wrong(`it is said to have ${grouped(size)} bytes, and ${grouped(filled)} are there`);
  }
  if (crc32(whole) !== checksum) throw wrong('its checksum does not fit');
  return whole;
}

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  let c = n;
  for (let bit = 0; bit < 8; bit++) c = c & 1 ? 0xedb88320 ^ (c >>> 1) : c >>> 1;
  return c;
});

/** The checksum of ZIP and PNG. Source: ISO 3309. */
function crc32(bytes: Uint8Array): number {
  let c = 0xffffffff;
  for (let i = 0; i < bytes.length; i++) c = crcTable[(c ^ bytes[i]) & 255] ^ (c >>> 8);
  return ~c >>> 0;
}
