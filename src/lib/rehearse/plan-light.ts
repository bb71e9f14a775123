import type { LampPlan, Plan, XrayPlan } from '../files/plan.ts';
import type { Substance } from '../phantom/solids.ts';
import { attenuationOf } from '../phantom/attenuation-of.ts';
import { lightToSrgb, type Curve } from '../photos/linearise.ts';
import type { BeamSpectrum } from '../physics/beam-spectrum.ts';
import { quantumChain, type QuantumChain } from '../physics/quantum-chain.ts';
import { screenAbsorption, screenEnergy } from '../physics/screen.ts';
import { tubeSpectrum } from '../physics/tube-spectrum.ts';
import { planCamera } from './plan-camera.ts';

/** What one working cell of the uncovered screen, or of the lit sheet, gives the camera in one view, all its frames together. */
export interface PlanLight {
  /** The beam in few energies, of a lamp in one colour without any: what each gives of the light, and of the square by which X-rays make it noisy; each of the two adds up to 1. */
  readonly energies: readonly { readonly keV?: number; readonly light: number; readonly square: number }[];
  /** So many equal X-rays would be as noisy as those that are absorbed: fewer than they are, since they differ in energy. Infinity with a lamp, whose light is counted as electrons alone. */
  readonly xrays: number;
  readonly electrons: number;
  /** Of the cell, electrons: what fills it, and the standard deviation of reading it. */
  readonly fullWell: number;
  readonly readNoise: number;
  /** Camera pixels and frames that are added to the cell. */
  readonly added: number;
  readonly levels: number;
  /** How the camera writes light down: pictures of 8 bits along sRGB's curve, those of more bits in proportion. Common practice, no source. */
  readonly curve: Curve & string;
}

/** The same of a tube, with the beam and what becomes of its quanta. */
export interface XrayLight extends PlanLight {
  readonly spectrum: BeamSpectrum;
  readonly chain: QuantumChain;
  readonly energies: readonly (PlanLight['energies'][number] & { readonly keV: number })[];
}

const energyCount = 24;

/**
 * The light of a plan by tubeSpectrum and quantumChain, or by the electrons that it tells of its lamp. bin: camera pixels along an edge of a cell; 1 when left out.
 * Throws RangeError, one sentence, as these two.
 */
export const planLight = (plan: Plan, bin = 1): PlanLight => (plan.lamp ? lampLight(plan, bin) : xrayLight(plan, bin));

/** Of a lamp: electrons · time, each one counted by itself (Poisson), so that no stage before the camera adds noise. */
function lampLight({ lamp, camera, exposure }: LampPlan, bin: number): PlanLight {
  const { seconds, frames = 1 } = exposure;
  const added = bin * bin * frames;
  return {
    energies: [{ light: 1, square: 1 }], xrays: Infinity, electrons: lamp.electrons * seconds * added,
    fullWell: camera.fullWell * added, readNoise: camera.readNoise * Math.sqrt(added), added, levels: 2 ** camera.bits - 1, curve: curveOf(camera.bits),
  };
}

const curveOf = (bits: number) => (bits > 8 ? 'linear' : 'srgb');

/** Of a tube, by tubeSpectrum and quantumChain. */
export function xrayLight(plan: XrayPlan, bin = 1): XrayLight {
  const { tube, filters = [], exposure, distances, screen, camera } = plan;
  const frames = exposure.frames ?? 1;
  const { spectrum, energies } = beamOf({ tube, filters, screen });
  const cell = planCamera(plan, bin, frames);
  const chain = quantumChain({ spectrum, mAs: tube.mA * exposure.seconds * frames, sourceToScreen: distances.sourceToDetector, screen, camera: cell });
  const step = cell.fullWell / (2 ** cell.bits - 1);
  const byXrays = chain.deviation ** 2 - chain.electrons - cell.readNoise ** 2 - step ** 2 / 12;
  return {
    spectrum, chain, energies, xrays: chain.electrons ** 2 / byXrays, electrons: chain.electrons,
    fullWell: cell.fullWell, readNoise: cell.readNoise, added: bin * bin * frames, levels: 2 ** camera.bits - 1, curve: curveOf(camera.bits),
  };
}

