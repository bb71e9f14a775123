import { linearAttenuation, type Material } from './attenuation.ts';

/** A beam by the energies of its photons, in bins of equal width. */
export interface BeamSpectrum {
  /** The middle of each bin, keV, rising. */
  readonly keV: Float64Array;
  /** Width of a bin, keV. */
  readonly width: number;
  /** Photons of each bin, per mm² at 1 m from the focal spot and per mAs; in proportion only, where a spectrum is made up. */
  readonly photons: Float64Array;
}

/** A sheet in the beam: what it is made of and how thick it is, mm; the table's density unless another (g/cm³) is given. */
export interface Layer {
  readonly material: Material;
  readonly thickness: number;
  readonly density?: number;
}

/** Σ μ·thickness of layers at an energy, without unit. Throws RangeError for a thickness below 0. */
export function layersIntegral(layers: readonly Layer[], keV: number): number {
  let sum = 0;
  for (const { material, thickness, density } of layers) {
    if (!(thickness >= 0 && thickness < Infinity)) throw new RangeError(`The layer of ${material} is ${thickness} mm thick; it should be 0 or more.`);
    if (thickness > 0) sum += linearAttenuation(material, keV, density) * thickness;
  }
  return sum;
}

/** The spectrum behind layers: each bin times e^(−Σ μ·thickness). Narrow beam: what is scattered counts as lost. */
export function filtered(spectrum: BeamSpectrum, layers: readonly Layer[]): BeamSpectrum {
  return { ...spectrum, photons: spectrum.photons.map((count, i) => (count > 0 ? count * Math.exp(-layersIntegral(layers, spectrum.keV[i])) : 0)) };
}
