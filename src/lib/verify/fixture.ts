import type { LoadFixture } from './check.ts';

/** A picture or sinogram of the check values: shape [rows, columns], row-major. */
export interface FixtureArray {
  readonly rows: number;
  readonly columns: number;
  readonly data: Float32Array;
  /** Whatever else the file says of it, axis_row and axis_pixel for instance. */
  readonly notes: Readonly<Record<string, unknown>>;
}

/** Little-endian 32-bit floats in base64; works in the browser and in Node. */
export function float32OfBase64(text: string): Float32Array {
  const bytes = Uint8Array.from(atob(text), (character) => character.charCodeAt(0));
  const view = new DataView(bytes.buffer);
  return Float32Array.from({ length: bytes.length / 4 }, (_, i) => view.getFloat32(4 * i, true));
}

/** An array among the check values, unpacked and held against the sum that is written beside it. */
export async function fixtureArray(load: LoadFixture, name: string): Promise<FixtureArray> {
  const { shape, data_base64, ...notes } = (await load(name)) as { shape: [number, number]; data_base64: string; sum: number };
  const data = float32OfBase64(data_base64);
  const sum = data.reduce((total, value) => total + value, 0);
  const size = data.reduce((total, value) => total + Math.abs(value), 0);
  if (data.length !== shape[0] * shape[1] || !(Math.abs(sum - notes.sum) <= 1e-6 * size)) {
    throw new Error(`The check values ${name} are damaged: ${data.length} numbers that add up to ${sum}, where ${shape.join(' × ')} that add up to ${notes.sum} belong.`);
  }
  return { rows: shape[0], columns: shape[1], data, notes };
}
