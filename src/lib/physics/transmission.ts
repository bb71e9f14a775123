import { filtered, layersIntegral, type BeamSpectrum, type Layer } from './beam-spectrum.ts';
import { weightOf, type DetectorWeight } from './detector-weight.ts';

/**
 * What a detector shows behind layers, as a share of what it shows without them (1 for no layers).
 *   T = Σ photons · weight · e^(−Σ μ·thickness) / Σ photons · weight
 * Narrow beam: scattered photons that still arrive are not counted. Throws RangeError for a beam without photons.
 * Source: Beer and Lambert's law for each energy.
 */
export function transmission(spectrum: BeamSpectrum, layers: readonly Layer[], detectorWeight: DetectorWeight = 'screen'): number {
  const weight = weightOf(detectorWeight);
  let whole = 0;
  let through = 0;
  spectrum.keV.forEach((keV, i) => {
    if (!(spectrum.photons[i] > 0)) return;
    const share = spectrum.photons[i] * weight(keV);
    whole += share;
    through += share * Math.exp(-layersIntegral(layers, keV));
  });
  if (!(whole > 0)) throw new RangeError('The beam holds no photons that the detector counts.');
  return through / whole;
}

/** The mean energy of what a detector counts, keV; behind layers where they are given. */
export function meanEnergy(spectrum: BeamSpectrum, layers: readonly Layer[] = [], detectorWeight: DetectorWeight = 'photons'): number {
  const weight = weightOf(detectorWeight);
  const { keV, photons } = filtered(spectrum, layers);
  let whole = 0;
  let sum = 0;
  keV.forEach((at, i) => {
    if (!(photons[i] > 0)) return;
    whole += photons[i] * weight(at);
    sum += photons[i] * weight(at) * at;
  });
  if (!(whole > 0)) throw new RangeError('The beam holds no photons that the detector counts.');
  return sum / whole;
}
