import { linearAttenuation } from '../physics/attenuation.ts';
import type { Substance } from './solids.ts';

/**
 * Attenuation of a substance, 1/mm: its own figure where it has one, else that of its material at keV; 0 where it has neither
 * (empty space). Throws RangeError where keV is needed and missing, or outside the table.
 */
export function attenuationOf({ name, material, density, attenuation }: Substance, keV?: number): number {
  if (attenuation !== undefined) return attenuation;
  if (material === undefined) return 0;
  if (keV === undefined) throw new RangeError(`The attenuation of ${name ?? material} depends on the energy: keV is missing and should be an energy in keV.`);
  return linearAttenuation(material, keV, density);
}
