import { grouped } from './memory-limit.ts';

/** What writeTiff can write. */
export type TiffSample = 'float32' | 'uint16' | 'uint8';

/**
 * Writes a grey TIFF, little-endian, uncompressed, one strip a page. Integer samples are rounded and held at the ends of their range.
 * pages: one array of width · height values each, row 0 at the top.   description: kept in the file's ImageDescription, ASCII.
 * pixelSize: mm, kept as pixels per cm; left out of the file when left out.
 * Throws RangeError: no page, a page that does not fill the picture, a file of more than 4 GB.
 * Source: TIFF revision 6.0, sections 2–4 and 19 (SampleFormat).
 */
export function writeTiff(width: number, height: number, pages: readonly ArrayLike<number>[], sample: TiffSample = 'float32', description = '', pixelSize?: number): Uint8Array {
  const wrong = pages.find((page) => page.length !== width * height);
  if (pages.length === 0 || wrong) throw new RangeError(`pages of ${width} × ${height} need ${width * height} values each; there are ${pages.length} pages${wrong ? `, one of ${wrong.length}` : ''}`);
  const { head, directory, bytesPerSample, bytes: total } = tiffParts(width, height, pages.length, sample, description, pixelSize);
  const bytes = new Uint8Array(total);
  const view = new DataView(bytes.buffer);
  bytes.set(head);
  let at = head.length;
  pages.forEach((page, p) => {
    const before = directory(p);
    bytes.set(before, at);
    at += before.length;
    const full = 2 ** (8 * bytesPerSample) - 1;
    const whole = (value: number) => Math.min(full, Math.max(0, Math.round(value) || 0));
    for (let i = 0; i < page.length; i++) {
      if (sample === 'float32') view.setFloat32(at + 4 * i, page[i], true);
      else if (sample === 'uint16') view.setUint16(at + 2 * i, whole(page[i]), true);
      else bytes[at + i] = whole(page[i]);
    }
    at += even(page.length * bytesPerSample);
  });
  return bytes;
}

/**
 * Everything in such a file but its samples: what it begins with, and the directory that stands before the samples of page p, which fill an even
 * number of bytes. bytes: of the whole file.   Throws RangeError for a file of more than 4 GB.
 */
export function tiffParts(width: number, height: number, pages: number, sample: TiffSample = 'float32', description = '', pixelSize?: number): { head: Uint8Array; directory: (page: number) => Uint8Array; bytesPerSample: number; bytes: number } {
  const bytesPerSample = { float32: 4, uint16: 2, uint8: 1 }[sample];
  const text = new TextEncoder().encode(description ? `${description.replace(/[^\x20-\x7e\n]/g, '?')}\0` : '');
  const perCm = pixelSize === undefined ? [] : rational(10 / pixelSize);
  const entries = 11 + (text.length > 0 ? 1 : 0) + (perCm.length > 0 ? 3 : 0);
  const directoryLength = 2 + 12 * entries + 4;
  const pixelBytes = width * height * bytesPerSample;
  const pageLength = directoryLength + even(pixelBytes);
  const textAt = 8;
  const ratioAt = textAt + even(text.length);
  const first = ratioAt + 4 * perCm.length;
  const total = first + pages * pageLength;
  if (total >= 2 ** 32) throw new RangeError(`a TIFF holds at most 4 GB, and this one would take ${grouped(total)} bytes`);

  const head = new Uint8Array(first);
  const headView = new DataView(head.buffer);
  head.set([0x49, 0x49, 42, 0]);
  headView.setUint32(4, first, true);
  head.set(text, textAt);
  perCm.forEach((value, i) => headView.setUint32(ratioAt + 4 * i, value, true));

  const directory = (page: number): Uint8Array => {
    const bytes = new Uint8Array(directoryLength);
    const view = new DataView(bytes.buffer);
    const at = first + page * pageLength;
    view.setUint16(0, entries, true);
    let entry = 2;
    const field = (tag: number, type: 2 | 3 | 4 | 5, value: number, count = 1) => {
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
    else if (text.length > 0) field(270, 2, headView.getUint32(textAt, true), text.length);
    field(273, 4, at + directoryLength);
    field(277, 3, 1);
    field(278, 4, height);
    field(279, 4, pixelBytes);
    if (perCm.length > 0) {
      field(282, 5, ratioAt);
      field(283, 5, ratioAt);
    }
    field(284, 3, 1);
    if (perCm.length > 0) field(296, 3, 3);
    field(339, 3, sample === 'float32' ? 3 : 1);
    view.setUint32(entry, page + 1 < pages ? at + pageLength : 0, true);
    return bytes;
  };
  return { head, directory, bytesPerSample, bytes: total };
}

const even = (length: number) => length + (length % 2);

/** A number above 0 as a fraction of two 32-bit integers, to about nine digits. */
function rational(value: number): [numerator: number, denominator: number] {
  const power = Math.max(0, Math.min(9, 9 - Math.ceil(Math.log10(value))));
  const numerator = Math.round(value * 10 ** power);
  if (!(numerator >= 1 && numerator < 2 ** 32)) throw new RangeError(`a TIFF cannot say how large its pixels are: ${10 / value} mm`);
  return [numerator, 10 ** power];
}
