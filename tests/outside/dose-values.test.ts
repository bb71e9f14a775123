import { expect, test } from 'vitest';
import { values as before } from '../../src/widgets/values/before-you-switch-anything-on.ts';
import { values as exposure } from '../../src/widgets/values/exposure-and-dose.ts';

/** Numbers that chapters 0 and 9 print, against figures that were not worked out with this library. */

/** Names the sentence that would be wrong. */
function printed(what: string, { value }: { value: number }, expected: number, relative: number): void {
  expect(Math.abs(value / expected - 1), `${what}: the book prints ${value}, the source has ${expected}`).toBeLessThanOrEqual(relative);
}

// ICRP Publication 103 (2007), Table 6, as given by ICRPaedia.
test('both chapters print the limits of ICRP', () => {
  for (const { anybody, worker, single } of [before, exposure]) {
    printed('anybody, mSv a year', anybody, 1, 0);
    printed('worker, averaged, mSv a year', worker, 20, 0);
    printed('worker, any year, mSv', single, 50, 0);
  }
  printed('skin of anybody, mSv a year', before.skin, 50, 0);
});

// By hand, with a pocket calculator: ½CV², RC·ln(V/V'), V/R, kV·mA, inverse squares.
test('chapter 0 prints what its sums give by hand', () => {
  printed('2 nF at 70 kV, J', before.stored, 4.9, 1e-9);
  printed('times what counts as hazardous', before.times, 14, 1e-9);
  printed('70 kV through 1000 Ω, A', before.peak, 70, 1e-9);
  printed('2 nF through 500 MΩ from 70 kV to 50 V, s', before.bleed, 7.2442, 1e-4);
  printed('70 kV and 2 mA for a minute, kJ', before.heatMinute, 8.4, 1e-9);
  printed('40 µSv/h at 1.5 m seen from 4 m, µSv/h', before.chairThere, 5.625, 1e-9);
  printed('and from 6 m, µSv/h', before.doorwayThere, 2.5, 1e-9);
  printed('hours to 1 mSv there, h', before.chairHours, 177.78, 1e-4);
});

// Half-value layer of lead, 100 kVp: Turner, Table 15.4; Archer's constants: NCRP 147, Table A.1, worked out by numpy; the worked barrier of the handbooks.
test('chapter 9 prints what barriers let through', () => {
  printed('half-value layer of lead deep in the barrier, mm', exposure.leadLayer, 0.27, 0);
  printed('the first, by the broad-beam formula, mm', exposure.firstLayer, 0.04891, 1e-4);
  printed('lead for a thousandth, mm', exposure.archerThousandth, 1.74192, 1e-4);
  printed('concrete for a thousandth, mm', exposure.concreteThousandth, 113.404, 1e-4);
  printed('half-value layers in a thousandth', exposure.layersInThousandth, 9.965784, 1e-6);
  printed('half-value layers in a tenth', exposure.layersInTenth, 3.321928, 1e-6);
  printed('what the worked barrier may let through', exposure.weekAllowed, 0.036, 1e-9);
  printed('its half-value layers', exposure.weekLayers, 4.795859, 1e-6);
  printed('its lead, mm', exposure.weekLead, 1.2949, 1e-4);
});

// Grodzins (1983): p·e^(−p/2) is greatest at 2, where e⁻² arrives. Nine tenths of that is put back into the formula.
test('chapter 9 prints where photons buy most contrast', () => {
  printed('line integral', exposure.best, 2, 1e-9);
  printed('share of the light, %', exposure.bestTransmission, 13.5335, 1e-5);
  printed('90 mm of acrylic at 60 keV (NISTIR 5632: 0.1924 cm²/g · 1.19 g/cm³)', exposure.jarIntegral, 0.1924 * 0.119 * 90, 2e-3);
  for (const p of [exposure.leastGood.value, exposure.mostGood.value]) expect((p * Math.exp(-p / 2)) / (2 * Math.exp(-1))).toBeCloseTo(0.9, 6);
});

// By hand: kilovolts times milliamperes are watts; 1.41 heat units to a joule at constant potential (textbooks, from memory); Q/t_c over the power.
test('chapter 9 prints the heat of a scan', () => {
  printed('an exposure, J', exposure.heatOne, 640, 1e-9);
  printed('the same in heat units', exposure.heatUnits, 902.4, 1e-9);
  printed('the whole scan, kJ', exposure.heatAll, 76.8, 1e-9);
  printed('duty cycle in the long run, %', exposure.steadyDuty, 15.625, 1e-9);
  printed('rest in the long run, s', exposure.steadyRest, 21.6, 1e-9);
});

// IEC 61267 (2005), RQR 6: 80 kV, half-value layer 3.01 mm of aluminium; NIST M80: 2.97. From memory. The plate's tube has a wall of its own, so this is a plausibility check.
test('chapter 9 prints a half-value layer such as tubes of 80 kV have', () => {
  printed('behind 2.5 mm of aluminium, mm', exposure.after.first, 3.01, 0.15);
});
