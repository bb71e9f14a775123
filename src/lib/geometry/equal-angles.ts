/**
 * `count` angles in equal steps: start + k·turn/count, k = 0 … count − 1, radians. The end of the turn is left out: over a whole turn
 * it would be the first view again. A negative turn goes the other way. Throws RangeError unless count is a whole number from 1.
 */
export function equalAngles(count: number, turn: number, start = 0): number[] {
  if (!Number.isInteger(count) || count < 1) throw new RangeError(`The number of views is ${count} and should be a whole number from 1.`);
  return Array.from({ length: count }, (_, k) => start + (k * turn) / count);
}
