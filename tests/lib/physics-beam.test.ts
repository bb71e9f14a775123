import { describe, expect, test } from 'vitest';
import {
  airKerma, beamHardening, edgesOf, effectiveEnergy, energyShares, filtered, halfValueLayer, hardeningCurve, linearAttenuation, manyEnergies, materials, meanEnergy, transmission, tubeSpectrum,
  type Anode, type BeamSpectrum, type DetectorWeight, type Layer, type Material,
} from '../../src/lib/index.ts';
import { bremsstrahlung } from '../../src/lib/physics/bremsstrahlung.ts';
import { electronStopping } from '../../src/lib/physics/electron-stopping.ts';
import { shellIonisation } from '../../src/lib/physics/shell-ionisation.ts';
import { anodes } from '../../src/lib/physics/anodes.ts';

const sheet = (material: Material, thickness: number): Layer => ({ material, thickness });
const tube = tubeSpectrum({ kVp: 90, filters: [sheet('aluminium', 2.5)] });
const line = (keV: number): BeamSpectrum => ({ keV: Float64Array.of(keV), width: 1, photons: Float64Array.of(7) });
const count = ({ photons }: BeamSpectrum) => photons.reduce((sum, each) => sum + each, 0);
const weights: DetectorWeight[] = ['air kerma', 'energy', 'photons', 'screen'];

describe('tubeSpectrum(options)', () => {
  test.each([['tungsten', 40], ['tungsten', 120], ['tungsten', 67.3], ['molybdenum', 15], ['molybdenum', 30]] as const)('%s, %d kV: bins from 5 keV to the voltage, none below 0, none beyond', (anode, kVp) => {
    const { keV, photons, width } = tubeSpectrum({ anode, kVp, filters: [] });
    expect(keV[0]).toBe(5 + width / 2);
    expect(keV[keV.length - 1]).toBeLessThan(kVp + width / 2);
    expect(keV[keV.length - 1]).toBeGreaterThan(kVp - width);
    expect(photons.every((each) => each > 0 && Number.isFinite(each))).toBe(true);
  });

  test('how wide the bins are changes neither the number of photons nor the half-value layer, within 2 %', () => {
    const of = (binWidth: number) => tubeSpectrum({ kVp: 90, filters: [sheet('aluminium', 2.5)], binWidth });
    for (const binWidth of [0.1, 0.25, 1]) {
      expect(count(of(binWidth)) / count(of(0.5)), `${binWidth} keV`).toBeCloseTo(1, 1.4);
      expect(halfValueLayer(of(binWidth), 'aluminium').first / halfValueLayer(of(0.5), 'aluminium').first, `${binWidth} keV`).toBeCloseTo(1, 1.4);
    }
  });

  test('a higher voltage gives more photons at every energy from 30 keV on, and the mean energy rises', () => {
    const [low, high] = [60, 61].map((kVp) => tubeSpectrum({ kVp, filters: [] }));
    // softer ones arise deeper and stay in the target
    low.photons.forEach((each, i) => low.keV[i] > 30 && expect(high.photons[i], `${low.keV[i]} keV`).toBeGreaterThan(each));
    for (const kVp of [40, 60, 80, 100]) expect(meanEnergy(tubeSpectrum({ kVp: kVp + 20, filters: [sheet('aluminium', 2)] }))).toBeGreaterThan(meanEnergy(tubeSpectrum({ kVp, filters: [sheet('aluminium', 2)] })));
  });

  test('a steeper anode takes less of its own X-rays, most of the soft ones', () => {
    const [flat, steep] = [8, 20].map((anodeAngle) => tubeSpectrum({ kVp: 80, anodeAngle, filters: [sheet('aluminium', 1)] }));
    expect(count(steep)).toBeGreaterThan(count(flat));
    expect(meanEnergy(steep)).toBeLessThan(meanEnergy(flat));
  });

  test('filters multiply, and their order does not matter', () => {
    const [aluminium, copper] = [sheet('aluminium', 2), sheet('copper', 0.1)];
    const both = tubeSpectrum({ kVp: 80, filters: [aluminium, copper] });
    const later = filtered(filtered(tubeSpectrum({ kVp: 80, filters: [] }), [copper]), [aluminium]);
    both.photons.forEach((each, i) => expect(later.photons[i]).toBeCloseTo(each, 6));
  });

  test('what it cannot make is refused with a sentence', () => {
    expect(() => tubeSpectrum({ kVp: 14, filters: [] })).toThrow('The tube\'s voltage is 14 kV and should be 15 to 120 kV.');
    expect(() => tubeSpectrum({ kVp: NaN, filters: [] })).toThrow('15 to 120 kV');
    expect(() => tubeSpectrum({ kVp: 50, anodeAngle: 90, filters: [] })).toThrow('angle is 90°');
    expect(() => tubeSpectrum({ kVp: 50, filters: [], binWidth: 0 })).toThrow('bins are 0 keV wide');
    expect(() => tubeSpectrum({ kVp: 50, anode: 'cheese' as Anode, filters: [] })).toThrow('known are tungsten and molybdenum');
    expect(() => tubeSpectrum({ kVp: 50, filters: [sheet('aluminium', -1)] })).toThrow('layer of aluminium is -1 mm thick');
    expect(() => tubeSpectrum({ kVp: 50, filters: [sheet('cheese' as Material, 1)] })).toThrow('No attenuation is known for "cheese"');
  });
});

