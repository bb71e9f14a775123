import { describe, expect, test } from 'vitest';
import {
  contrastPerNoise, countNoise, equalAngles, fbp, lensCoupling, lineIntegralNoise, logOfCounts, parallelBeam, quantumChain, reconstructionNoise, screenAbsorption, screenBlur, screenEnergy, screenLight,
  transmission, tubeSpectrum, type BeamSpectrum, type ChainOptions, type ScreenCamera,
} from '../../src/lib/index.ts';
import { random } from './support/simulated-photographs.ts';

const camera: ScreenCamera = { pixel: 0.0043, patch: 0.2, fNumber: 1.8, quantumEfficiency: 0.5, readNoise: 3, fullWell: 30_000, bits: 14 };
const spectrum = tubeSpectrum({ kVp: 75, filters: [{ material: 'aluminium', thickness: 2 }] });
const usual: ChainOptions = { spectrum, mAs: 10, sourceToScreen: 600, screen: { coating: 100 }, camera };
const quanta = (options: ChainOptions) => Object.fromEntries(quantumChain(options).stages.map(({ name, quanta: n }) => [name, n]));

describe('the screen', () => {
  test('a thicker one stops more, of every energy', () => {
    for (const keV of [20, 49, 51, 80, 120]) {
      expect(screenAbsorption({ coating: 120 }, keV)).toBeGreaterThan(screenAbsorption({ coating: 60 }, keV));
      expect(screenAbsorption({ coating: 60 }, keV)).toBeGreaterThan(0);
    }
  });
  test('keeps all of what it stops below gadolinium’s K edge, and loses some of the K photons above; a thicker one loses less of each', () => {
    expect(screenEnergy({ coating: 100 }, 45)).toBeCloseTo(45 * screenAbsorption({ coating: 100 }, 45), 12);
    const kept = (coating: number, keV: number) => screenEnergy({ coating }, keV) / (keV * screenAbsorption({ coating }, keV));
    expect(kept(100, 52)).toBeLessThan(0.8);
    expect(kept(100, 52)).toBeGreaterThan(0.3);
    expect(kept(300, 52)).toBeGreaterThan(kept(100, 52));
    expect(kept(100, 100)).toBeGreaterThan(kept(100, 52));
    expect(kept(1e6, 52), 'a screen of a metre keeps nearly all').toBeGreaterThan(0.99);
  });
  test('gives light and blur in proportion, and refuses a coating of nothing', () => {
    expect(screenLight({ coating: 100 })).toBe(30);
    expect(screenBlur({ coating: 200 }) / screenBlur({ coating: 100 })).toBeCloseTo(2, 12);
    expect(screenBlur({ coating: 100 })).toBeGreaterThan(0.1);
    expect(screenBlur({ coating: 100 })).toBeLessThan(0.5);
    for (const coating of [0, -1, NaN]) expect(() => screenAbsorption({ coating }, 50)).toThrow('should be above 0');
    expect(() => screenLight({ coating: 100, escape: 2 })).toThrow('at most 1');
  });
});

describe('lensCoupling(fNumber, magnification, lensTransmission)', () => {
  test('by hand: F/2, a tenth of the size, all let through: 1/(1 + 4·4·121)', () => {
    expect(lensCoupling(2, 0.1, 1)).toBeCloseTo(1 / 1937, 12);
  });
  test('a stop more aperture or a nearer camera gathers more, never all', () => {
    expect(lensCoupling(1.4, 0.1)).toBeGreaterThan(lensCoupling(2, 0.1));
    expect(lensCoupling(2, 0.2)).toBeGreaterThan(lensCoupling(2, 0.1));
    expect(lensCoupling(0.01, 100, 1)).toBeLessThan(1);
    for (const [f, m, t] of [[0, 0.1, 1], [2, 0, 1], [2, 0.1, 0], [2, 0.1, 1.1]]) expect(() => lensCoupling(f, m, t)).toThrow(/should be above 0/);
  });
});

