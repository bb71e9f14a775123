import type { EnergyShare } from '../phantom/project-light.ts';
import type { BeamSpectrum } from './beam-spectrum.ts';
import { weightOf, type DetectorWeight } from './detector-weight.ts';

/**
 * A beam in few energies, for projectLight and hardeningCurve: how much of what the detector shows comes from each. The bins are put together
 * to `count` energies of equal shares, each at the mean energy of its part; all bins when count is left out. The shares add up to 1.
 * Throws RangeError for a count that is not a whole number from 1, or a beam without photons.
 */
export function energyShares(spectrum: BeamSpectrum, detectorWeight: DetectorWeight = 'screen', count = Infinity): EnergyShare[] {
  if (!(count === Infinity || (Number.isInteger(count) && count >= 1))) throw new RangeError(`The beam was to be put into ${count} energies; it should be a whole number from 1.`);
  const weight = weightOf(detectorWeight);
  const bins = [...spectrum.keV].map((keV, i) => ({ keV, share: spectrum.photons[i] > 0 ? spectrum.photons[i] * weight(keV) : 0 })).filter(({ share }) => share > 0);
  const whole = bins.reduce((sum, { share }) => sum + share, 0);
  if (!(whole > 0)) throw new RangeError('The beam holds no photons that the detector counts.');
  const shares = bins.map(({ keV, share }) => ({ keV, share: share / whole }));
  if (count >= shares.length) return shares;
  const parts = Array.from({ length: count }, () => ({ energy: 0, share: 0 }));
  let before = 0;
  for (const { keV, share } of shares) {
    const part = parts[Math.min(count - 1, Math.floor((before + share / 2) * count))];
    part.energy += keV * share;
    part.share += share;
    before += share;
  }
  return parts.filter(({ share }) => share > 0).map(({ energy, share }) => ({ keV: energy / share, share }));
}
