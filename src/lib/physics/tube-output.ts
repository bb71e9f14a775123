import type { Range } from './dose-limits.ts';

/**
 * Air kerma in the open beam of a tungsten tube, µGy for each mAs at 1 m, where nobody has measured it: (40, 100, 300) · (kVp/80)², and
 * above 80 kVp the highest of the three rises with the third power. Meant for a beam that has gone through 1 mm of aluminium or more; one that leaves a thin
 * window unfiltered can have ten times as much, nearly all of it soft, and is not covered.
 * Throws RangeError, one sentence, unless 0 < kVp ≤ 150.
 * Source: common practice, no source; diagnostic sets with 2.5 mm of aluminium give some 70 to 100 µGy/mAs at 1 m and 80 kVp (from memory). Chosen to err high.
 */
export function tubeOutput(kVp: number): Range {
  if (!(kVp > 0 && kVp <= 150)) throw new RangeError(`The tube is at ${kVp} kVp and should be above 0 and at most 150: beyond, no figure is known here.`);
  const square = (kVp / 80) ** 2;
  return { low: 40 * square, likely: 100 * square, high: 300 * square * Math.max(1, kVp / 80) };
}
