/**
 * Light that is bent where it goes from one clear stuff into another, for the numbers of "Practising with visible light". Angles in radians, lengths in mm, n the refractive index.
 * Source: Snell and Fresnel as in any textbook of optics (hecht2017, from memory).
 */

/** Snell's law: n₁ sin i = n₂ sin t. The angle behind the face, from the square to it; throws RangeError where all light is thrown back. */
export function refracted(incidence: number, before: number, behind: number): number {
  const sine = (before * Math.sin(incidence)) / behind;
  if (!(Math.abs(sine) <= 1)) throw new RangeError(`Light that meets the face at ${((incidence * 180) / Math.PI).toPrecision(3)}° from the square does not get from n = ${before} into n = ${behind}: all of it is thrown back.`);
  return Math.asin(sine);
}

/** The incidence beyond which no light gets out of the denser stuff. */
export function criticalAngle(denser: number, thinner: number): number {
  if (!(thinner < denser)) throw new RangeError(`Light is never thrown back whole on its way from n = ${denser} into n = ${thinner}: the second should be smaller.`);
  return Math.asin(thinner / denser);
}

/** What a face throws back of light that comes square to it (Fresnel). */
export function reflected(before: number, behind: number): number {
  return ((behind - before) / (behind + before)) ** 2;
}

/**
 * A ray through a round cylinder, square to its axis: it would pass the axis at `place` if nothing bent it. nearest: where it passes instead, place · n₁/n₂;
 * bend: the angle between its ways before and behind, above 0 towards the axis.
 */
export function throughCylinder(place: number, radius: number, outside: number, inside: number): { nearest: number; bend: number } {
  if (!(Math.abs(place) < radius)) throw new RangeError(`The ray passes ${place} mm from the axis and should meet the cylinder of ${radius} mm.`);
  const incidence = Math.asin(place / radius);
  const turned = refracted(incidence, outside, inside);
  return { nearest: radius * Math.sin(turned), bend: 2 * (incidence - turned) };
}

/**
 * From where the rays seem to come inside a tank, mm from the axis: a lens `toWall` before a flat wall, the axis `inside` behind it in a liquid of index n.
 * Rays that leave the lens at a small angle α go on at α/n, as if from n · toWall before the wall. The wall's own glass is left out.
 */
export function virtualDistance(toWall: number, inside: number, n: number): number {
  return n * toWall + inside;
}
