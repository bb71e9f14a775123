import { energyShares, filtered, quantumChain, screenAbsorption, screenEnergy, statistics, tubeSpectrum } from '../../lib/index.ts';
import type { ChainOptions, EnergyShare, Layer, QuantumChain, ScreenCamera } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { count, evenly, normally } from './draws.ts';

/** kV, mAs, mm, mg/cm², f-number, mm, mm, electrons. */
export type PhotonsState = {
  readonly kVp: number; readonly mAs: number; readonly distance: number; readonly coating: number; readonly fNumber: number; readonly patch: number; readonly acrylic: number; readonly readNoise: number;
};

export interface PhotonsResult {
  readonly chain: QuantumChain;
  /** Variance of a pixel by where it comes from, electrons². */
  readonly parts: { readonly xrays: number; readonly light: number; readonly reading: number; readonly steps: number };
  /** The patch of screen, the mean of its open part by the formula 1. */
  readonly picture: { readonly width: number; readonly height: number; readonly data: Float32Array };
  /** The noise of the even part as the picture has it, and as the formula does; shares. */
  readonly measured: number;
  readonly formula: number;
  /** How often each value comes in the even part: pixels in a bin, drawn and by the formula. */
  readonly often: { readonly value: Float64Array; readonly drawn: Float64Array; readonly formula: Float64Array };
  /** Noise of one photograph against its exposure: as the chain has it, and were the X-rays absorbed all that counted. */
  readonly against: { readonly mAs: Float64Array; readonly chain: Float64Array; readonly xrays: Float64Array };
}

export const size = 64;
/** The lower half of the patch has discs in it that take this share of the light. */
export const discs = [0.02, 0.05, 0.1, 0.2];
const half = size / 2;
/** A camera that a workshop may have, invented: 4 µm pixels, half of the green light counted, 14 bits. */
const camera = { pixel: 0.004, quantumEfficiency: 0.5, fullWell: 15_000, bits: 14 } as const;
/** Everything between the target and the object: 2.5 mm of aluminium and a metre of air. */
const filters: readonly Layer[] = [{ material: 'aluminium', thickness: 2.5 }, { material: 'air', thickness: 1000 }];
const energies = 6;
export const exposures = { least: 0.1, most: 50 };
export const bins = 41;
/** The histogram reaches so many deviations to both sides. */
const reach = 4;

export const photons = definePlate<PhotonsState, PhotonsResult>({
  id: 'photons',
  title: 'From photons to noise',
  initial: { kVp: 80, mAs: 2, distance: 600, coating: 60, fNumber: 1.8, patch: 0.1, acrylic: 0, readNoise: 3 },
  controls: {
    mAs: { kind: 'range', label: 'Exposure of one photograph', min: exposures.least, max: exposures.most, step: 0.1, unit: 'mAs' },
    kVp: { kind: 'range', label: 'Voltage of the tube', min: 40, max: 120, step: 1, unit: 'kV' },
    distance: { kind: 'range', label: 'Tube to screen', min: 200, max: 1500, step: 10, unit: 'mm' },
    acrylic: { kind: 'range', label: 'Acrylic in the way', min: 0, max: 200, step: 1, unit: 'mm' },
    coating: { kind: 'range', label: 'Phosphor on the screen', min: 20, max: 130, step: 1, unit: 'mg/cm²' },
    patch: { kind: 'range', label: 'Screen that a pixel sees', min: 0.02, max: 0.5, step: 0.01, unit: 'mm' },
    fNumber: { kind: 'choice', label: 'Lens', as: 'list', options: [0.95, 1.4, 1.8, 2.8, 4, 5.6, 8].map((value) => ({ value, label: `f/${value}` })) },
    readNoise: { kind: 'range', label: 'Noise of reading a pixel', min: 0, max: 30, step: 0.5, unit: 'electrons' },
  },

  compute(state) {
    const spectrum = remember('photons-tube', String(state.kVp), () => tubeSpectrum({ kVp: state.kVp, filters, binWidth: 1 }));
    const object: readonly Layer[] = [{ material: 'acrylic', thickness: state.acrylic }];
    const rig: ChainOptions = { spectrum, mAs: state.mAs, sourceToScreen: state.distance, screen: { coating: state.coating }, camera: cameraOf(state), object };
    const chain = quantumChain(rig);
    const absorbed = chain.stages[1].quanta;
    const step = camera.fullWell / (2 ** camera.bits - 1);
    const still = { reading: state.readNoise ** 2, steps: step ** 2 / 12 };
    const parts = { xrays: chain.deviation ** 2 - chain.electrons - still.reading - still.steps, light: chain.electrons, ...still };
    // What is absorbed, by energy: few energies stand for the beam.
    const shares = energyShares(filtered(spectrum, object), (keV) => screenAbsorption(rig.screen, keV), energies);
    const picture = draw(chain, shares, rig, step);
    const even = { width: size, height: half, data: picture.data.subarray(0, size * half) };
    const { mean, deviation } = statistics(even);
    const formula = chain.relativeNoise;
    const mAs = Float64Array.from({ length: 61 }, (_, k) => exposures.least * (exposures.most / exposures.least) ** (k / 60));
    return {
      chain, parts, picture, formula,
      measured: mean > 0 ? deviation / mean : 0,
      often: histogramOf(even.data, formula),
      against: {
        mAs,
        // X-rays and light go with the exposure, reading and the steps of the file stay.
        chain: mAs.map((each) => Math.sqrt(((parts.xrays + parts.light) * each) / state.mAs + parts.reading + parts.steps) / ((chain.electrons * each) / state.mAs)),
        xrays: mAs.map((each) => 1 / Math.sqrt((absorbed * each) / state.mAs)),
      },
    };
  },

  describe(state, { chain, measured, formula }) {
    const at = (name: string) => short(chain.stages.find((stage) => stage.name === name)!.quanta);
    const full = chain.saturated ? ' The pixels are full: the camera shows white whatever arrives, and none of the figures for its noise holds. Expose less.' : '';
    const sink = chain.sink === 'X-rays absorbed'
      ? 'That is the smallest number on the way, so the X-rays rule the noise, as they should.'
      : `The smallest number on the way is not that but ${at(chain.sink)} (${chain.sink}): here the quantum sink lies behind the screen, and a lens that collects more would calm the picture with no more X-rays.`;
    return `In one pixel and photograph ${at('X-rays absorbed')} X-ray photons are absorbed, and ${at('electrons')} electrons are read. ${sink} The formula says ${percent(formula)} noise; the simulated patch has ${percent(measured)}. Absorbed photons alone would allow ${percent(1 / Math.sqrt(chain.stages[1].quanta))}.${full}`;
  },

  listings: [
    { file: 'physics/quantum-chain.ts', function: 'quantumChain', title: 'From the tube to a grey value' },
    { file: 'physics/screen.ts', function: 'screenEnergy', title: 'What the screen keeps' },
    { file: 'physics/lens-coupling.ts', function: 'lensCoupling', title: 'What the lens collects' },
  ],
  exports(_, { picture, often, against, formula }) {
    const numbers: Numbers[] = [
      { name: 'patch', label: 'The patch, mean 1', shape: [size, size], data: picture.data },
      { name: 'values', label: 'How often each value comes', columns: { value: often.value, 'pixels, drawn': often.drawn, 'pixels, by the formula': often.formula } },
      { name: 'noise', label: 'Noise against exposure', columns: { 'exposure (mAs)': against.mAs, 'noise, all stages': against.chain, 'noise, absorbed X-rays alone': against.xrays } },
    ];
    return { pictures: [{ name: 'patch', label: 'The patch', image: picture, window: shown(formula) }], numbers };
  },
});

