/** A disc of water in the beam of a tube, and the curve that straightens its line integrals. */
import { hardeningCurve, linearAttenuation, manyEnergies, straightened, type EnergyShare } from '../../lib/index.ts';

/** Kramers' law for 100 kV behind 3 mm of aluminium; each photon gives light in proportion to its energy. Invented, as the capsule's photographs have it. */
export const spectrum: readonly EnergyShare[] = [30, 40, 50, 60, 70, 80, 90].map((keV) => ({ keV, share: (100 - keV) * Math.exp(-3 * linearAttenuation('aluminium', keV)) }));
/** The largest line integral that is straightened. */
export const longest = 5;
export const curve = hardeningCurve({ spectrum, material: 'water', longest });

const step = 0.01;
/** Line integrals of many energies behind as much water as gives 0, 0.01, … at the energy of the curve. */
const behindWater = Float64Array.from({ length: longest / step + 2 }, (_, k) => (k === 0 ? 0 : manyEnergies(spectrum, 'water', (k * step) / linearAttenuation('water', curve.energy))));

/** The same for any p from 0 to 5, along straight lines. */
export function hardened(p: number): number {
  const place = p / step, k = Math.floor(place);
  return behindWater[k] + (place - k) * (behindWater[k + 1] - behindWater[k]);
}
export const straightenWater = (p: number): number => straightened(p, curve);
