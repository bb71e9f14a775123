import { BadInput } from '../files/bad-input.ts';
import { blur } from './blur.ts';
import type { Light, Rectangle } from './light.ts';

/** Veiling glare: light that the lens, the screen and the walls scatter over the picture. */
export interface Glare {
  /** The share of all light that is scattered, 0…0.5. */
  readonly share: number;
  /** How far it goes: the standard deviation of a Gaussian, pixels of the frame; left out, evenly over the whole frame. */
  readonly sigma?: number;
}

/** The scattered share of a frame, if nothing had been scattered yet: its mean everywhere, or the frame blurred. */
function scattered(light: Light, { sigma }: Glare): (i: number) => number {
  if (sigma === undefined) {
    let sum = 0;
    for (let i = 0; i < light.data.length; i++) sum += light.data[i];
    const mean = sum / light.data.length;
    return () => mean;
  }
  const { data } = blur(light, sigma);
  return (i) => data[i];
}

const rounds = 30;

/**
 * Takes the glare off a frame: light L is seen as M = (1 − share)·L + share·(L spread). Result: a new frame with the same mean.
 *   L ← (M − share·(L spread))/(1 − share), again and again from L = M
 * Spread evenly, the mean of L is that of M and one round is exact. Spread by a blur, each round leaves share/(1 − share) of what was wrong; it
 * stops at 10⁻⁵ of the mean.
 * Throws BadInput for a share outside 0…0.4 or a sigma that is not above 0.
 */
export function removeGlare(light: Light, glare: Glare): Light {
  const { share, sigma } = glare;
  if (!(share >= 0 && share <= 0.4)) throw new BadInput(`The glare’s share is ${share}: it is the part of the light that is scattered, 0 to 0.4.`);
  if (sigma !== undefined && !(sigma > 0)) throw new BadInput(`The glare’s width is ${sigma}: it is a standard deviation in pixels, above 0.`);
  const seen = light.data;
  let clear: Light = light;
  for (let round = 0; round < rounds; round++) {
    const spread = scattered(clear, glare);
    const data = new Float32Array(seen.length);
    let change = 0, sum = 0;
    for (let i = 0; i < seen.length; i++) {
      data[i] = (seen[i] - share * spread(i)) / (1 - share);
      change = Math.max(change, Math.abs(data[i] - clear.data[i]));
      sum += data[i];
    }
    clear = { ...light, data };
    if (sigma === undefined || change <= (1e-5 * sum) / seen.length) break;
  }
  return clear;
}

/** A frame as glare makes it of clear light: removeGlare backwards. For simulations. */
export function addGlare(light: Light, glare: Glare): Light {
  const spread = scattered(light, glare);
  return { ...light, data: Float32Array.from(light.data, (value, i) => (1 - glare.share) * value + glare.share * spread(i)) };
}

/**
 * The share of glare from a frame in which something opaque (3 mm of lead, say) covers a part of the screen: what light is left there
 * has been scattered. The dark must have been taken off.
 *   share = M/(L spread), L from removeGlare with that share, until it stays
 * Throws BadInput where the part does not lie within the frame, or is too bright to be opaque.
 */
export function glareFromOpaque(frame: Light, opaque: Rectangle, sigma?: number): Glare {
  const { left, top, width, height } = opaque;
  if (left < 0 || top < 0 || width < 1 || height < 1 || left + width > frame.width || top + height > frame.height) throw new BadInput(`The opaque part does not lie within the frame of ${frame.width} × ${frame.height} pixels.`);
  const meanThere = (value: (i: number) => number) => {
    let sum = 0;
    for (let row = top; row < top + height; row++) for (let column = left; column < left + width; column++) sum += value(row * frame.width + column);
    return sum / (width * height);
  };
  const seen = meanThere((i) => frame.data[i]);
  let share = 0;
  for (let round = 0; round < rounds; round++) {
    const glare = { share, ...(sigma === undefined ? {} : { sigma }) };
    const next = seen / meanThere(scattered(removeGlare(frame, glare), glare));
    if (!(next <= 0.4)) throw new BadInput('The part said to be opaque has more than 0.4 of the light that scattering could bring there: something shines through, or the dark frame was not taken off.');
    if (Math.abs(next - share) < 1e-6) return { ...glare, share: next };
    share = Math.max(0, next);
  }
  return { share, ...(sigma === undefined ? {} : { sigma }) };
}
