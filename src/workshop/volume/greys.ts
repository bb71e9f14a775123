/** Which values of a volume are black and white, and how dragging changes them. */
import { suggestThreshold, type Volume } from '../../lib/index.ts';
import { usualGreys } from '../scan/greys.ts';
import type { Greys } from '../scan/model.ts';

/** All but 1 % of the voxels that hold a number; of large volumes every few are looked at. */
export function fittedGreys(volume: Pick<Volume, 'data' | 'width'>): Greys {
  const sample = sampleOf(volume, 65536);
  return sample.length > 0 ? roundedGreys(usualGreys({ data: sample })) : { low: 0, high: 1 };
}

/**
 * Where the object begins: half-way between the commonest values inside and outside, 1/mm. What is denser than all but half a percent counts as no
 * denser than that, or a little metal would be taken for the object and everything else for air.
 */
export function usualThreshold(volume: Pick<Volume, 'data' | 'width'>, { low, high }: Greys): number {
  const data = sampleOf(volume, 1 << 20).map((value) => Math.min(high, Math.max(low, value)));
  return data.length > 0 ? Number(suggestThreshold({ data }).halfway.toPrecision(3)) : low;
}

/** About so many of the voxels that hold a number, evenly spread. */
function sampleOf({ data, width }: Pick<Volume, 'data' | 'width'>, wanted: number): Float32Array {
  // No divisor of a row's length, or only a few columns would be seen.
  let every = Math.max(1, Math.floor(data.length / wanted));
  while (every > 1 && commonDivisor(every, width) > 1) every++;
  const sample = new Float32Array(Math.ceil(data.length / every));
  let count = 0;
  for (let i = 0; i < data.length; i += every) if (Number.isFinite(data[i])) sample[count++] = data[i];
  return sample.subarray(0, count);
}

const commonDivisor = (a: number, b: number): number => (b === 0 ? a : commonDivisor(b, a % b));

export type GreyEnd = 'low' | 'high';

/** The end that a press at this value takes hold of: the nearer one. */
export function endNear({ low, high }: Greys, value: number): GreyEnd {
  return Math.abs(value - low) <= Math.abs(value - high) ? 'low' : 'high';
}

/** One end moved; black stays below white by at least a thousandth of the range shown. */
export function endMoved(greys: Greys, end: GreyEnd, value: number, range: number): Greys {
  const gap = Math.max(Math.abs(range) / 1000, Number.MIN_VALUE);
  return end === 'low' ? { ...greys, low: Math.min(value, greys.high - gap) } : { ...greys, high: Math.max(value, greys.low + gap) };
}

/** To a thousandth of the window: no eye sees less, and the numbers stay readable. */
export function roundedGreys({ low, high }: Greys): Greys {
  const digits = Math.ceil(3 - Math.log10(Math.abs(high - low)));
  if (!Number.isFinite(digits)) return { low, high };
  const rounded = (value: number) => Number(value.toFixed(Math.min(100, Math.max(0, digits))));
  return { low: rounded(low), high: rounded(high) };
}
