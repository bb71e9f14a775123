import { statistics } from '../measure/statistics.ts';

/** How 16-bit samples stand for values: value = offset + scale · sample. */
export interface Quantization {
  readonly scale: number;
  readonly offset: number;
}

/** The finest steps in which samples 0…65535 reach from the least to the greatest finite value; of one value, a step of 1. */
export function quantizationOf(data: Float32Array): Quantization {
  const finite = data.every((value) => Number.isFinite(value) || Number.isNaN(value)) ? data : data.filter(Number.isFinite);
  const { least, greatest, count } = statistics({ data: finite });
  if (count === 0) return { scale: 1, offset: 0 };
  return { scale: greatest > least ? (greatest - least) / 65535 : 1, offset: least };
}

/** Values as 16-bit samples; NaN becomes the least, what lies beyond the ends is held there. Off by scale/2 at most. */
export function quantized(data: Float32Array, { scale, offset }: Quantization): Uint16Array {
  const samples = new Uint16Array(data.length);
  for (let i = 0; i < data.length; i++) samples[i] = Math.min(65535, Math.max(0, Math.round((data[i] - offset) / scale) || 0));
  return samples;
}
