import { linearAttenuation, type Material } from './attenuation.ts';
import type { BeamSpectrum } from './beam-spectrum.ts';
import { weightOf, type DetectorWeight } from './detector-weight.ts';

export interface HalfValueLayer {
  /** mm that halve the beam, and mm more that halve it again. */
  readonly first: number;
  readonly second: number;
  /** first/second: 1 for photons of one energy, less for a mixture. */
  readonly homogeneity: number;
}

/**
 * The half-value layers of a beam in a material: the thicknesses, mm, behind which a detector shows a half and a quarter (narrow beam).
 * By halving an interval. Throws RangeError for a beam without photons.
 * Source: the definition, as in IEC 61267 and ISO 4037-1.
 */
export function halfValueLayer(spectrum: BeamSpectrum, material: Material, detectorWeight: DetectorWeight = 'air kerma'): HalfValueLayer {
  const weight = weightOf(detectorWeight);
  const bins = [...spectrum.keV.keys()].filter((i) => spectrum.photons[i] > 0);
  const shares = bins.map((i) => spectrum.photons[i] * weight(spectrum.keV[i]));
  const mu = bins.map((i) => linearAttenuation(material, spectrum.keV[i]));
  const whole = shares.reduce((sum, share) => sum + share, 0);
  if (!(whole > 0)) throw new RangeError('The beam holds no photons that the detector counts, so it has no half-value layer.');
  const left = (thickness: number) => shares.reduce((sum, share, k) => sum + share * Math.exp(-mu[k] * thickness), 0) / whole;
  const thicknessFor = (share: number) => {
    let [low, high] = [0, 1e-3];
    while (left(high) > share) [low, high] = [high, 2 * high];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (left(middle) > share) low = middle;
      else high = middle;
    }
    return (low + high) / 2;
  };
  const first = thicknessFor(1 / 2);
  const second = thicknessFor(1 / 4) - first;
  return { first, second, homogeneity: first / second };
}
