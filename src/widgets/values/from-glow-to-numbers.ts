/** Every number that chapter 2 prints, worked out with the library when the book is built. */
import { finish, lightToSrgb, srgbToLight, type Steps } from '../../lib/index.ts';
import { cupping, takenAlong, type CuppingResult, type CuppingState } from '../cupping/model.ts';
import { light, type LightResult, type LightState } from '../light/model.ts';
import { rig } from '../light/rig.ts';

// What a camera stores, in 8 bits.
const full = 255;
const byteOf = (share: number) => Math.round(full * lightToSrgb(share));
const lightOfByte = (byte: number) => srgbToLight(byte / full);
const stepAt = (byte: number) => Math.log(lightOfByte(byte + 0.5) / lightOfByte(byte - 0.5)); // in the line integral
const [bright, dim] = [230, 30];

// Worked example: one pixel of an 8-bit photograph, all the way.
const pixel = { dark: 20, flat: 231, view: 120, borderFlat: 214, borderView: 196 };
const lit = { dark: lightOfByte(pixel.dark), flat: lightOfByte(pixel.flat), view: lightOfByte(pixel.view), borderFlat: lightOfByte(pixel.borderFlat), borderView: lightOfByte(pixel.borderView) };
const ratio = (a: number, b: number, dark: number) => (a - dark) / (b - dark);
const onePixel = (of: typeof lit, dark: number) => ({ through: ratio(of.view, of.flat, dark), exposure: ratio(of.borderView, of.borderFlat, dark) });
const all = onePixel(lit, lit.dark);
const integralOf = ({ through, exposure }: { through: number; exposure: number }) => -Math.log(through / exposure);
const noDark = onePixel(lit, 0);
const noCurve = onePixel(pixel, pixel.dark);

// Plate "light": what each step that is left out costs.
const shown = (change: Partial<LightState>) => light.compute({ ...light.initial, ...change }, undefined as never) as LightResult;
const complete = shown({});
const without = (step: keyof LightState) => ({ ...shown({ [step]: false }) });

// Plate "cupping": middle and rim of a disc.
const disc = (change: Partial<CuppingState>) => {
  const made = cupping.compute({ ...cupping.initial, ...change }, undefined as never) as CuppingResult | Steps<CuppingResult>;
  const { middle, rim, mu } = 'next' in made ? finish(made) : made;
  return { bend: (middle / rim - 1) * 100, middle: middle / mu };
};
const through = cupping.initial.through;
const thick = 4;
const uncorrected = (p: number) => takenAlong(p, { ...cupping.initial, fault: 'curve', mended: false, power: 1 });
const haze = cupping.initial.haze;
const hazy = (p: number) => takenAlong(p, { ...cupping.initial, fault: 'haze' });

// Counting.
const photons = 1e5, behind = 2;
const arriving = photons * Math.exp(-behind);
const few = 100;
const floor = 0.001;

// Exercises
const ask = { flatByte: 210, viewByte: 45, dark: 130, flat: 2130, view: 630, border: 0.85, longer: 0.5, pixel: 0.17, leadFlat: 2000, lead: 50, object: 170, sigma: 0.01, behind: 3 };
const askCurve = Math.log(lightOfByte(ask.flatByte) / lightOfByte(ask.viewByte));

