import { checkMemory } from './memory-limit.ts';
import { checkNpyLength, npyHeader } from './npy-header.ts';

export { isNpy } from './npy-header.ts';

/** An array as NPY files hold it: data in C order (the last index runs fastest), whatever the order in the file. */
export interface NpyArray {
  readonly shape: number[];
  readonly data: Float32Array;
  /** As the file says it: '<f4', '>i2', '|u1' … */
  readonly dtype: string;
}

/**
 * Reads an NPY file, versions 1 to 3: any shape, C or Fortran order, either byte order, every real numeric dtype.
 * The result is float32: integers above 2²⁴ are rounded, floats above 3.4·10³⁸ become infinite. NaN and infinity are let through.
 * Shape () gives one element; a shape with a 0 gives none.
 * Throws BadInput: not NPY, cut short, wrong length for its shape, complex, object, text or record dtype, too big for memoryLimit.
 * Source: NumPy's format description (numpy.lib.format), https://numpy.org/doc/stable/reference/generated/numpy.lib.format.html
 */
export function readNpy(bytes: Uint8Array): NpyArray {
  const header = npyHeader(bytes);
  const { dtype, fortran, dataOffset, size, count, inWords, read } = header;
  const shape = [...header.shape];
  checkMemory(count, `An NPY array of ${inWords}`);
  checkNpyLength(header, bytes.length);

  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const data = new Float32Array(count);
  for (let i = 0; i < count; i++) data[i] = read(view, dataOffset + i * size);
  return { shape, data: fortran && shape.length > 1 ? toRowMajor(data, shape) : data, dtype };
}

/** From Fortran order (the first index runs fastest) to C order. */
function toRowMajor(data: Float32Array, shape: readonly number[]): Float32Array {
  const turned = new Float32Array(data.length);
  const strides = shape.map((_, axis) => shape.slice(0, axis).reduce((product, length) => product * length, 1));
  const index = shape.map(() => 0);
  let from = 0;
  for (let to = 0; to < data.length; to++) {
    turned[to] = data[from];
    for (let axis = shape.length - 1; axis >= 0; axis--) {
      from += strides[axis];
      if (++index[axis] < shape[axis]) break;
      from -= strides[axis] * shape[axis];
      index[axis] = 0;
    }
  }
  return turned;
}
