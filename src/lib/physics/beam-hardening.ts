import { linearAttenuation, type Material } from './attenuation.ts';
import type { BeamSpectrum } from './beam-spectrum.ts';
import { weightOf, type DetectorWeight } from './detector-weight.ts';
import { meanEnergy, transmission } from './transmission.ts';

export interface HardeningPoint {
  /** mm */
  readonly thickness: number;
  /** −ln of the transmission. */
  readonly lineIntegral: number;
  /** lineIntegral/thickness, 1/mm: what a scan takes the material's attenuation for; at no thickness, that of a thin layer. */
  readonly attenuation: number;
  /** What is missing of a thin layer's attenuation · thickness, as a share: 0 for photons of one energy. */
  readonly lost: number;
  /** Mean energy of the photons that are left, keV. */
  readonly meanEnergy: number;
}

/**
 * How a beam hardens in a material: for each thickness (mm), the line integral and what it falls short of the straight line that thin layers promise.
 * Throws RangeError for a thickness below 0, or a beam without photons.
 * Source: Beer and Lambert's law for each energy; thin layers attenuate by the mean of μ over what the detector counts.
 */
export function beamHardening(spectrum: BeamSpectrum, material: Material, thicknesses: readonly number[], detectorWeight: DetectorWeight = 'screen'): HardeningPoint[] {
  const weight = weightOf(detectorWeight);
  let whole = 0;
  let thin = 0;
  spectrum.keV.forEach((keV, i) => {
    if (!(spectrum.photons[i] > 0)) return;
    const share = spectrum.photons[i] * weight(keV);
    whole += share;
    thin += share * linearAttenuation(material, keV);
  });
  thin /= whole;
  return thicknesses.map((thickness) => {
    const layers = [{ material, thickness }];
    const lineIntegral = -Math.log(transmission(spectrum, layers, weight)) + 0; // + 0: no −0
    const attenuation = thickness > 0 ? lineIntegral / thickness : thin;
    return { thickness, lineIntegral, attenuation, lost: 1 - attenuation / thin, meanEnergy: meanEnergy(spectrum, layers) };
  });
}