export const values = {
  half: { value: lightToSrgb(0.5), unit: '' },
  halfByte: { value: byteOf(0.5), unit: '' },
  quarterByte: { value: byteOf(0.25), unit: '' },
  middleByte: { value: 128, unit: '' },
  middleLight: { value: lightOfByte(128) * 100, unit: '%' },
  stepBright: { value: stepAt(bright), unit: '' },
  stepDim: { value: stepAt(dim), unit: '' },
  bright: { value: bright, unit: '' },
  dim: { value: dim, unit: '' },
  uncorrected1: { value: uncorrected(1), unit: '' },
  uncorrected2: { value: uncorrected(2), unit: '' },
  uncorrected4: { value: uncorrected(4), unit: '' },

  vignetting: { value: rig.vignetting * 100, unit: '%' },
  vignettingIntegral: { value: -Math.log(1 - rig.vignetting), unit: '' },
  darkShare: { value: rig.dark / rig.brightness * 100, unit: '%' },
  darkDeep: { value: -Math.log(ratio(Math.exp(-3), 1, -rig.dark / rig.brightness)), unit: '' },

  stops: { value: 0.3, unit: 'stops' },
  stopsFactor: { value: 2 ** -0.3, unit: '' },
  stopsIntegral: { value: 0.3 * Math.LN2, unit: '' },

  haze: { value: haze, unit: '%' },
  hazy1: { value: hazy(1), unit: '' },
  hazy2: { value: hazy(2), unit: '' },
  hazy4: { value: hazy(4), unit: '' },

  photons: { value: photons, unit: '' },
  behind: { value: behind, unit: '' },
  arriving: { value: arriving, unit: '' },
  sigma: { value: 1 / Math.sqrt(arriving), unit: '' },
  sigmaOpen: { value: 1 / Math.sqrt(photons), unit: '' },
  few: { value: few, unit: '' },
  fewSigma: { value: 1 / Math.sqrt(few), unit: '' },
  fewBias: { value: 1 / (2 * few), unit: '' },
  floor: { value: floor, unit: '' },
  floorIntegral: { value: -Math.log(floor), unit: '' },

  pixelDark: { value: pixel.dark, unit: '' },
  pixelFlat: { value: pixel.flat, unit: '' },
  pixelView: { value: pixel.view, unit: '' },
  borderFlat: { value: pixel.borderFlat, unit: '' },
  borderView: { value: pixel.borderView, unit: '' },
  litDark: { value: lit.dark, unit: '' },
  litFlat: { value: lit.flat, unit: '' },
  litView: { value: lit.view, unit: '' },
  litBorderFlat: { value: lit.borderFlat, unit: '' },
  litBorderView: { value: lit.borderView, unit: '' },
  clearFlat: { value: lit.flat - lit.dark, unit: '' },
  clearView: { value: lit.view - lit.dark, unit: '' },
  pixelThrough: { value: all.through, unit: '' },
  pixelExposure: { value: all.exposure, unit: '' },
  pixelTransmission: { value: all.through / all.exposure, unit: '' },
  pixelIntegral: { value: integralOf(all), unit: '' },
  pixelNoDark: { value: integralOf(noDark), unit: '' },
  pixelNoExposure: { value: -Math.log(all.through), unit: '' },
  pixelNoCurve: { value: integralOf(noCurve), unit: '' },

  quanta: { value: light.initial.quanta, unit: '' },
  veil: { value: light.initial.veil, unit: '%' },
  errorAll: { value: complete.error, unit: '' },
  errorCurve: { value: without('curve').error, unit: '' },
  thickCurve: { value: without('curve').thick, unit: '' },
  errorDark: { value: without('dark').error, unit: '' },
  thickDark: { value: without('dark').thick, unit: '' },
  errorSpots: { value: without('spots').error, unit: '' },
  thickSpots: { value: without('spots').thick, unit: '' },
  errorGlare: { value: without('glare').error, unit: '' },
  thickGlare: { value: without('glare').thick, unit: '' },
  errorFlat: { value: without('flat').error, unit: '' },
  thickFlat: { value: without('flat').thick, unit: '' },
  errorExposure: { value: without('exposure').error, unit: '' },
  thickExposure: { value: without('exposure').thick, unit: '' },
  errorLogarithm: { value: without('logarithm').error, unit: '' },
  thickLogarithm: { value: without('logarithm').thick, unit: '' },
  thickAll: { value: complete.thick, unit: '' },

  through: { value: through, unit: '' },
  thick: { value: thick, unit: '' },
  curveMiddle: { value: disc({ fault: 'curve' }).middle, unit: '' },
  curveBend: { value: disc({ fault: 'curve' }).bend, unit: '%' },
  curveBendThick: { value: disc({ fault: 'curve', through: thick }).bend, unit: '%' },
  hazeBend: { value: -disc({ fault: 'haze' }).bend, unit: '%' },
  hazeBendThick: { value: -disc({ fault: 'haze', through: thick }).bend, unit: '%' },
  energiesBend: { value: -disc({ fault: 'energies' }).bend, unit: '%' },
  energiesMiddle: { value: disc({ fault: 'energies' }).middle * 100, unit: '%' },
  straightMiddle: { value: disc({ fault: 'energies', mended: true }).middle * 100, unit: '%' },
  logarithmBend: { value: -disc({ fault: 'logarithm' }).bend, unit: '%' },
  gain: { value: cupping.initial.gain, unit: '%' },
  gainIntegral: { value: Math.log(1 + cupping.initial.gain / 100), unit: '' },

  // Exercises
  ask: {
    flatByte: { value: ask.flatByte, unit: '' },
    viewByte: { value: ask.viewByte, unit: '' },
    flatLight: { value: lightOfByte(ask.flatByte), unit: '' },
    viewLight: { value: lightOfByte(ask.viewByte), unit: '' },
    curveIntegral: { value: askCurve, unit: '' },

    dark: { value: ask.dark, unit: '' },
    flat: { value: ask.flat, unit: '' },
    view: { value: ask.view, unit: '' },
    darkIntegral: { value: Math.log((ask.flat - ask.dark) / (ask.view - ask.dark)), unit: '' },

    border: { value: ask.border, unit: '' },
    pixel: { value: ask.pixel, unit: '' },
    borderIntegral: { value: Math.log(ask.border / ask.pixel), unit: '' },

    longer: { value: ask.longer, unit: 'stops' },
    longerFactor: { value: 2 ** ask.longer, unit: '' },
    longerIntegral: { value: -ask.longer * Math.LN2, unit: '' },

    leadFlat: { value: ask.leadFlat, unit: '' },
    lead: { value: ask.lead, unit: '' },
    object: { value: ask.object, unit: '' },
    hazeIntegral: { value: Math.log((ask.leadFlat - ask.lead) / (ask.object - ask.lead)), unit: '' },
    hazeThin: { value: Math.log(ask.leadFlat / ask.object), unit: '' },

    sigma: { value: ask.sigma, unit: '' },
    behind: { value: ask.behind, unit: '' },
    reach: { value: 1 / ask.sigma ** 2, unit: '' },
    photons: { value: Math.exp(ask.behind) / ask.sigma ** 2, unit: '' },
  },
};
