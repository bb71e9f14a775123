import { electronRest } from './electron-stopping.ts';

/**
 * How readily an electron that is braked by a nucleus gives a photon of an energy: dσ/dk, cm² per keV and atom, over all directions.
 *   Bethe and Heitler's cross section in Born's approximation, times Elwert's correction for slow electrons:
 *   β₀(1 − e^(−2πZα/β₀)) / (β(1 − e^(−2πZα/β))),   β₀ and β the electron's speed before and after
 * keV: the electron's kinetic energy.   photon: keV, below that; 0 is returned from there on.
 * Error: some ten to thirty per cent in heavy elements at these energies (from memory), mostly alike over a spectrum; the shell electrons'
 * screening, which takes from the softest photons, is left out.
 * Source: Koch & Motz, Rev. Mod. Phys. 31, 920 (1959), formula 3BN and section II E; Elwert, Ann. Phys. 34, 178 (1939); from memory.
 */
export function bremsstrahlung(Z: number, keV: number, photon: number): number {
  if (!(photon < keV)) return 0;
  const k = photon / electronRest;
  const E0 = 1 + keV / electronRest;
  const E = E0 - k;
  const p0 = Math.sqrt(E0 * E0 - 1);
  const p = Math.sqrt(E * E - 1);
  const e0 = 2 * Math.log(E0 + p0); // ln[(E0 + p0)/(E0 − p0)], the product of both being 1
  const e = 2 * Math.log(E + p);
  const L = 2 * Math.log((E0 * E + p0 * p - 1) / k);
  const bracket = 4 / 3 - (2 * E0 * E * (p * p + p0 * p0)) / (p * p * p0 * p0) + (e0 * E) / p0 ** 3 + (e * E0) / p ** 3 - (e * e0) / (p0 * p)
    + L * ((8 * E0 * E) / (3 * p0 * p) + (k * k * (E0 * E0 * E * E + p0 * p0 * p * p)) / (p0 * p) ** 3
      + (k / (2 * p0 * p)) * (((E0 * E + p0 * p0) / p0 ** 3) * e0 - ((E0 * E + p * p) / p ** 3) * e + (2 * k * E0 * E) / (p * p * p0 * p0)));
  const born = ((Z * Z * fineStructure * electronRadius ** 2) / photon) * (p / p0) * bracket;
  const slow = (beta: number) => beta * (1 - Math.exp((-2 * Math.PI * Z * fineStructure) / beta));
  return (born * slow(p0 / E0)) / slow(p / E);
}

const fineStructure = 1 / 137.035999;
/** Classical radius of the electron, cm (CODATA). */
const electronRadius = 2.8179403e-13;
