import { massEnergyAbsorption } from './attenuation.ts';
import type { BeamSpectrum } from './beam-spectrum.ts';

/**
 * Air kerma in free air of a beam, µGy per mAs: the energy that its photons hand to a gram of air.
 *   K = Σ photons · E · μen/ρ of air · (1 m/distance)²
 * distance: from the focal spot, mm; 1000 when left out. The air on the way takes a little more (put it among the filters).
 * The spectrum's own uncertainty, a factor of 2 (tubeSpectrum), is in it. An estimate, no measurement: it says nothing
 * about whether a set-up is safe. A tube with a thin window and no filter gives many times more, nearly all of it soft.
 * Throws RangeError for a distance of 0 or below.
 * Source: the definition, ICRU Report 85 (2011); photons of up to 120 keV lose next to nothing by radiation in air.
 */
export function airKerma(spectrum: BeamSpectrum, distance = 1000): number {
  if (!(distance > 0)) throw new RangeError(`The distance is ${distance} mm and should be above 0.`);
  let perGram = 0; // keV/g: photons per cm², times keV, times cm²/g
  spectrum.keV.forEach((keV, i) => {
    if (spectrum.photons[i] > 0) perGram += 100 * spectrum.photons[i] * keV * massEnergyAbsorption('air', keV);
  });
  return perGram * joulePerKeV * 1000 * 1e6 * (1000 / distance) ** 2;
}

const joulePerKeV = 1.602176634e-16;
