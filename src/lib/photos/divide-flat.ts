import type { Projections } from '../types.ts';

/** A pixel of the flat with less than this share of its mean has no light to divide by. */
const leastLight = 0.01;

/**
 * Transmissions from light: every view divided by the flat, flat[row · columns + column], in place. A pixel of the flat without light is
 * given that of the one before it in its row, and counted; `flat` is changed there.   Result: their number.
 */
export function divideByFlat({ data, columns }: Projections, flat: Float32Array): number {
  const mean = flat.reduce((sum, value) => sum + value, 0) / flat.length;
  let without = 0;
  for (let i = 0; i < flat.length; i++) {
    if (flat[i] > leastLight * mean) continue;
    flat[i] = i % columns === 0 ? mean : flat[i - 1];
    without++;
  }
  for (let at = 0; at < data.length; at += flat.length) for (let i = 0; i < flat.length; i++) data[at + i] /= flat[i];
  return without;
}
