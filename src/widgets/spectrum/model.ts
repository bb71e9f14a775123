import { airKerma, effectiveEnergy, energyShares, filtered, halfValueLayer, linearAttenuation, meanEnergy, tubeSpectrum } from '../../lib/index.ts';
import type { Anode, BeamSpectrum, Layer, Material } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';

export type Wall = 'glass' | 'beryllium';
export type FilterMaterial = 'aluminium' | 'copper' | 'tin' | 'molybdenum';
/** kVp in kV, thickness in mm. */
export type SpectrumState = { readonly anode: Anode; readonly kVp: number; readonly wall: Wall; readonly filter: FilterMaterial; readonly thickness: number };

/** What a beam is, in numbers. */
export interface Reading {
  /** Air kerma, µGy/mAs at 1 m; known within a factor of 2. */
  readonly kerma: number;
  /** Photons for each mm² at 1 m and mAs. */
  readonly photons: number;
  /** keV */
  readonly mean: number;
  readonly effective: number;
  /** Half-value layers in aluminium, mm. */
  readonly first: number;
  readonly second: number;
}

export interface SpectrumResult {
  readonly keV: Float64Array;
  /** Photons for each keV, as shares of the most before the filter. */
  readonly before: Float64Array;
  readonly after: Float64Array;
  /** Photons for each keV, mm² at 1 m and mAs. */
  readonly counts: { readonly before: Float64Array; readonly after: Float64Array };
  readonly readings: { readonly before: Reading; readonly after: Reading };
  /** What is left of the air kerma behind aluminium, mm. */
  readonly decay: { readonly mm: Float64Array; readonly before: Float64Array; readonly after: Float64Array };
  /** The stair as the screen shows it, the open screen 1: above without the filter, below with it. */
  readonly stair: { readonly width: number; readonly height: number; readonly data: Float32Array };
}

/** Steps of the aluminium stair, mm. */
export const steps = [0, 1, 2, 3, 4, 6, 8, 10, 13, 16];
export const deepest = 16;
const bin = 1; // keV
/** mm; and a metre of air. Invented, within what such tubes have. */
const walls: Readonly<Record<Wall, Layer>> = { glass: { material: 'borosilicate', thickness: 1.5 }, beryllium: { material: 'beryllium', thickness: 1 } };
const air: Layer = { material: 'air', thickness: 1000 };
const thickest: Readonly<Record<FilterMaterial, number>> = { aluminium: 10, copper: 2, tin: 1, molybdenum: 0.1 };