/** The spectrum, and the same in few energies; the last answer is kept, for most moves of a slider leave the beam as it is. */
function beamOf({ tube: { anode, kVp, anodeAngle }, filters, screen }: Pick<XrayPlan, 'tube' | 'screen'> & { readonly filters: NonNullable<XrayPlan['filters']> }): Pick<XrayLight, 'spectrum' | 'energies'> {
  const key = JSON.stringify([anode, kVp, anodeAngle, filters, screen.coating]);
  if (lastBeam?.key !== key) {
    const spectrum = tubeSpectrum({ anode, kVp, ...(anodeAngle !== undefined && { anodeAngle }), filters });
    lastBeam = { key, beam: { spectrum, energies: energiesOf(spectrum, screen) } };
  }
  return lastBeam.beam;
}
let lastBeam: { readonly key: string; readonly beam: Pick<XrayLight, 'spectrum' | 'energies'> } | undefined;

/** Groups of bins that give equal parts of the light, each at its mean energy. */
function energiesOf({ keV, photons }: BeamSpectrum, screen: XrayPlan['screen']): XrayLight['energies'] {
  const groups = Array.from({ length: energyCount }, () => ({ sum: 0, light: 0, square: 0 }));
  const bins = [...keV].flatMap((at, i) => {
    const light = photons[i] > 0 ? photons[i] * screenEnergy(screen, at) : 0;
    return light > 0 ? [{ at, light, square: (light * screenEnergy(screen, at)) / screenAbsorption(screen, at) }] : [];
  });
  const [whole, squares] = [bins.reduce((sum, { light }) => sum + light, 0), bins.reduce((sum, { square }) => sum + square, 0)];
  let before = 0;
  for (const { at, light, square } of bins) {
    const group = groups[Math.min(energyCount - 1, Math.floor(((before + light / 2) / whole) * energyCount))];
    group.sum += at * light;
    group.light += light;
    group.square += square;
    before += light;
  }
  return groups.filter(({ light }) => light > 0).map(({ sum, light, square }) => ({ keV: sum / light, light: light / whole, square: square / squares }));
}

/** Behind a block of lead there is still a number, so that logarithms stay finite: no photon of any scan. */
const leastLight = 1e-30;

/**
 * What is left of the light behind the object: a function of how far a ray runs in each substance, mm, that writes to `out` the share of the light, and the
 * share of its square, by which the X-rays' noise goes. Beer and Lambert's law for each energy; nothing that is scattered arrives.
 */
export function lightBehind({ energies }: Pick<PlanLight, 'energies'>, substances: readonly Substance[]): (path: (substance: number) => number, out: Float64Array) => void {
  const mu = Float64Array.from(energies.flatMap(({ keV }) => substances.map((substance) => attenuationOf(substance, keV))));
  const [light, square] = [Float64Array.from(energies, (each) => each.light), Float64Array.from(energies, (each) => each.square)];
  const count = substances.length;
  const paths = new Float64Array(count);
  return (path, out) => {
    let any = false;
    for (let k = 0; k < count; k++) any = (paths[k] = path(k)) > 0 || any;
    out[0] = out[1] = any ? 0 : 1;
    if (!any) return;
    for (let e = 0, at = 0; e < light.length; e++) {
      let sum = 0;
      for (let k = 0; k < count; k++) sum += mu[at++] * paths[k];
      const left = Math.exp(-sum);
      out[0] += light[e] * left;
      out[1] += square[e] * left;
    }
    out[0] = Math.max(out[0], leastLight);
    out[1] = Math.max(out[1], leastLight);
  };
}

/**
 * Variance of the line integral of a cell behind which this share of the light and of its square is left, in two parts: that of the X-rays, which the screen's blur
 * smooths, and that of light and camera, which it does not. The second holds the photons of light, the reading and the steps of the file, where it is written.
 */
export function lineVariance({ xrays, electrons, fullWell, readNoise, added, levels, curve }: PlanLight, light: number, square: number): { xray: number; camera: number } {
  const mean = electrons * light;
  const full = mean / fullWell;
  const slope = curve === 'srgb' ? 1e-4 / (lightToSrgb(full + 1e-4) - lightToSrgb(full)) : 1; // light for a step of what is stored
  const rounding = ((slope / levels) * fullWell) ** 2 / (12 * added);
  return { xray: square / (light * light * xrays), camera: (mean + readNoise ** 2 + rounding) / mean ** 2 };
}