describe('quantumChain(options)', () => {
  test('quanta go with mAs, with the inverse square and with the patch', () => {
    const [one, twice, far] = [usual, { ...usual, mAs: 20 }, { ...usual, sourceToScreen: 1200 }].map(quanta);
    for (const name of Object.keys(one)) {
      expect(twice[name] / one[name], name).toBeCloseTo(2, 9);
      expect(far[name] / one[name], name).toBeCloseTo(0.25, 9);
    }
    expect(quanta({ ...usual, camera: { ...camera, patch: 0.4 } })['X-rays arriving'] / one['X-rays arriving']).toBeCloseTo(4, 9);
  });
  test('the share of electrons left behind an object is what the screen’s transmission says', () => {
    const object = [{ material: 'acrylic', thickness: 40 }] as const;
    expect(quanta({ ...usual, object }).electrons / quanta(usual).electrons).toBeCloseTo(transmission(spectrum, object, 'screen'), 9);
  });
  test('the sink is the stage with the fewest quanta: electrons with a far camera, absorbed X-rays with a near one', () => {
    const far = quantumChain(usual);
    expect(far.sink).toBe('electrons');
    const near = quantumChain({ ...usual, camera: { ...camera, pixel: 0.2, fNumber: 0.95, fullWell: 1e7, bits: 16 } });
    expect(near.sink).toBe('X-rays absorbed');
    for (const chain of [far, near]) expect(chain.stages.find(({ name }) => name === chain.sink)!.quanta).toBe(Math.min(...chain.stages.map(({ quanta: n }) => n)));
    // with light to spare the noise is that of the X-rays absorbed, a little more for their different energies
    const absorbed = near.stages[1].quanta;
    expect(near.relativeNoise * Math.sqrt(absorbed)).toBeGreaterThan(1);
    expect(near.relativeNoise * Math.sqrt(absorbed)).toBeLessThan(1.3);
    // with little light it is that of the electrons
    expect(far.relativeNoise * Math.sqrt(far.electrons)).toBeGreaterThan(1);
    expect(far.relativeNoise * Math.sqrt(far.electrons)).toBeLessThan(1.1);
  });
  test('photons of one energy: the noise by hand', () => {
    const beam: BeamSpectrum = { keV: Float64Array.of(40), width: 1, photons: Float64Array.of(1e4) };
    const { deviation, electrons, stages } = quantumChain({ ...usual, spectrum: beam, sourceToScreen: 1000, mAs: 1 });
    const n = 1e4 * 0.2 ** 2 * screenAbsorption({ coating: 100 }, 40);
    const each = 40 * 30 * lensCoupling(1.8, 0.0043 / 0.2) * 0.5;
    expect(stages[1].quanta).toBeCloseTo(n, 9);
    expect(electrons).toBeCloseTo(n * each, 9);
    expect(deviation).toBeCloseTo(Math.sqrt(n * each ** 2 + n * each + 9 + (30_000 / 16_383) ** 2 / 12), 9);
  });
  test('grey values follow the electrons and stop at the full well', () => {
    const { grey, electrons, saturated } = quantumChain(usual);
    expect(grey / 16_383).toBeCloseTo(electrons / 30_000, 9);
    expect(saturated).toBe(false);
    expect(quantumChain({ ...usual, mAs: 10_000 })).toMatchObject({ grey: 16_383, saturated: true });
  });
  test('what cannot be is refused', () => {
    expect(() => quantumChain({ ...usual, mAs: 0 })).toThrow('exposure is 0 mAs');
    expect(() => quantumChain({ ...usual, sourceToScreen: -1 })).toThrow('-1 mm from the source');
    expect(() => quantumChain({ ...usual, camera: { ...camera, bits: 8.5 } })).toThrow('8.5 bits');
    expect(() => quantumChain({ ...usual, camera: { ...camera, quantumEfficiency: 1.2 } })).toThrow('quantum efficiency');
    expect(() => quantumChain({ ...usual, camera: { ...camera, patch: 0 } })).toThrow('patch of screen is 0 mm');
    expect(() => quantumChain({ ...usual, camera: { ...camera, readNoise: -1 } })).toThrow('read noise');
  });
});

describe('noise', () => {
  test('logOfCounts: as Poisson’s first orders say for many, and worse for few', () => {
    const { bias, deviation } = logOfCounts(1e4);
    expect(bias * 2e4).toBeCloseTo(1, 3);
    expect(deviation * 100).toBeCloseTo(1, 3);
    expect(logOfCounts(20).deviation).toBeGreaterThan(1.02 * countNoise(20));
    for (const mean of [0, -1, NaN, 1e9]) expect(() => logOfCounts(mean)).toThrow('The mean count');
    expect(() => countNoise(0)).toThrow('above 0');
    expect(lineIntegralNoise(1e4, 0)).toBe(0.01);
  });
  test('contrastPerNoise is greatest at 2', () => {
    for (const p of [0.5, 1, 1.9, 2.1, 3, 5]) expect(contrastPerNoise(p)).toBeLessThan(contrastPerNoise(2));
  });
  // The pixel at the middle of the axis lies on a sample of every view, where no interpolation smooths; its deviation over many noisy sinograms.
  test.each(['ramp', 'hann'] as const)('reconstructionNoise is what reconstructions of noise show (%s)', (window) => {
    const next = random(5);
    const gaussian = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
    const views = 60;
    const geometry = parallelBeam({ angles: equalAngles(views, Math.PI), detectors: 33, pitch: 0.5 });
    const grid = { width: 1, height: 1, pixelSize: 0.5 };
    const found: number[] = [];
    for (let k = 0; k < 1500; k++) {
      const data = Float32Array.from({ length: views * 33 }, () => 0.01 * gaussian());
      found.push(fbp({ views, detectors: 33, data }, geometry, { window, grid }).data[0]);
    }
    const deviation = Math.sqrt(found.reduce((sum, each) => sum + each * each, 0) / found.length);
    expect(deviation / reconstructionNoise(0.01, views, 0.5, { window })).toBeGreaterThan(0.93); // ± 1.8 % of chance
    expect(deviation / reconstructionNoise(0.01, views, 0.5, { window })).toBeLessThan(1.07);
  });
});