/** Greys from black to white: four deviations to both sides, and never so few that the discs would burn out. */
export const shown = (noise: number): readonly [low: number, high: number] => [Math.max(0, 1 - Math.max(0.15, 4 * noise)), 1 + Math.max(0.15, 4 * noise)];
export const percent = (share: number) => `${short(100 * share)} %`;

function cameraOf({ patch, fNumber, readNoise }: PhotonsState): ScreenCamera {
  return { ...camera, patch, fNumber, readNoise };
}

/** How many electrons an X-ray of an energy gives on average, once absorbed. */
export function electronsOf(chain: QuantumChain, shares: readonly EnergyShare[], { screen }: ChainOptions): number[] {
  const kept = shares.map(({ keV }) => screenEnergy(screen, keV) / screenAbsorption(screen, keV));
  const mean = kept.reduce((sum, energy, k) => sum + shares[k].share * energy, 0);
  return kept.map((energy) => (chain.electrons / chain.stages[1].quanta) * (energy / mean));
}

/**
 * A patch of the screen as the camera has it, pixel by pixel: X-rays of each energy are absorbed by chance, each sets free electrons, which are counted by
 * chance once more, the reading adds its noise, and the file rounds. No formula for noise is in it. The screen's blur is left out, as in the chain.
 */
function draw(chain: QuantumChain, shares: readonly EnergyShare[], rig: ChainOptions, step: number): PhotonsResult['picture'] {
  const { xrays, light, read } = remember('photons-luck', '', () => {
    const pixels = size * size;
    const luck = (seed: number) => ({ u: evenly(seed, pixels), z: normally(seed + 500, pixels) });
    return { xrays: Array.from({ length: energies }, (_, k) => luck(101 + k)), light: luck(201), read: normally(301, pixels) };
  });
  const gains = electronsOf(chain, shares, rig);
  const absorbed = chain.stages[1].quanta;
  const { readNoise, fullWell } = rig.camera;
  const through = remember('photons-discs', '', () => Float32Array.from({ length: size * size }, (_, i) => throughDiscs((i % size) + 0.5, Math.floor(i / size) + 0.5)));
  const data = new Float32Array(size * size);
  for (let i = 0; i < data.length; i++) {
    let mean = 0;
    for (let k = 0; k < shares.length; k++) mean += gains[k] * count(absorbed * shares[k].share * through[i], xrays[k].u[i], xrays[k].z[i]);
    const electrons = count(mean, light.u[i], light.z[i]) + readNoise * read[i];
    data[i] = (step * Math.round(Math.min(fullWell, electrons) / step)) / chain.electrons;
  }
  return { width: size, height: size, data };
}

function throughDiscs(x: number, y: number): number {
  const wide = size / discs.length;
  const k = Math.min(discs.length - 1, Math.floor(x / wide));
  return Math.hypot(x - (k + 0.5) * wide, y - 1.5 * half) < 0.35 * wide ? 1 - discs[k] : 1;
}

/** Pixels in each of `bins` bins about 1, and how many a bell curve with this noise would put there. */
function histogramOf(data: Float32Array, noise: number): PhotonsResult['often'] {
  const width = (2 * reach * noise) / bins;
  const value = Float64Array.from({ length: bins }, (_, k) => 1 + (k - (bins - 1) / 2) * width);
  const drawn = new Float64Array(bins);
  for (const each of data) {
    const k = Math.floor((each - 1) / width + bins / 2);
    if (k >= 0 && k < bins) drawn[k]++;
  }
  const bell = value.map((each) => (data.length * width * Math.exp(-(((each - 1) / noise) ** 2) / 2)) / (noise * Math.sqrt(2 * Math.PI)));
  return { value, drawn, formula: bell };
}
