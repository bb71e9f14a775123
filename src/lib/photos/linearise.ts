import { BadInput } from '../files/bad-input.ts';
import type { Photograph } from '../files/photograph.ts';
import type { Light, Rectangle } from './light.ts';

/** Light against what is stored, both shares of full scale, rising, from curveFromExposures; straight lines between the points. */
export interface MeasuredCurve {
  readonly stored: readonly number[];
  readonly light: readonly number[];
}

/** How a camera wrote light down: along the curve of sRGB, in proportion, or along a curve that was measured. */
export type Curve = 'srgb' | 'linear' | MeasuredCurve;

/**
 * Light from a value stored by sRGB's curve, both 0…1.
 *   v/12.92 up to v = 0.04045, ((v + 0.055)/1.055)^2.4 above
 * Source: IEC 61966-2-1:1999.
 */
export function srgbToLight(stored: number): number {
  return stored <= 0.04045 ? stored / 12.92 : ((stored + 0.055) / 1.055) ** 2.4;
}

/** The way back: what sRGB stores for a light of 0…1. Source: IEC 61966-2-1:1999. */
export function lightToSrgb(light: number): number {
  return light <= 0.0031308 ? 12.92 * light : 1.055 * light ** (1 / 2.4) - 0.055;
}

/** Light for any stored value by a curve; beyond 0…1 a measured curve goes straight on. */
export function lightOf(curve: Curve): (stored: number) => number {
  if (curve === 'srgb') return srgbToLight;
  if (curve === 'linear') return (stored) => stored;
  const { stored: x, light: y } = curve;
  if (x.length < 2 || x.length !== y.length || x.some((value, i) => i > 0 && !(value > x[i - 1])) || y.some((value, i) => i > 0 && !(value >= y[i - 1]))) {
    throw new BadInput('A measured curve needs at least two points, stored values and light both rising.');
  }
  return (stored) => {
    let i = 1;
    while (i < x.length - 1 && x[i] < stored) i++;
    return y[i - 1] + ((stored - x[i - 1]) / (x[i] - x[i - 1])) * (y[i] - y[i - 1]);
  };
}

const cells = 4096;

/**
 * The light in a photograph, or in the part of it within `crop`: full scale becomes 1.
 * Values are looked up in a table of 4096 straight pieces, within 3·10⁻⁸ of the curve of sRGB.
 * Throws BadInput where the part does not lie within the photograph.
 */
export function linearise(photograph: Photograph, curve: Curve, crop?: Rectangle): Light {
  const { left, top, width, height } = crop ?? { left: 0, top: 0, width: photograph.width, height: photograph.height };
  if (![left, top, width, height].every(Number.isInteger) || left < 0 || top < 0 || width < 1 || height < 1 || left + width > photograph.width || top + height > photograph.height) {
    throw new BadInput(`The part to keep, ${width} × ${height} pixels from column ${left} and row ${top}, does not lie within a photograph of ${photograph.width} × ${photograph.height} pixels.`);
  }
  const exact = lightOf(curve);
  const table = Float64Array.from({ length: cells + 1 }, (_, i) => exact(i / cells));
  const data = new Float32Array(width * height);
  for (let row = 0, i = 0; row < height; row++) {
    for (let column = 0, from = (top + row) * photograph.width + left; column < width; column++, from++) {
      const stored = photograph.data[from];
      if (curve === 'linear') data[i++] = stored;
      else if (!(stored >= 0 && stored < 1)) data[i++] = exact(stored);
      else {
        const place = stored * cells;
        const cell = Math.floor(place);
        data[i++] = table[cell] + (place - cell) * (table[cell + 1] - table[cell]);
      }
    }
  }
  return { width, height, data };
}
