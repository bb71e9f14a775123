/**
 * A number as a multiple of `step` and a small rest. Single precision holds sums of such multiples exactly, so that only the rests are rounded: without
 * that a thousandth of a cell in a thousand cells would be lost. step: a power of two.
 */
export function roundAndRest(value: number, step: number): readonly [round: number, rest: number] {
  const round = Math.round(value / step) * step;
  return [round, value - round];
}
