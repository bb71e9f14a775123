import { massEnergyAbsorption } from './attenuation.ts';
import { screenEnergy } from './screen.ts';

/**
 * What a detector counts: 'air kerma' (an ionisation chamber; what half-value layers are published for), 'energy' of all photons,
 * 'photons' one by one, 'screen', the energy that a layer of gadolinium oxysulphide of 100 mg/cm² keeps; or a function of keV.
 */
export type DetectorWeight = 'air kerma' | 'energy' | 'photons' | 'screen' | ((keV: number) => number);

/** How much a photon of an energy counts. Throws RangeError for a name that is not known. */
export function weightOf(weight: DetectorWeight): (keV: number) => number {
  if (typeof weight === 'function') return weight;
  switch (weight) {
    case 'air kerma': return (keV) => keV * massEnergyAbsorption('air', keV);
    case 'energy': return (keV) => keV;
    case 'photons': return () => 1;
    case 'screen': return (keV) => screenEnergy({ coating: 100 }, keV);
    default: throw new RangeError(`The detector counts "${String(weight)}"; known are air kerma, energy, photons and screen.`);
  }
}
