import { edgesOf, massAttenuation, materials, type Edge } from './attenuation.ts';

/** A scintillating screen of gadolinium oxysulphide with terbium, which glows green (545 nm). */
export interface Screen {
  /** Phosphor on it, mg/cm²: some 20 for a fine screen to 130 for a fast one. */
  readonly coating: number;
  /** Photons of light for each MeV that it keeps; 60 000 when left out. */
  readonly lightYield?: number;
  /** Share of that light that leaves by the face that the camera sees; 0.5 when left out. Common practice, no source. */
  readonly escape?: number;
}

/**
 * Share of the photons of an energy that a screen stops: 1 − e^(−μ/ρ · coating). What its binder and base stop is left out.
 * Throws RangeError for a coating of 0 or below, or an energy outside the table.
 */
export function screenAbsorption(screen: Screen, keV: number): number {
  return 1 - Math.exp(-thickness(screen, keV));
}

/**
 * Energy that a screen keeps of each photon that reaches it, on average, keV. Above gadolinium's K edge a stopped photon mostly gives a new one
 * of 43.9 keV, some of which leave the screen by either face:
 *   absorption · (E − share of the K shell · ω · 43.9 keV · escape),   escape = 1/τ · ∫₀¹ m·(1 − e^(−τ/m)) dm for a layer that shines evenly
 * where τ is the layer's own attenuation at 43.9 keV. Compton scattered photons count as kept; they matter from 100 keV on.
 * Source: yield and energy of K photons, xraylib 4.0; the escape from an even layer is a first-flight integral, computed here.
 */
export function screenEnergy(screen: Screen, keV: number): number {
  const stopped = screenAbsorption(screen, keV);
  const edge = kEdge();
  if (keV < edge.keV) return stopped * keV;
  return stopped * (keV - (1 - edge.below / edge.above) * kYield * kPhoton * escapeOf(thickness(screen, kPhoton)));
}

/** Photons of light that leave a screen towards the camera for each keV that it keeps. */
export function screenLight({ lightYield = 60_000, escape = 0.5 }: Screen): number {
  if (!(lightYield > 0)) throw new RangeError(`The screen gives ${lightYield} photons of light for an MeV; it should be above 0.`);
  if (!(escape > 0 && escape <= 1)) throw new RangeError(`The share of light that leaves the screen is ${escape} and should be above 0 and at most 1.`);
  return (lightYield / 1000) * escape;
}

/**
 * How wide a screen blurs a point, mm, full width at half of the height: about as wide as its layer is thick, half of the layer being grains.
 * Common practice, no source; a measured edge of your own screen is better.
 */
export function screenBlur(screen: Screen): number {
  checkCoating(screen);
  return (10 * screen.coating) / 1000 / (0.5 * materials.gadoliniumScreen.density);
}

let edgeFound: Edge | undefined;
const kEdge = (): Edge => (edgeFound ??= edgesOf('gadoliniumScreen').find(({ shell, element }) => shell === 'K' && element === 'Gd')!);

/** Gadolinium's K photons: mean energy, keV, and how many a vacancy gives. Source: xraylib 4.0. */
const kPhoton = 43.9;
const kYield = 0.932;

/** Share of what an even layer gives off to all sides that leaves it; the last answer is kept, since a spectrum asks for each of its energies. */
function escapeOf(tau: number): number {
  if (tau === lastEscape.tau) return lastEscape.share;
  const steps = 200;
  let share = 0;
  for (let i = 0; i < steps; i++) {
    const m = (i + 0.5) / steps;
    share += (m * (1 - Math.exp(-tau / m))) / (steps * tau);
  }
  lastEscape = { tau, share };
  return share;
}
let lastEscape = { tau: NaN, share: NaN };

function thickness(screen: Screen, keV: number): number {
  checkCoating(screen);
  return (massAttenuation('gadoliniumScreen', keV) * screen.coating) / 1000;
}

function checkCoating({ coating }: Screen): void {
  if (!(coating > 0 && coating < Infinity)) throw new RangeError(`The screen's coating is ${coating} mg/cm² and should be above 0.`);
}
