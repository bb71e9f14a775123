/**
 * How a reading falls with the distance from a small source: value · (from / to)². Exact for a point in empty space; near a source that is
 * not small against the distance it falls less steeply at first, and in a room walls scatter some of it back.
 * from: where `value` holds; to: where it is asked for; the same unit of length.
 * Throws RangeError, one sentence, for a distance that cannot be.   Source: the sphere that the rays pass through grows as its radius squared.
 */
export function inverseSquare(value: number, from: number, to: number): number {
  for (const distance of [from, to]) if (!(distance > 0) || !Number.isFinite(distance)) throw new RangeError(`The distance is ${distance} and should be a length above 0.`);
  return value * (from / to) ** 2;
}

/**
 * The share of radiation that a barrier may let through: goal / (value · (from / to)²), at most 1. With halfValueLayers this is the worked
 * barrier of the handbooks. goal, value: in one unit.   Throws RangeError as inverseSquare, and for a goal or a value that cannot be.
 */
export function transmissionAllowed({ value, from, to, goal }: { readonly value: number; readonly from: number; readonly to: number; readonly goal: number }): number {
  if (!(goal > 0) || !(value >= 0) || !Number.isFinite(value)) throw new RangeError(`A goal of ${goal} for a reading of ${value} should be numbers in one unit, the goal above 0.`);
  return Math.min(1, goal / inverseSquare(value, from, to));
}

/** How many half-value layers let this share through: log₂(1/transmission). Throws RangeError, one sentence, unless 0 < transmission ≤ 1. */
export function halfValueLayers(transmission: number): number {
  if (!(transmission > 0 && transmission <= 1)) throw new RangeError(`The transmission is ${transmission} and should be above 0 and at most 1.`);
  return 0 - Math.log2(transmission);
}
