import { edgesOf, linearAttenuation, type Material } from './attenuation.ts';
import type { BeamSpectrum } from './beam-spectrum.ts';
import type { DetectorWeight } from './detector-weight.ts';
import { halfValueLayer } from './half-value-layer.ts';

/**
 * The energy whose photons have the same first half-value layer in a material as a beam, keV: where μ(E) = ln 2/first.
 * It depends on the material and on the detector, so both are part of the answer; it lies below the beam's mean energy more often than not.
 * Throws RangeError for a beam without photons, and for a material with an edge within the beam, in which two energies may answer.
 * Source: the definition, common practice.
 */
export function effectiveEnergy(spectrum: BeamSpectrum, material: Material = 'aluminium', detectorWeight: DetectorWeight = 'air kerma'): number {
  const mu = Math.LN2 / halfValueLayer(spectrum, material, detectorWeight).first;
  const present = spectrum.keV.filter((_, i) => spectrum.photons[i] > 0);
  let [low, high] = [present[0], present[present.length - 1]];
  const edge = edgesOf(material).find(({ keV }) => keV > low && keV < high);
  if (edge) throw new RangeError(`An effective energy in ${material} would be ambiguous, since the beam lies on both sides of an edge at ${edge.keV} keV; take aluminium.`);
  for (let k = 0; k < 60; k++) {
    const middle = (low + high) / 2;
    if (linearAttenuation(material, middle) > mu) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
