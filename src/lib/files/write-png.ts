/**
 * Writes a grey PNG of 8 or 16 bits; values are rounded and held within 0 … 2^bits − 1.
 * data: row-major, width · height values, row 0 at the top.
 * Throws RangeError if the data do not fill the picture.
 */
export async function writePng(width: number, height: number, data: ArrayLike<number>, bits: 8 | 16 = 8): Promise<Uint8Array> {
  if (data.length !== width * height) throw new RangeError(`a picture of ${width} × ${height} needs ${width * height} values, not ${data.length}`);
  const samples = bits === 8 ? new Uint8ClampedArray(data.length) : new Uint16Array(data.length);
  const full = 2 ** bits - 1;
  for (let i = 0; i < data.length; i++) samples[i] = Math.min(full, Math.max(0, Math.round(data[i]) || 0));
  const { encode } = await import('fast-png');
  return encode({ width, height, data: samples, depth: bits, channels: 1 });
}
