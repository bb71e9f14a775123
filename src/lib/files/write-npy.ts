/** What writeNpy can write: little-endian, or single bytes. */
export type NpyType = '<f4' | '<f8' | '<u2' | '|u1' | '|b1';

const writers: Record<NpyType, (view: DataView, at: number, value: number) => void> = {
  '<f4': (view, at, value) => view.setFloat32(at, value, true),
  '<f8': (view, at, value) => view.setFloat64(at, value, true),
  '<u2': (view, at, value) => view.setUint16(at, Math.min(65535, Math.max(0, Math.round(value))), true),
  '|u1': (view, at, value) => view.setUint8(at, Math.min(255, Math.max(0, Math.round(value)))),
  '|b1': (view, at, value) => view.setUint8(at, value ? 1 : 0),
};

/**
 * Writes an NPY file, version 1, C order, data at a multiple of 64 bytes: for the same array the very bytes that NumPy's save writes.
 * shape: sizes whose product is data.length.   data: C order. Integer types round, and hold values at the ends of their range.
 * Throws RangeError if the shape does not fit the data.
 */
export function writeNpy(shape: readonly number[], data: ArrayLike<number>, dtype: NpyType = '<f4'): Uint8Array {
  const count = shape.reduce((product, length) => product * length, 1);
  if (count !== data.length) throw new RangeError(`shape (${shape.join(', ')}) has ${count} elements, the data ${data.length}`);
  const head = npyHead(shape, dtype);
  const size = Number(dtype.slice(2));
  const bytes = new Uint8Array(head.length + count * size);
  bytes.set(head);
  const view = new DataView(bytes.buffer);
  const write = writers[dtype];
  for (let i = 0; i < count; i++) write(view, head.length + i * size, data[i]);
  return bytes;
}

/** What stands before the numbers of such a file. */
export function npyHead(shape: readonly number[], dtype: NpyType = '<f4'): Uint8Array {
  const tuple = shape.length === 1 ? `(${shape[0]},)` : `(${shape.join(', ')})`;
  const header = `{'descr': '${dtype}', 'fortran_order': False, 'shape': ${tuple}, }`;
  const head = new Uint8Array(Math.ceil((10 + header.length + 1) / 64) * 64);
  head.set([0x93, 0x4e, 0x55, 0x4d, 0x50, 0x59, 1, 0]);
  new DataView(head.buffer).setUint16(8, head.length - 10, true);
  head.set(new TextEncoder().encode(header.padEnd(head.length - 11) + '\n'), 10);
  return head;
}
