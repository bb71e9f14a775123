import { anodes, type Anode, type AnodeData, type ShellData } from './anodes.ts';
import { energyRange, edgesOf, massAttenuation } from './attenuation.ts';
import { filtered, type BeamSpectrum, type Layer } from './beam-spectrum.ts';
import { bremsstrahlung } from './bremsstrahlung.ts';
import { electronStopping } from './electron-stopping.ts';
import { shellIonisation } from './shell-ionisation.ts';

export interface TubeOptions {
  /** Tungsten when left out. */
  readonly anode?: Anode;
  /** Peak voltage, kV, 15 to 120; taken as constant. */
  readonly kVp: number;
  /** Angle between the target's face and the middle ray, degrees; 12 when left out. */
  readonly anodeAngle?: number;
  /** All that is in the beam, the tube's own wall or window among it. Air is not added by itself. */
  readonly filters: readonly Layer[];
  /** Width of a bin, keV; 0.5 when left out. */
  readonly binWidth?: number;
}

/**
 * How deep an electron has come when it has run a way in the target, as a share of that way: it is scattered to and fro. With it,
 * what the target takes from its own X-rays. Tuned, the only constant that was: see tests/outside/spectra.test.ts.
 */
const depthShare = 0.5;

/**
 * The spectrum of an X-ray tube: photons per bin, per mm² at 1 m and per mAs, from 5 keV to the voltage.
 * A thick target in layers, as Kramers (1923) thought of it, with newer figures in each: an electron slows down from eU (electronStopping),
 * gives photons on the way (bremsstrahlung; as many to all sides, since it is soon running in all directions), some electrons leave the target
 * by its face, and the rest of the target lies between a photon and the window: e^(−μ·depth/sin(anodeAngle)).
 *   dN/dk = 1/4π · ∫ from k to eU of N_A/A · dσ/dk / S · (share of electrons still inside) · e^(−μ(k)·depth/sin α) dT
 * K lines come from electrons (shellIonisation) and from photons above the K edge, of which half go inwards and are absorbed there; tungsten's L lines from
 * electrons alone.
 * An estimate. Its shape was held against published half-value layers, which it meets within 10 %, its output against typical ones, within a factor
 * of 2 (tests/outside/spectra.test.ts). Real tubes ripple, age and roughen, and mostly give less: measure yours. Behind less than 0.5 mm of aluminium or
 * its like, which a tube with a thin window may have, nothing was compared: tungsten's L lines, 8 to 12 keV, rule there and are a guess.
 * Throws RangeError: kVp outside 15 to 120, anodeAngle outside 5 to 45, bins outside 0.1 to 2 keV, an anode or a filter that is not known.
 * Source: Kramers, Phil. Mag. 46, 836 (1923); Birch & Marshall, Phys. Med. Biol. 24, 505 (1979), for the depth at which photons arise; backscatter,
 * Reuter, Proc. 6th Int. Conf. X-ray Optics (1972), with the energies of Bishop's electrons (1966); all from memory.
 */
