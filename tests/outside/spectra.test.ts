/**
 * Simulated tubes beside published figures. First half-value layers, homogeneity and the RQA beams are checks J5q to J9 of `slices verify`
 * (src/lib/verify/spectra.ts); here are second half-value layers, filtering, output and lines.
 *
 * What was tuned: the depth of an electron as a share of its way (tube-spectrum.ts), 0.5, tried at 0.2, 0.3, 0.4 and 0.5. Lightly filtered tungsten
 * beams tell: at 0.2 the beam M80 comes out 13 % too soft, at 0.5 4 %. Heavily filtered beams and molybdenum hardly depend on it. Nothing else was tuned.
 * What remains: heavily filtered tungsten beams 2 to 6 % too soft; lightly filtered ones from 9 % too hard at 30 kV to 4 % too soft at 80 kV; molybdenum 2 to
 * 4 % too hard. Without tungsten's L lines the softest, M30, came out 17 % too hard.
 */
import { describe, expect, test } from 'vitest';
import { airKerma, halfValueLayer, tubeSpectrum, type Anode } from '../../src/lib/index.ts';
import { calibrationTube, diagnosticTube, filterFor, iec61267, iso4037, mammographyTube, nistMedium } from '../../src/lib/verify/spectra.ts';

describe('half-value layers', () => {
  test.each(iso4037)('the second of %s, %d kV, within 10 %% (ISO 4037-1, from memory)', (_, kVp, filters, material, __, second) => {
    expect(Math.abs(halfValueLayer(calibrationTube(kVp, ...filters), material).second / second - 1)).toBeLessThan(0.1);
  });

  test('over all beams with a filter that is given, the first lies within 5 % (rms), and is not all to one side', () => {
    const errors = [
      ...iso4037.map(([, kVp, filters, material, first]) => halfValueLayer(calibrationTube(kVp, ...filters), material).first / first - 1),
      ...nistMedium.map(([, kVp, aluminium, first]) => halfValueLayer(calibrationTube(kVp, ['beryllium', 3], ['aluminium', aluminium]), 'aluminium').first / first - 1),
    ];
    expect(Math.sqrt(errors.reduce((sum, each) => sum + each * each, 0) / errors.length)).toBeLessThan(0.05);
    expect(Math.max(...errors)).toBeGreaterThan(0);
    expect(Math.min(...errors)).toBeLessThan(0);
  });

  // Diagnostic tubes are said to have 2.5 mm of aluminium in all, and RQR beams a little more: common practice, no source.
  test.each(iec61267)('RQR %d, %d kV, needs 2 to 3.3 mm of aluminium', (_, kVp, first) => {
    const filter = filterFor(kVp, first);
    expect(filter).toBeGreaterThan(2);
    expect(filter).toBeLessThan(3.3);
  });
});

describe('output, within the factor of 2 that is claimed', () => {
  // EUR 16260 (1996): 43 to 52 µGy/mAs ± 20 % at 1 m, 80 kV, 2.5 mm of aluminium in all. From memory.
  test('a tungsten tube of 80 kV behind 2.5 mm of aluminium', () => {
    const output = airKerma(diagnosticTube(80, 2.5));
    expect(output, `${output} µGy/mAs`).toBeGreaterThan(47.5 / 2);
    expect(output, `${output} µGy/mAs`).toBeLessThan(47.5 * 2);
  });
  // European guidelines for mammography (4th edition, 2006): 28 kV, Mo/Mo, at 1 m, above 30 µGy/mAs acceptable, above 40 desirable. From memory.
  test('a molybdenum tube of 28 kV behind 32 µm of molybdenum', () => {
    const output = airKerma(mammographyTube(28));
    expect(output, `${output} µGy/mAs`).toBeGreaterThan(35 / 2);
    expect(output, `${output} µGy/mAs`).toBeLessThan(35 * 2);
  });
  // Common practice, no source: with the filter as it is, output goes about with the square of the voltage.
  test('grows with the voltage to the power of 1.5 to 2.5', () => {
    const power = Math.log(airKerma(diagnosticTube(100, 2.5)) / airKerma(diagnosticTube(60, 2.5))) / Math.log(100 / 60);
    expect(power).toBeGreaterThan(1.5);
    expect(power).toBeLessThan(2.5);
  });
});

/** Photons of the K lines per electron, to all sides: what stands out of narrow bins, above the L lines. */
function lines(anode: Anode, kVp: number): number {
  const { keV, photons } = tubeSpectrum({ anode, kVp, anodeAngle: 20, filters: [], binWidth: 0.1 });
  let sum = 0;
  for (let i = 2; i < keV.length - 2; i++) {
    if (keV[i] < 13) continue;
    const beside = (photons[i - 2] + photons[i + 2]) / 2;
    if (photons[i] > 1.3 * Math.max(photons[i - 2], photons[i + 2])) sum += photons[i] - beside;
  }
  return (sum * 4 * Math.PI * 1e6) / 6.241509e15;
}

describe('K lines', () => {
  // Tucker, Barnes & Chakraborty, Med. Phys. 18:211 (1991), fitted to measured spectra: 1.349·10⁻³·(U − 1)^1.648 for each electron. From memory.
  test.each([[80, 0.4], [90, 0.15], [100, 0.15], [110, 0.15], [120, 0.15]])('of tungsten at %d kV: as many as measured, within a share of %d', (kVp, share) => {
    expect(Math.abs(lines('tungsten', kVp) / (1.349e-3 * (kVp / 69.525 - 1) ** 1.648) - 1)).toBeLessThan(share);
  });
  // Green & Cosslett, J. Phys. D 1, 425 (1968): as (U − 1)^1.63. From memory.
  test('of molybdenum grow from 25 to 40 kV as (U − 1)^1.63, within a fifth', () => {
    const growth = lines('molybdenum', 40) / lines('molybdenum', 25);
    expect(Math.abs(growth / (20 / 5) ** 1.63 - 1)).toBeLessThan(0.2);
  });
  test('are absent below the K edge', () => {
    expect(lines('tungsten', 69)).toBe(0);
    expect(lines('molybdenum', 19.9)).toBe(0);
  });
});

// Kramers (1923): without any absorption, the energy of a thick target's photons falls in a straight line to 0 at the voltage. Through lead the soft half is gone,
// so the hard end is what is compared: from 85 % of the voltage on, photons · energy goes with (voltage − energy).
test('the hard end of a spectrum falls as Kramers said', () => {
  const { keV, photons } = tubeSpectrum({ kVp: 60, filters: [], binWidth: 0.5 });
  const at = (share: number) => { const i = keV.findIndex((e) => e > share * 60); return (photons[i] * keV[i]) / (60 - keV[i]); };
  expect(at(0.95) / at(0.85)).toBeGreaterThan(0.8);
  expect(at(0.95) / at(0.85)).toBeLessThan(1.25);
});
