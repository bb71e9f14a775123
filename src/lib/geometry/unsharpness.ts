/**
 * How sharp a shadow can be when the source is a spot and not a point. spot: its width a, mm. magnification: M = sourceToDetector / sourceToAxis,
 * 1 or more. pitch: of the detector, mm on the detector itself. Each of these throws RangeError, one sentence, for a size that cannot be.
 */

/**
 * Width of the penumbra of an edge at the axis, mm on the detector: spot · (M − 1), the spot's own image through a pinhole at the edge.
 * Divide by the magnification for its width at the object, which is always less than the spot.
 * Source: similar triangles; as in ASTM E94, F·t/d₀ with t the distance from object to detector and d₀ that from source to object.
 */
export function unsharpness(spot: number, magnification: number): number {
  requireSize(spot, 'The width of the spot');
  requireMagnification(magnification);
  return spot * (magnification - 1);
}

/**
 * What penumbra and cell together blur to, mm at the object: √(pitch² + (spot·(M − 1))²) / M. Also called the effective beam width: no
 * detail much finer than it is kept. Two widths added as if both were bells; boxes of these widths, which they rather are, blur a little differently.
 * Source: ASTM E1441 (formula from memory).
 */
export function effectivePixel(pitch: number, spot: number, magnification: number): number {
  requireSize(pitch, 'The distance between detector cells (pitch)');
  return Math.hypot(pitch, unsharpness(spot, magnification)) / magnification;
}

/**
 * The magnification at which effectivePixel is least: 1 + (pitch/spot)², where it is pitch·spot/√(pitch² + spot²). Infinity for a spot of no width.
 * Source: effectivePixel² = pitch²·q² + spot²·(1 − q)² with q = 1/M, a parabola in q (derived).
 */
export function bestMagnification(pitch: number, spot: number): number {
  requireSize(pitch, 'The distance between detector cells (pitch)');
  requireSize(spot, 'The width of the spot');
  return spot === 0 ? Infinity : 1 + (pitch / spot) ** 2;
}

/**
 * The least distance from source to object that the radiography standards ask for, mm: f = 7.5 · spot · b^(2/3) in class A, 15 · spot · b^(2/3)
 * in class B, with b the distance from the side of the object that faces the source to the film, mm. The factor is fitted to lengths in mm.
 * Source: EN 444:1994, ISO 5579, ISO 17636-1 (inequality from memory).
 */
export function leastSourceDistance(spot: number, toFilm: number, testing: 'A' | 'B'): number {
  requireSize(spot, 'The width of the spot');
  requireSize(toFilm, 'The distance from the object to the film');
  return (testing === 'A' ? 7.5 : 15) * spot * toFilm ** (2 / 3);
}

function requireSize(value: number, what: string): void {
  if (!(value >= 0) || !Number.isFinite(value)) throw new RangeError(`${what} is ${value} and should be a length in mm, 0 or more.`);
}

function requireMagnification(value: number): void {
  if (!(value >= 1) || !Number.isFinite(value)) throw new RangeError(`The magnification is ${value} and should be 1 or more: the detector lies behind the object.`);
}
