import { BadInput } from '../files/bad-input.ts';
import type { EnergyShare } from '../phantom/project-light.ts';
import { linearAttenuation, type Material } from '../physics/attenuation.ts';
import { solve } from './solve.ts';

/** Straightens line integrals: p ← coefficients[0]·p + coefficients[1]·p² + … */
export interface Hardening {
  readonly coefficients: readonly number[];
  /** The energy that the straightened line integrals are at, keV. */
  readonly energy: number;
  /** The largest p that the polynomial was made for; beyond it, it goes on along its last slope. */
  readonly longest: number;
}

export interface HardeningOptions {
  /** How much of the light on the uncovered screen comes from each energy. */
  readonly spectrum: readonly EnergyShare[];
  /** The material of which the whole object is taken to be; water when left out. */
  readonly material?: Material;
  /** keV; when left out, the energy at which the material takes as much as a thin layer of it takes from the whole spectrum. */
  readonly energy?: number;
  /** The largest line integral that is straightened; 4 when left out. */
  readonly longest?: number;
  readonly degree?: number;
}

/**
 * The line integral that a beam of many energies gives behind a thickness of one material, without unit.
 *   p(t) = −ln( Σ share·e^(−μ(keV)·t) / Σ share )        t: mm
 */
export function manyEnergies(spectrum: readonly EnergyShare[], material: Material, thickness: number): number {
  let through = 0, all = 0;
  for (const { keV, share } of spectrum) {
    through += share * Math.exp(-linearAttenuation(material, keV) * thickness);
    all += share;
  }
  return -Math.log(through / all);
}

/**
 * The polynomial that undoes beam hardening in one material: for thicknesses t of it, p(t) of the whole spectrum (manyEnergies) goes to
 * μ(energy)·t, by least squares over 60 thicknesses up to p = longest, without a constant term.
 * It is exact in that material. In another the mixture of energies is another, and what remains is smaller than what was there only where the
 * two fade alike with energy: light materials do, metals do not.
 * Throws BadInput for a spectrum without shares, and where no thickness reaches p = longest.
 * Source: the linearisation of beam hardening by a polynomial of the line integral, Herman 1979 (Phys. Med. Biol. 24, 81), from memory.
 */
export function hardeningCurve({ spectrum, material = 'water', energy, longest = 4, degree = 3 }: HardeningOptions): Hardening {
  const all = spectrum.reduce((sum, { share }) => sum + share, 0);
  if (!(all > 0) || spectrum.some(({ share }) => !(share >= 0))) throw new BadInput('A spectrum needs a share, 0 or more, for each energy, and not all of them 0.');
  const thin = spectrum.reduce((sum, { keV, share }) => sum + share * linearAttenuation(material, keV), 0) / all;
  const reference = energy ?? energyOf(material, thin, spectrum.map(({ keV }) => keV));
  const mu = linearAttenuation(material, reference);
  const thickest = thicknessFor(longest, (t) => manyEnergies(spectrum, material, t));
  const matrix = Array.from({ length: degree }, () => new Float64Array(degree + 1));
  const steps = 60;
  for (let k = 1; k <= steps; k++) {
    const t = (k / steps) * thickest;
    const p = manyEnergies(spectrum, material, t);
    for (let a = 0; a < degree; a++) {
      for (let b = 0; b < degree; b++) matrix[a][b] += p ** (a + b + 2);
      matrix[a][degree] += p ** (a + 1) * mu * t;
    }
  }
  return { coefficients: [...solve(matrix)], energy: reference, longest };
}

/** One line integral, straightened. */
export function straightened(p: number, { coefficients, longest }: Hardening): number {
  const at = Math.min(p, longest);
  let value = 0, slope = 0;
  for (let k = coefficients.length - 1; k >= 0; k--) {
    slope = slope * at + (k + 1) * coefficients[k];
    value = (value + coefficients[k]) * at;
  }
  return p <= longest ? value : value + (p - longest) * slope;
}

/** All of them, in place. */
export function straighten(lineIntegrals: Float32Array, hardening: Hardening): void {
  for (let i = 0; i < lineIntegrals.length; i++) lineIntegrals[i] = straightened(lineIntegrals[i], hardening);
}

/** Where μ falls to this value, by halving; the spectrum's ends where it lies outside. */
function energyOf(material: Material, mu: number, energies: readonly number[]): number {
  let [low, high] = [Math.min(...energies), Math.max(...energies)];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (linearAttenuation(material, middle) > mu) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

function thicknessFor(longest: number, p: (t: number) => number): number {
  let high = 1;
  while (p(high) < longest) {
    high *= 2;
    if (high > 1e6) throw new BadInput(`No thickness of the material reaches a line integral of ${longest}.`);
  }
  let low = high / 2;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (p(middle) < longest) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