describe('inside the target', () => {
  test('bremsstrahlung: none from the electron’s energy on, but down to there; more from heavier nuclei; roughly as Kramers’ constant', () => {
    expect(bremsstrahlung(74, 60, 60)).toBe(0);
    expect(bremsstrahlung(74, 60, 70)).toBe(0);
    expect(bremsstrahlung(74, 60, 59.9999)).toBeGreaterThan(0.3 * bremsstrahlung(74, 60, 55));
    expect(bremsstrahlung(74, 60, 30)).toBeGreaterThan(bremsstrahlung(42, 60, 30));
    // Kramers: k·β²/Z²·dσ/dk = 16π/(3√3)·α·r₀² = 5.6 mb; tables of heavy elements at 50 to 100 keV hold 4 to 8 mb in the middle of the spectrum (from memory)
    const beta2 = (keV: number) => 1 - 1 / (1 + keV / 510.99895) ** 2;
    for (const keV of [50, 100]) {
      const scaled = (1e27 * (keV / 2) * beta2(keV) * bremsstrahlung(74, keV, keV / 2)) / 74 ** 2;
      expect(scaled, `${keV} keV, mb`).toBeGreaterThan(4);
      expect(scaled, `${keV} keV, mb`).toBeLessThan(8);
    }
  });
  test('stopping falls as electrons get faster', () => {
    for (const anode of Object.values(anodes)) for (let keV = 5; keV < 119; keV++) expect(electronStopping(anode, keV + 1)).toBeLessThan(electronStopping(anode, keV));
  });
  test('a shell is left alone up to its edge; its lines add up to its photons', () => {
    expect(shellIonisation(69.525, 69.5)).toBe(0);
    expect(shellIonisation(69.525, 80)).toBeGreaterThan(0);
    // Casnati, Tartari & Baraldi's formula by hand for tungsten at 100 keV: 7.9 barn
    expect(shellIonisation(69.525, 100) / 7.88e-24).toBeCloseTo(1, 1.4);
    for (const [name, { kShell, lShells }] of Object.entries(anodes)) {
      for (const { edge, lines } of [kShell, ...lShells]) {
        expect(edgesOf(name as Anode).some(({ keV }) => keV === edge), `${name}, ${edge} keV`).toBe(true);
        expect(lines.reduce((sum, [, share]) => sum + share, 0)).toBeGreaterThan(0.92); // the strongest of them
        expect(lines.reduce((sum, [, share]) => sum + share, 0)).toBeLessThan(1.001);
        for (const [keV] of lines) expect(keV).toBeLessThan(edge);
      }
    }
  });
});

describe('transmission(spectrum, layers, detectorWeight)', () => {
  test.each(weights)('counting %s: 1 without layers, falling steadily with thickness, never 0 or above 1', (weight) => {
    let before = transmission(tube, [], weight);
    expect(before).toBe(1);
    for (let mm = 1; mm < 400; mm *= 1.3) {
      const now = transmission(tube, [sheet('water', mm)], weight);
      expect(now).toBeLessThan(before);
      expect(now).toBeGreaterThan(0);
      before = now;
    }
  });
  test('of one energy it is Beer and Lambert’s law, whatever is counted', () => {
    for (const weight of weights) expect(transmission(line(60), [sheet('water', 30), sheet('bone', 4)], weight)).toBeCloseTo(Math.exp(-30 * linearAttenuation('water', 60) - 4 * linearAttenuation('bone', 60)), 12);
  });
  test('a density given takes the table’s place', () => {
    expect(-Math.log(transmission(line(60), [{ material: 'wood', thickness: 10, density: 1 }]))).toBeCloseTo(20 * linearAttenuation('wood', 60), 12);
  });
  test('a dark beam, or a weight that is not known, is refused', () => {
    expect(() => transmission(filtered(tube, [sheet('lead', 1e6)]), [])).toThrow('holds no photons');
    expect(() => transmission(tube, [], 'cheese' as DetectorWeight)).toThrow('known are air kerma, energy, photons and screen');
  });
});

