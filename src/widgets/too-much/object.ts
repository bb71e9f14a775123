import type { Image } from '../../lib/index.ts';

/** A round object made to be hard on total variation: below a smooth ramp, above faint discs, at the right two dense rods. Invented. Lengths in mm, attenuation in 1/mm. */
export const object = {
  radius: 36,
  field: 40,
  even: 0.02,
  /** The ramp below `top` rises from left to right, across the whole object. */
  ramp: { top: -2, from: 0.01, to: 0.03 },
  rods: [{ x: 24, y: 6 }, { x: 20, y: 20 }],
  rod: { radius: 2.5, attenuation: 0.1 },
  details: [
    { x: -22, y: 10, radius: 4, contrast: 0.004 }, { x: -9, y: 10, radius: 2.5, contrast: 0.004 }, { x: 1, y: 10, radius: 1.5, contrast: 0.004 },
    { x: -16, y: 22, radius: 4, contrast: 0.002 }, { x: -4, y: 22, radius: 2.5, contrast: 0.002 }, { x: 5, y: 22, radius: 1.5, contrast: 0.002 },
  ],
} as const;

/** Change of the ramp a millimetre. */
export const slope = (object.ramp.to - object.ramp.from) / (2 * object.radius);

function attenuationAt(x: number, y: number): number {
  const { radius, rods, rod, ramp, details, even } = object;
  if (Math.hypot(x, y) > radius) return 0;
  if (rods.some((each) => Math.hypot(x - each.x, y - each.y) < rod.radius)) return rod.attenuation;
  if (y < ramp.top) return ramp.from + slope * (x + radius);
  return details.reduce<number>((sum, each) => (Math.hypot(x - each.x, y - each.y) < each.radius ? sum + each.contrast : sum), even);
}

/** On size² pixels, each the mean of 4 × 4 points. */
export function objectPicture(size: number): Image {
  const pixelSize = (2 * object.field) / size;
  const samples = 4;
  const data = Float32Array.from({ length: size * size }, (_, i) => {
    let sum = 0;
    for (let k = 0; k < samples * samples; k++) {
      const x = ((i % size) + ((k % samples) + 0.5) / samples - size / 2) * pixelSize;
      const y = (size / 2 - Math.floor(i / size) - (Math.floor(k / samples) + 0.5) / samples) * pixelSize;
      sum += attenuationAt(x, y);
    }
    return sum / (samples * samples);
  });
  return { width: size, height: size, pixelSize, data };
}
