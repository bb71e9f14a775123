/** One photograph taken through the library's steps, each of which may be left out. */
import {
  divideByFlat, evenExposure, findBadPixels, linearise, mendPixels, removeGlare, removeSpots, srgbToLight, subtractDark, takeLogarithm, type Light, type Photograph,
} from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';
import { rig, type Shot, type Stored } from './rig.ts';

export interface StepsTaken {
  readonly curve: boolean;
  readonly dark: boolean;
  readonly spots: boolean;
  readonly glare: boolean;
  readonly flat: boolean;
  readonly exposure: boolean;
  readonly logarithm: boolean;
}

export interface Developed {
  /** Line integrals; without the logarithm, the share of the light that is missing. */
  readonly data: Float32Array;
  /** What the border said that this photograph was exposed by, against the flat; 1 where it was not asked. */
  readonly level: number;
  /** Pixels that were mended. */
  readonly mended: number;
}

const { width, height } = rig;

/** 1 in the columns at either side that the object never covers. */
export const border = Uint8Array.from({ length: width * height }, (_, i) => (Math.min(i % width, width - 1 - (i % width)) < rig.border ? 1 : 0));

export function develop(stored: Stored, steps: StepsTaken, shot: Shot): Developed {
  const encoding = steps.curve ? 'srgb' : 'linear';
  const light = ({ data }: Light) => linearise(asPhotograph(data), encoding);
  const glare = { share: shot.veil / 100, sigma: rig.glareSigma };

  // The flat goes through the same steps as the view, once for each way of taking them.
  const { flat, dark, hot } = remember('light-calibration', `${shot.veil} ${steps.curve} ${steps.dark} ${steps.spots} ${steps.glare}`, () => {
    const dark = light(stored.dark);
    const clear = light(stored.flat);
    subtractDark(clear, dark);
    const { hot, dead } = findBadPixels(dark, clear);
    const flat = steps.dark ? clear : light(stored.flat);
    if (steps.spots) mendPixels(flat, [...hot, ...dead]);
    return { flat: steps.glare ? removeGlare(flat, glare) : flat, dark, hot: [...hot, ...dead] };
  }, 16);

  let view = light(stored.photograph);
  if (steps.dark) subtractDark(view, dark);
  let mended = 0;
  if (steps.spots) {
    mendPixels(view, hot);
    const neighbours = remember('light-beside', `${shot.veil} ${steps.curve} ${steps.dark}`, () => stored.neighbours.map((photograph) => {
      const other = light(photograph);
      if (steps.dark) subtractDark(other, dark);
      mendPixels(other, hot);
      return other;
    }));
    mended = hot.length + removeSpots(view, { neighbours, noise: noiseOf(shot, steps.curve) });
  }
  if (steps.glare) view = removeGlare(view, glare);

  const frame = { views: 1, rows: height, columns: width, data: view.data };
  if (steps.flat) divideByFlat(frame, flat.data.slice());
  const level = steps.exposure ? evenExposure(frame, { mask: border, share: (2 * rig.border) / width })[0] : 1;
  if (steps.logarithm) takeLogarithm(frame.data);
  else for (let i = 0; i < frame.data.length; i++) frame.data[i] = 1 - frame.data[i];
  return { data: frame.data, level, mended };
}

const asPhotograph = (data: Float32Array): Photograph => ({ width, height, data, bits: 8, saturated: 0, encoding: 'srgb' });

/** The noise to be expected of a level of light: that of its quanta, as the rig is known; along the curve where it stands. */
function noiseOf({ quanta }: Shot, curve: boolean) {
  const ofLight = (light: number) => Math.sqrt((rig.brightness * Math.max(light, 0)) / quanta);
  const slope = (stored: number) => (srgbToLight(stored + 0.001) - srgbToLight(stored - 0.001)) / 0.002;
  return { middle: () => 0, deviation: curve ? ofLight : (stored: number) => ofLight(srgbToLight(stored)) / slope(stored) };
}
