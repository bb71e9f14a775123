import { disc, linearAttenuation, materials, parallelBeam, projectPhantom, rasterize, type Image, type Material } from '../../lib/index.ts';
import { definePlate } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';

export type RayState = { energy: number; offset: number; angle: number; filling: 'aluminium' | 'bone' | 'water' | 'air' };

/** The acrylic disc and its bore, mm. Invented. */
export const body = { radius: 30, bore: { x: 11, y: 6, radius: 7 } };
export const halfField = 40;

/** One stretch of the way through a material. */
export interface Crossing {
  readonly material: Material;
  readonly title: string;
  /** 1/mm */
  readonly attenuation: number;
  /** mm of the ray inside it */
  readonly chord: number;
}

export interface RayResult {
  readonly image: Image;
  readonly crossings: readonly Crossing[];
  /** Σ attenuation · chord, and what it leaves of the light. */
  readonly integral: number;
  readonly brightness: number;
  /** The whole shadow: position along the detector (mm), line integral, brightness. */
  readonly position: Float32Array;
  readonly integrals: Float32Array;
  readonly brightnesses: Float32Array;
}

const { bore } = body;
const whole = disc(0, 0, body.radius, 1);
/** Each material with value 1: line integrals are then mm of that material. */
const acrylic = [whole, disc(bore.x, bore.y, bore.radius, -1)];
const filled = [disc(bore.x, bore.y, bore.radius, 1)];
const grid = { width: 128, height: 128, pixelSize: (2 * halfField) / 128 };
const cells = { detectors: 321, pitch: (2 * halfField) / 320 };

/** Shares of a pixel that each material fills; they depend on nothing. */
const shares = () => remember('ray', 'shares', () => ({ acrylic: rasterize(acrylic, grid).data, filled: rasterize(filled, grid).data }));

export const ray = definePlate<RayState, RayResult>({
  id: 'ray',
  title: 'One ray through two materials',
  initial: { energy: 60, offset: 9, angle: 0, filling: 'aluminium' },
  controls: {
    energy: { kind: 'range', label: 'Photon energy', min: 20, max: 100, step: 1, unit: 'keV' },
    offset: { kind: 'range', label: 'Ray’s distance from the centre', min: -halfField, max: halfField, step: 0.25, unit: 'mm' },
    angle: { kind: 'range', label: 'Angle of view', min: 0, max: 180, step: 1, unit: '°' },
    filling: { kind: 'choice', label: 'The bore holds', options: [{ value: 'aluminium', label: 'aluminium' }, { value: 'bone', label: 'bone' }, { value: 'water', label: 'water' }, { value: 'air', label: 'air' }] },
  },
  runs: 'page',

  compute({ energy, offset, angle, filling }) {
    const angles = [(angle * Math.PI) / 180];
    const mu = { acrylic: linearAttenuation('acrylic', energy), filled: linearAttenuation(filling, energy) };

    // The chosen ray is a detector of one cell, set where the ray arrives.
    const one = parallelBeam({ angles, detectors: 1, pitch: 1, axisOffset: -offset });
    const crossings = [
      { material: 'acrylic' as const, title: materials.acrylic.title, attenuation: mu.acrylic, chord: projectPhantom(acrylic, one).data[0] },
      { material: filling, title: materials[filling].title, attenuation: mu.filled, chord: projectPhantom(filled, one).data[0] },
    ];
    const integral = crossings.reduce((sum, { attenuation, chord }) => sum + attenuation * chord, 0);

    const all = parallelBeam({ angles, ...cells });
    const through = { acrylic: projectPhantom(acrylic, all).data, filled: projectPhantom(filled, all).data };
    const integrals = through.acrylic.map((mm, j) => mm * mu.acrylic + through.filled[j] * mu.filled);
    const share = shares();
    return {
      image: { ...grid, data: share.acrylic.map((part, i) => part * mu.acrylic + share.filled[i] * mu.filled) },
      crossings,
      integral,
      brightness: Math.exp(-integral),
      position: Float32Array.from(integrals, (_, j) => j * cells.pitch - halfField),
      integrals,
      brightnesses: integrals.map((p) => Math.exp(-p)),
    };
  },

  describe({ energy, offset, angle }, { crossings, integral, brightness }) {
    const met = crossings.filter(({ chord }) => chord > 1e-6).map(({ title, chord }) => `${chord.toFixed(1)} mm of ${title}`);
    const where = `At ${energy} keV and an angle of view of ${angle}°, the ray ${offset === 0 ? 'through the centre' : `${offset < 0 ? '−' : '+'}${Math.abs(offset)} mm from the centre`}`;
    if (met.length === 0) return `${where} misses the disc: all of its light arrives, and its line integral is 0.`;
    return `${where} crosses ${met.join(' and ')}. Its line integral is ${integral.toFixed(3)}, and ${(100 * brightness).toPrecision(3)} % of its light arrives.`;
  },

  listings: [
    { file: 'physics/attenuation.ts', function: 'linearAttenuation' },
    { file: 'phantom/project-phantom.ts' },
  ],
  exports: ({ energy }, { image, position, integrals, brightnesses, crossings }) => ({
    pictures: [{ name: 'disc', label: 'The disc', image, window: [0, Math.max(...crossings.map(({ attenuation }) => attenuation))] }],
    numbers: [
      { name: `shadow-${energy}keV`, label: 'The shadow as a table', columns: { 'position mm': position, 'line integral': integrals, brightness: brightnesses } },
      { name: 'disc', label: 'The disc, 1/mm', shape: [image.height, image.width], data: image.data },
    ],
  }),
});
