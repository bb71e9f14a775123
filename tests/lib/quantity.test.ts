import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { quantityKinds, readQuantity, type QuantityKind, type QuantityOptions } from '../../src/lib/index.ts';
import { outcome, refusal } from './support/bad-input.ts';

const seed = { seed: 20250315 };
const kinds = Object.keys(quantityKinds) as QuantityKind[];
const degree = Math.PI / 180;

describe('readQuantity(text, kind)', () => {
  test.each<[text: string, kind: QuantityKind, value: number, options?: QuantityOptions]>([
    ['2 in', 'length', 50.8], ['3 cm', 'length', 30], ['250 µm', 'length', 0.25], ['250 um', 'length', 0.25], ['1.2 m', 'length', 1200], ['5mm', 'length', 5], ['1 1/2 in', 'length', 38.1],
    ['1/4"', 'length', 6.35], ['6\' 2"', 'length', 1879.6], ['6 ft 2 in', 'length', 1879.6], ['-3 mm', 'length', -3], ['−0,96 mm', 'length', -0.96], ['40', 'length', 40], ['4', 'length', 40, { unit: 'cm' }],
    ['60 kV', 'voltage', 60], ['60 kVp', 'voltage', 60], ['60 KV', 'voltage', 60], ['60 000 V', 'voltage', 60], ['60 keV', 'energy', 60], ['59318 eV', 'energy', 59.318],
    ['1/60 s', 'time', 1 / 60], ['1/200', 'time', 0.005], ['1 / 60 s', 'time', 1 / 60], ['1 h', 'time', 3600], ['1 h 30 min', 'time', 5400], ['2 min 5 s', 'time', 125], ['20 ms', 'time', 0.02], ['0,5 s', 'time', 0.5],
    ['0.5 mA', 'current', 0.5], ['500 µA', 'current', 0.5], ['500 uA', 'current', 0.5], ['2 mAs', 'charge', 2], ['0.002 As', 'charge', 2],
    ['8°', 'angle', 8 * degree], ['8 deg', 'angle', 8 * degree], ['8', 'angle', 8 * degree], ['0.5 rad', 'angle', 0.5], ['1/2 turn', 'angle', Math.PI], ['1° 30\'', 'angle', 1.5 * degree],
    ['2 kJ', 'heat', 2000], ['141 HU', 'heat', 100], ['50 W', 'power', 50], ['100 mg/cm²', 'massPerArea', 100], ['0.1 g/cm2', 'massPerArea', 100], ['2.7 g/cm3', 'density', 2.7], ['2700 kg/m³', 'density', 2.7],
    ['20 µSv', 'dose', 20], ['1 mSv', 'dose', 1000], ['50 %', 'share', 0.5], ['0.5', 'share', 0.5], ['f/2.8', 'f-number', 2.8], ['2,8', 'f-number', 2.8], ['8 e⁻', 'electrons', 8], ['24 000', 'electrons', 24000],
    ['2e-3 s', 'time', 0.002], ['2·10⁻³ s', 'time', 0.002], ['2 x 10^-3 s', 'time', 0.002], ['.5 mm', 'length', 0.5], ['  7 mm ', 'length', 7], ['0,125 mm', 'length', 0.125], ['1500,25 mm', 'length', 1500.25],
  ])('%s as %s is %s', (text, kind, value, options) => expect(readQuantity(text, kind, options)).toBeCloseTo(value, 9));

  test.each<[text: string, kind: QuantityKind, says: string, options?: QuantityOptions]>([
    ['', 'length', 'A length is empty: write a number with its unit, such as 25 mm.'],
    ['   ', 'time', 'The exposure is empty: write a number with its unit, such as 2 s.', { label: 'The exposure' }],
    ['thick', 'length', 'A length is “thick”, which is not a quantity: write a number with its unit, such as 25 mm.'],
    ['3 furlongs', 'length', 'furlongs is no unit of a length: use mm, cm, m, µm, in, ft or mil.'],
    ['60 kg', 'voltage', 'kg is no unit of a voltage: use kV, V or MV.'],
    ['60 keV', 'voltage', 'keV is no unit of a voltage'],
    ['60,000 V', 'voltage', 'A voltage is “60,000 V”, which can be read two ways: write 60000 or 60.000.'],
    ['1,234.5 mm', 'length', 'which is not a quantity'], ['1.5.2 mm', 'length', 'which is not a quantity'], ['3 4 mm', 'length', 'which is not a quantity'], ['10 - 5 mm', 'length', 'which is not a quantity'],
    ['1/0 s', 'time', 'which is not a quantity'], ['1/2/3 s', 'time', 'which is not a quantity'], ['NaN', 'number', 'which is not a quantity'], ['Infinity mm', 'length', 'which is not a quantity'], ['1e999', 'number', 'which is not a quantity'],
    ['30 min 1 h', 'time', 'whose units should go from the larger to the smaller'], ['1 h 30', 'time', 'and its last number has no unit'],
    ['-3 s', 'time', 'A time is “-3 s” and should be 0 s or more.'],
    ['0 mm', 'length', 'The pitch is “0 mm” and should be above 0 mm.', { label: 'The pitch', above: 0 }],
    ['200 kV', 'voltage', 'A voltage is “200 kV” and should be 15 kV or more and at most 120 kV.', { from: 15, to: 120 }],
    ['90°', 'angle', 'and should be at most 45°.', { to: 45 * degree, from: -Infinity }],
    ['3 constructor', 'length', 'constructor is no unit'], ['5 %', 'length', '% is no unit of a length'], ['5 mm', 'share', 'mm is no unit of a share: use none or %.'],
  ])('%s as %s is refused: %s', async (text, kind, says, options) => expect(await refusal(() => readQuantity(text, kind, options))).toContain(says));

  test('every unit of every kind reads back what was written in it, with point or comma', () => {
    fc.assert(fc.property(fc.constantFrom(...kinds), fc.nat(), fc.integer({ min: 1, max: 99_999 }), fc.boolean(), (kind, pick, hundredths, comma) => {
      const units = Object.entries(quantityKinds[kind].units as Readonly<Record<string, number>>);
      const [unit, factor] = units[pick % units.length];
      const figures = (hundredths / 100).toFixed(2);
      const value = readQuantity(`${comma ? figures.replace('.', ',') : figures} ${unit}`, kind, { unit });
      expect(Math.abs(value / ((hundredths / 100) * factor) - 1)).toBeLessThan(1e-12);
    }), { ...seed, numRuns: 500 });
  });
  test('the example of each refusal can be read', async () => {
    for (const kind of kinds) {
      const example = /such as (.+)\.$/.exec(await refusal(() => readQuantity('', kind)))![1];
      expect(Number.isFinite(readQuantity(example, kind)), `${kind}: ${example}`).toBe(true);
    }
  });
  test('whatever is typed, it gives a finite number or one sentence', async () => {
    const piece = fc.constantFrom('1', '60', '0', ',', '.', '/', ' ', '-', '−', 'e', 'e9', '10', '^', '⁻³', '·', 'mm', 'in', 'kV', 's', 'h', '°', '"', '%', 'f/', 'ſ', '１', '\u0000', '😀');
    await fc.assert(fc.asyncProperty(fc.constantFrom(...kinds), fc.oneof(fc.array(piece, { maxLength: 12 }).map((pieces) => pieces.join('')), fc.string({ unit: 'binary', maxLength: 120 })), async (kind, text) => {
      let value: number | undefined;
      if (await outcome(() => { value = readQuantity(text, kind); }) === 'read') expect(Number.isFinite(value)).toBe(true);
    }), { ...seed, numRuns: 5000 });
  });
});