export const spectrum = definePlate<SpectrumState, SpectrumResult>({
  id: 'spectrum',
  title: 'A tube’s beam and a filter',
  initial: { anode: 'tungsten', kVp: 80, wall: 'glass', filter: 'aluminium', thickness: 2.5 },
  controls: {
    kVp: { kind: 'range', label: 'Voltage of the tube', min: 20, max: 120, step: 1, unit: 'kV', play: 10 },
    anode: { kind: 'choice', label: 'Anode', options: [{ value: 'tungsten', label: 'tungsten' }, { value: 'molybdenum', label: 'molybdenum' }] },
    wall: { kind: 'choice', label: 'Wall of the tube', options: [{ value: 'glass', label: 'glass, 1.5 mm' }, { value: 'beryllium', label: 'beryllium, 1 mm' }] },
    filter: { kind: 'choice', label: 'Filter', options: (Object.keys(thickest) as FilterMaterial[]).map((value) => ({ value, label: value })) },
    thickness: { kind: 'range', label: 'Thickness of the filter', min: 0, max: ({ filter }) => thickest[filter], step: 0.01, unit: 'mm' },
  },

  compute({ anode, kVp, wall, filter, thickness }) {
    const open = remember('spectrum-open', `${anode} ${kVp} ${wall}`, () => beamOf(tubeSpectrum({ anode, kVp, filters: [walls[wall], air], binWidth: bin })));
    const behind = beamOf(filtered(open.beam, [{ material: filter, thickness }]));
    const most = open.beam.photons.reduce((largest, count) => Math.max(largest, count), 0);
    const perKeV = (photons: Float64Array) => photons.map((count) => count / bin);
    const stair = new Float32Array(2 * steps.length);
    [open, behind].forEach(({ light }, row) => steps.forEach((mm, column) => (stair[row * steps.length + column] = light(mm))));
    const mm = Float64Array.from({ length: 81 }, (_, k) => (deepest * k) / 80);
    return {
      keV: open.beam.keV.slice(),
      before: open.beam.photons.map((count) => count / most),
      after: behind.beam.photons.map((count) => count / most),
      counts: { before: perKeV(open.beam.photons), after: perKeV(behind.beam.photons) },
      readings: { before: open.reading, after: behind.reading },
      decay: { mm, before: mm.map(open.kerma), after: mm.map(behind.kerma) },
      stair: { width: steps.length, height: 2, data: stair },
    };
  },

  describe({ anode, kVp, wall, filter, thickness }, { readings: { before, after } }) {
    const cost = thickness === 0 ? 'No filter is in the beam.' : `${short(thickness)} mm of ${filter} leave ${percent(after.kerma / before.kerma)} of its air kerma and raise its mean energy from ${keV(before.mean)} to ${keV(after.mean)}.`;
    const soft = wall === 'beryllium' && anode === 'tungsten' && (filter !== 'aluminium' ? thickness < 0.03 : thickness < 0.8)
      ? ' With so little in the way the true beam is softer than this one, and stronger: tungsten’s L lines, below 12 keV, are not in it.' : '';
    return `A ${anode} tube at ${kVp} kV behind its own ${wall}. ${cost} The half-value layer is ${short(after.first)} mm of aluminium, as for photons of ${keV(after.effective)}, and the next is ${short(after.second)} mm. `
      + `Air kerma at 1 m: ${short(after.kerma)} µGy for each mAs by this estimate, which a real tube may miss by a factor of 2; measure yours.${soft}`;
  },

  listings: [
    { file: 'physics/tube-spectrum.ts', function: 'tubeSpectrum', title: 'The beam of a tube' },
    { file: 'physics/half-value-layer.ts', function: 'halfValueLayer', title: 'The half-value layer' },
    { file: 'physics/effective-energy.ts', function: 'effectiveEnergy', title: 'The energy that stands for a beam' },
  ],
  exports(_, { keV, counts, decay, stair }) {
    const numbers: Numbers[] = [
      { name: 'spectrum', label: 'The spectrum', columns: { 'energy (keV)': keV, 'before the filter (photons per keV, mm² at 1 m, mAs)': counts.before, 'behind it': counts.after } },
      { name: 'decay', label: 'Behind aluminium', columns: { 'aluminium (mm)': decay.mm, 'air kerma left, without the filter': decay.before, 'with it': decay.after } },
    ];
    return { pictures: [{ name: 'stair', label: 'The stair on the screen', image: stair, window: [0, 1] }], numbers };
  },
});

const keV = (value: number) => `${value.toFixed(1)} keV`;
const percent = (share: number) => `${short(100 * share, 2)} %`;

interface Beam {
  readonly beam: BeamSpectrum;
  readonly reading: Reading;
  /** What the screen shows, and the air kerma, behind mm of aluminium, as shares. */
  readonly light: (mm: number) => number;
  readonly kerma: (mm: number) => number;
}

function beamOf(beam: BeamSpectrum): Beam {
  const { first, second } = halfValueLayer(beam, 'aluminium');
  return {
    beam,
    reading: { kerma: airKerma(beam), photons: beam.photons.reduce((sum, count) => sum + count, 0), mean: meanEnergy(beam), effective: effectiveEnergy(beam), first, second },
    light: behind(energyShares(beam, 'screen'), 'aluminium'),
    kerma: behind(energyShares(beam, 'air kerma'), 'aluminium'),
  };
}

/** The share that is left behind mm of a material; its attenuation is looked up once for each energy. */
function behind(shares: readonly { readonly keV: number; readonly share: number }[], material: Material): (mm: number) => number {
  const mu = shares.map(({ keV }) => linearAttenuation(material, keV));
  return (mm) => shares.reduce((sum, { share }, k) => sum + share * Math.exp(-mu[k] * mm), 0);
}