export function tubeSpectrum({ anode = 'tungsten', kVp, anodeAngle = 12, filters, binWidth = 0.5 }: TubeOptions): BeamSpectrum {
  const data = Object.hasOwn(anodes, anode) ? anodes[anode] : undefined;
  if (!data) throw new RangeError(`The anode is "${anode}"; known are ${Object.keys(anodes).join(' and ')}.`);
  if (!(kVp >= 15 && kVp <= 120)) throw new RangeError(`The tube's voltage is ${kVp} kV and should be 15 to 120 kV.`);
  if (!(anodeAngle >= 5 && anodeAngle <= 45)) throw new RangeError(`The anode's angle is ${anodeAngle}° and should be 5° to 45°.`);
  if (!(binWidth >= 0.1 && binWidth <= 2)) throw new RangeError(`The bins are ${binWidth} keV wide and should be 0.1 to 2 keV.`);
  const sine = Math.sin((anodeAngle * Math.PI) / 180);
  const slowing = slowingDown(data, kVp);

  const bins = Math.ceil((kVp - energyRange.from) / binWidth - 1e-9);
  const keV = Float64Array.from({ length: bins }, (_, i) => energyRange.from + (i + 0.5) * binWidth);
  const photons = new Float64Array(bins);
  let exciting = 0; // K photons that the inner half of the bremsstrahlung sets free, per electron, as they leave
  const jump = edgesOf(anode).find(({ shell }) => shell === 'K')!;
  const lineShare = (1 - jump.below / jump.above) * data.kShell.fluorescence;
  const lineAttenuation = massAttenuation(anode, data.kShell.lines[0][0]);
  for (let i = 0; i < bins; i++) {
    const part = Math.min(binWidth, kVp - (energyRange.from + i * binWidth)); // the last bin may end at the voltage
    const at = keV[i] < kVp ? keV[i] : kVp - part / 2;
    const mu = massAttenuation(anode, at);
    const { inside, out } = emitted(data, slowing, kVp, at, mu / sine);
    photons[i] = out * part;
    if (at > data.kShell.edge) {
      const ratio = lineAttenuation / (mu * sine);
      exciting += ((inside * part) / 2) * lineShare * (Math.log(1 + ratio) / ratio);
    }
  }
  for (const shell of [data.kShell, ...data.lShells]) {
    for (const [line, share] of shell.lines) {
      const bin = Math.floor((line - energyRange.from) / binWidth);
      if (bin >= bins) continue;
      photons[bin] += share * direct(data, shell, slowing, kVp, massAttenuation(anode, line) / sine);
      if (shell === data.kShell) photons[bin] += share * exciting;
    }
  }
  const perMas = electronsPerMas / (4 * Math.PI) / 1e6; // 1 mm² at 1 m is 10⁻⁶ sr
  return filtered({ keV, width: binWidth, photons: photons.map((count) => count * perMas) }, filters);
}

const electronsPerMas = 6.241509e15;
const avogadro = 6.02214076e23;

interface Slowing {
  /** Depth at which an electron has slowed down to an energy, g/cm², and the share of electrons that are still inside then. */
  readonly depth: (keV: number) => number;
  readonly share: (keV: number) => number;
}

/** How electrons that came with an energy slow down. */
function slowingDown(anode: AnodeData, start: number): Slowing {
  const least = energyRange.from;
  const steps = 200;
  const way = new Float64Array(steps + 1); // from the start's energy down to the least
  const step = (start - least) / steps;
  for (let i = 1; i <= steps; i++) way[i] = way[i - 1] + step / electronStopping(anode, start - (i - 0.5) * step);
  const { Z } = anode;
  const backscatter = -0.0254 + 0.016 * Z - 1.86e-4 * Z * Z + 8.3e-7 * Z ** 3;
  return {
    depth: (keV) => {
      const at = Math.min(steps, Math.max(0, (start - keV) / step));
      const i = Math.min(steps - 1, Math.floor(at));
      return depthShare * (way[i] + (at - i) * (way[i + 1] - way[i]));
    },
    // They leave with 0.78 of their energy on average, spread as (T/start)^2.5.
    share: (keV) => 1 - backscatter * (1 - (keV / start) ** 3.5),
  };
}

/** Photons of an energy per electron and keV, to all sides: set free inside, and as many as come out through the target. */
function emitted(anode: AnodeData, { depth, share }: Slowing, start: number, photon: number, attenuation: number) {
  const steps = 40;
  const step = (start - photon) / steps;
  let inside = 0;
  let out = 0;
  for (let i = 0; i < steps; i++) {
    const T = photon + (i + 0.5) * step;
    const here = ((avogadro / anode.atomicWeight) * bremsstrahlung(anode.Z, T, photon) * share(T) * step) / electronStopping(anode, T);
    inside += here;
    out += here * Math.exp(-attenuation * depth(T));
  }
  return { inside, out };
}

/** Photons of a shell per electron that electrons set free, as they come out. */
function direct(anode: AnodeData, { edge, electrons, fluorescence }: ShellData, { depth, share }: Slowing, start: number, attenuation: number): number {
  const steps = 40;
  const step = (start - edge) / steps;
  if (!(step > 0)) return 0;
  let sum = 0;
  for (let i = 0; i < steps; i++) {
    const T = edge + (i + 0.5) * step;
    sum += ((avogadro / anode.atomicWeight) * shellIonisation(edge, T, electrons) * share(T) * step * Math.exp(-attenuation * depth(T))) / electronStopping(anode, T);
  }
  return sum * fluorescence;
}