describe('halfValueLayer and effectiveEnergy', () => {
  test.each(weights)('counting %s: a half and a quarter get through the layers it gives, and the second is the thicker', (weight) => {
    const { first, second, homogeneity } = halfValueLayer(tube, 'aluminium', weight);
    expect(transmission(tube, [sheet('aluminium', first)], weight)).toBeCloseTo(0.5, 9);
    expect(transmission(tube, [sheet('aluminium', first + second)], weight)).toBeCloseTo(0.25, 9);
    expect(second).toBeGreaterThan(first);
    expect(homogeneity).toBeCloseTo(first / second, 12);
  });
  test('photons of one energy are as homogeneous as can be, and are their own effective energy', () => {
    expect(halfValueLayer(line(60), 'aluminium').homogeneity).toBeCloseTo(1, 9);
    const narrow: BeamSpectrum = { keV: Float64Array.of(59, 60, 61), width: 1, photons: Float64Array.of(1e-9, 1, 1e-9) };
    expect(effectiveEnergy(narrow)).toBeCloseTo(60, 4);
  });
  test('more filter, a higher effective energy; always within the beam', () => {
    let before = 0;
    for (const thickness of [0.5, 1, 2, 4, 8, 16]) {
      const energy = effectiveEnergy(tubeSpectrum({ kVp: 80, filters: [sheet('aluminium', thickness)] }));
      expect(energy).toBeGreaterThan(before);
      expect(energy).toBeLessThan(80);
      before = energy;
    }
  });
  test('in a material with an edge within the beam the answer is refused, and says why', () => {
    expect(() => effectiveEnergy(tube, 'tungsten')).toThrow('both sides of an edge');
    expect(() => halfValueLayer(filtered(tube, [sheet('lead', 1e6)]), 'aluminium')).toThrow('no half-value layer');
  });
});

describe('beamHardening(spectrum, material, thicknesses)', () => {
  test('line integrals rise, ever more slowly, and the photons left are harder', () => {
    const points = beamHardening(tube, 'aluminium', [0, 0.001, 1, 2, 4, 8, 16, 32]);
    expect(points[0]).toMatchObject({ lineIntegral: 0, lost: 0 });
    expect(points[1].lost).toBeLessThan(1e-3);
    for (let i = 1; i < points.length; i++) {
      expect(points[i].lineIntegral).toBeGreaterThan(points[i - 1].lineIntegral);
      expect(points[i].attenuation).toBeLessThan(points[i - 1].attenuation);
      expect(points[i].meanEnergy).toBeGreaterThan(points[i - 1].meanEnergy);
    }
  });
  test('one energy does not harden', () => {
    for (const { lost, attenuation } of beamHardening(line(50), 'water', [0, 10, 100])) {
      expect(lost).toBeCloseTo(0, 9);
      expect(attenuation).toBeCloseTo(linearAttenuation('water', 50), 9);
    }
  });
});

describe('energyShares(spectrum, detectorWeight, count)', () => {
  test('add up to 1, rise in energy, and seven of them show aluminium as all do, within 3 %', () => {
    const [all, few] = [energyShares(tube), energyShares(tube, 'screen', 7)];
    for (const shares of [all, few]) {
      expect(shares.reduce((sum, { share }) => sum + share, 0)).toBeCloseTo(1, 9);
      shares.forEach(({ keV }, i) => expect(i === 0 || keV > shares[i - 1].keV).toBe(true));
    }
    expect(few).toHaveLength(7);
    expect(few[3].share).toBeCloseTo(1 / 7, 1);
    for (const mm of [1, 5, 20]) expect(Math.abs(manyEnergies(few, 'aluminium', mm) / manyEnergies(all, 'aluminium', mm) - 1)).toBeLessThan(0.03);
    expect(manyEnergies(all, 'aluminium', 5)).toBeCloseTo(-Math.log(transmission(tube, [sheet('aluminium', 5)])), 9);
    expect(hardeningCurve({ spectrum: few }).energy).toBeGreaterThan(20);
    expect(() => energyShares(tube, 'screen', 0)).toThrow('whole number from 1');
  });
});

describe('airKerma(spectrum, distance)', () => {
  test('goes with the inverse square, and with the photons', () => {
    expect(airKerma(tube, 2000) / airKerma(tube)).toBeCloseTo(0.25, 12);
    expect(airKerma(tube, 500) / airKerma(tube)).toBeCloseTo(4, 12);
    expect(airKerma({ ...tube, photons: tube.photons.map((each) => 3 * each) }) / airKerma(tube)).toBeCloseTo(3, 9);
    expect(() => airKerma(tube, 0)).toThrow('above 0');
  });
  // 60 keV, μen/ρ of air 0.03041 cm²/g (NISTIR 5632, from memory): 10⁶ photons/mm² make 10⁸/cm² · 60 keV · 0.03041 cm²/g = 1.825·10⁸ keV/g = 29.2 µGy.
  test('by hand for photons of 60 keV', () => {
    expect(airKerma({ keV: Float64Array.of(60), width: 1, photons: Float64Array.of(1e6) }) / 29.23).toBeCloseTo(1, 1.4);
  });
});

test('every material filters a beam', () => {
  for (const material of Object.keys(materials) as Material[]) {
    const left = transmission(tube, [sheet(material, 0.01)]);
    expect(left, material).toBeGreaterThan(0);
    expect(left, material).toBeLessThan(1);
  }
});
