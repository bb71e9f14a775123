/**
 * How far apart two neighbouring values of 8 bits are in light, at a level of light, along the curve of sRGB: below that, a stored
 * picture says nothing, and where its compression leaves no noise, that is its noise.
 */
export function storedStep(level: number): number {
  const slope = level <= 0.0031308 ? 1 / 12.92 : (2.4 / 1.055) * level ** (1.4 / 2.4);
  return slope / 255;
}
