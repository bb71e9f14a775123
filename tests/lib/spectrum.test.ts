import { describe, expect, it } from 'vitest';
import { filtered, linearAttenuation, transmission, tubeSpectrum } from '../../src/lib/index.ts';
import type { Specimen } from '../../src/widgets/frame/definition.ts';
import { spectrum, steps, type SpectrumResult, type SpectrumState } from '../../src/widgets/spectrum/model.ts';

const show = (change: Partial<SpectrumState> = {}) => spectrum.compute({ ...spectrum.initial, ...change }, {} as Specimen) as SpectrumResult;
const within = (ours: number, theirs: number, share: number) => expect(Math.abs(ours / theirs - 1), `${ours} beside ${theirs}`).toBeLessThan(share);

describe('the plate spectrum', () => {
  // NIST Special Publication 250-58 (1988): half-value layers of beams behind 3 mm of beryllium and this much aluminium, from memory. 10 % is what the library claims.
  it.each([[60, 1.81, 1.68], [80, 2.86, 2.97], [100, 5.25, 5.02], [120, 7.12, 6.79]])('has the half-value layer of a calibration beam of %d kV behind %f mm of aluminium', (kVp, thickness, first) => {
    within(show({ kVp, wall: 'beryllium', filter: 'aluminium', thickness }).readings.after.first, first, 0.1);
  });
  // IEC 61267 (2005), RQR-M 1 to 4, molybdenum behind 32 µm of molybdenum, from memory.
  it.each([[25, 0.28], [28, 0.31], [30, 0.33], [35, 0.36]])('has the half-value layer of a molybdenum tube of %d kV', (kVp, first) => {
    within(show({ anode: 'molybdenum', kVp, wall: 'beryllium', filter: 'molybdenum', thickness: 0.03 }).readings.after.first, first, 0.1);
  });
  // EUR 16260 (1996): 43 to 52 µGy/mAs at 1 m, 80 kV, 2.5 mm of aluminium in all; from memory.
  it('gives as much air kerma as a usual tube, within the factor of 2 that stands beside it', () => {
    const { kerma } = show({ wall: 'beryllium', thickness: 2.5 }).readings.after;
    expect(kerma).toBeGreaterThan(47.5 / 2);
    expect(kerma).toBeLessThan(47.5 * 2);
  });
  // NISTIR 5632: aluminium at 60 keV, 0.2778 cm²/g · 2.699 g/cm³, so that half is left behind 9.245 mm.
  it('calls the energy of a beam effective whose half-value layer it has', () => {
    for (const kVp of [40, 80, 120]) {
      const { first, effective } = show({ kVp }).readings.after;
      within(Math.LN2 / linearAttenuation('aluminium', effective), first, 1e-6);
    }
    const hard = show({ kVp: 70, filter: 'tin', thickness: 1 }).readings.after;
    expect(hard.first).toBeLessThan(9.245);
    expect(hard.effective).toBeLessThan(60);
  });
  // Duane and Hunt: no photon has more than the electron's whole energy.
  it('has no photon above the voltage', () => {
    const { keV, before } = show({ kVp: 50 });
    keV.forEach((energy, i) => { if (energy > 50) expect(before[i]).toBe(0); });
    expect(keV[before.findLastIndex((share) => share > 0)]).toBeGreaterThan(48);
  });
  it('is halved at its half-value layer, and once more at the next', () => {
    const { decay, readings: { after } } = show();
    const at = (mm: number) => { const k = Math.floor(mm / 0.2), t = mm / 0.2 - k; return decay.after[k] + t * (decay.after[k + 1] - decay.after[k]); };
    within(at(after.first), 0.5, 0.002);
    within(at(after.first + after.second), 0.25, 0.002);
    expect(after.second).toBeGreaterThan(after.first);
  });
  it('draws the stair that the library’s transmission gives, brighter steps with the filter', () => {
    const { stair } = show();
    const beam = tubeSpectrum({ kVp: 80, filters: [{ material: 'borosilicate', thickness: 1.5 }, { material: 'air', thickness: 1000 }], binWidth: 1 });
    [beam, filtered(beam, [{ material: 'aluminium', thickness: 2.5 }])].forEach((each, row) => steps.forEach((thickness, k) => {
      expect(stair.data[row * steps.length + k]).toBeCloseTo(transmission(each, [{ material: 'aluminium', thickness }], 'screen'), 6);
    }));
    for (let k = 1; k < steps.length; k++) expect(stair.data[steps.length + k]).toBeGreaterThan(stair.data[k]);
  });
  it('leaves the beam alone without a filter, and takes from it with one', () => {
    const none = show({ thickness: 0 });
    expect(none.readings.after).toEqual(none.readings.before);
    const { readings: { before, after } } = show({ filter: 'copper', thickness: 0.2 });
    expect(after.kerma).toBeLessThan(before.kerma);
    expect(after.mean).toBeGreaterThan(before.mean);
  });
  it('holds at the ends of its controls', () => {
    for (const change of [{ kVp: 20, filter: 'tin', thickness: 1 }, { kVp: 20, filter: 'copper', thickness: 2 }, { kVp: 120, wall: 'beryllium', thickness: 0 }, { anode: 'molybdenum', kVp: 20 }] as const) {
      const { readings } = show(change);
      for (const value of [...Object.values(readings.before), ...Object.values(readings.after)]) expect(value > 0 && Number.isFinite(value), `${JSON.stringify(change)}: ${value}`).toBe(true);
    }
  });
  it('says what the filter does, how far the figure may be off, and where soft lines are missing', () => {
    const words = (change: Partial<SpectrumState>) => spectrum.describe({ ...spectrum.initial, ...change }, show(change), {} as Specimen);
    expect(words({})).toMatch(/2\.5 mm of aluminium leave 39 % of its air kerma.*factor of 2; measure yours\.$/);
    expect(words({ thickness: 0 })).toContain('No filter is in the beam.');
    expect(words({ wall: 'beryllium', thickness: 0 })).toContain('softer than this one');
  });
});
