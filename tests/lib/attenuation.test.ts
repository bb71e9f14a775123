import { describe, expect, test } from 'vitest';
import { linearAttenuation, massAttenuation, materials, type Material } from '../../src/lib/physics/attenuation.ts';
import { naturalSpline } from '../../src/lib/physics/natural-spline.ts';

const transmission = (material: Material, keV: number, mm: number) => Math.exp(-linearAttenuation(material, keV) * mm);

describe('massAttenuation(material, keV)', () => {
  test('gives every row of the table back', () => {
    for (const [material, { rows }] of Object.entries(materials)) {
      rows.forEach(([keV, value], i) => {
        if (rows[i + 1]?.[0] === keV) return; // below an edge: the value above is what is asked for
        expect(massAttenuation(material as Material, keV) / value, `${material} at ${keV} keV`).toBeCloseTo(1, 9);
      });
    }
  });

  test('falls steadily between edges', () => {
    for (const [material, { rows }] of Object.entries(materials)) {
      for (let i = 1; i < rows.length; i++) {
        if (rows[i][0] === rows[i - 1][0]) continue;
        const between = massAttenuation(material as Material, (rows[i][0] + rows[i - 1][0]) / 2);
        expect(between, `${material} between ${rows[i - 1][0]} and ${rows[i][0]} keV`).toBeLessThan(rows[i - 1][1]);
        expect(between, `${material} between ${rows[i - 1][0]} and ${rows[i][0]} keV`).toBeGreaterThan(rows[i][1]);
      }
    }
  });

  // The error of the spline: rows that are there every 10 or 20 keV, one taken out and asked for.
  test.each(['water', 'acrylic', 'aluminium', 'iron', 'bone', 'borosilicate'] as const)('without its 50 keV row, %s comes back within 0.3 %%', (material) => {
    const rows = materials[material].rows.filter(([keV]) => keV !== 50);
    const spline = naturalSpline(rows.map(([keV]) => Math.log(keV)), rows.map(([, value]) => Math.log(value)));
    const left = materials[material].rows.find(([keV]) => keV === 50)!;
    expect(Math.abs(Math.exp(spline(Math.log(50))) / left[1] - 1)).toBeLessThan(0.003);
  });

  // W 2.552 → 11.23 and Pb 1.910 → 7.684 cm²/g: NISTIR 5632, rows at the K edge.
  test('jumps at a K edge', () => {
    expect(massAttenuation('tungsten', 69.525)).toBeCloseTo(11.23, 6);
    expect(massAttenuation('tungsten', 69.5249)).toBeCloseTo(2.552, 3);
    expect(massAttenuation('lead', 88.0045)).toBeCloseTo(7.684, 6);
    expect(massAttenuation('lead', 88.0044)).toBeCloseTo(1.91, 3);
  });

  test('refuses what the table does not have, and says what it has', () => {
    expect(() => massAttenuation('water', 19.9)).toThrow('The table covers 20 to 100 keV; 19.9 keV lies outside it.');
    expect(() => massAttenuation('water', Number.NaN)).toThrow('20 to 100 keV');
    expect(() => massAttenuation('cheese' as Material, 60)).toThrow('No attenuation is known for "cheese"');
  });
});

describe('linearAttenuation(material, keV)', () => {
  // NISTIR 5632 values times its densities, 1/cm: water, PMMA, aluminium, bone, lead at 60 keV.
  test.each([['water', 0.2059], ['acrylic', 0.229], ['aluminium', 0.7498], ['bone', 0.6044], ['lead', 56.99]] as const)('%s at 60 keV is %d per cm', (material, perCm) => {
    expect(linearAttenuation(material, 60) * 10 / perCm).toBeCloseTo(1, 3);
  });

  // Beer–Lambert with the NIST values: 10 mm water; 2 mm Al; lead below and above its K edge; 1 m air; 50 mm PMMA + 5 mm Al.
  test('gives the transmissions that the NIST values give', () => {
    expect(transmission('water', 60, 10)).toBeCloseTo(0.813914, 5);
    expect(transmission('aluminium', 30, 2) / 0.543952).toBeCloseTo(1, 3);
    expect(transmission('lead', 80, 1) / 0.0642120).toBeCloseTo(1, 2);
    expect(transmission('lead', 100, 1) / 0.0018398).toBeCloseTo(1, 2);
    expect(transmission('air', 20, 1000) / 0.910522).toBeCloseTo(1, 3);
    expect((transmission('acrylic', 60, 50) * transmission('aluminium', 60, 5)) / 0.218784).toBeCloseTo(1, 3);
  });
});

// scipy 1.10.1, CubicSpline(x, y, bc_type='natural'), at 0.5, 1.7, 3.9.
test('naturalSpline agrees with scipy', () => {
  const spline = naturalSpline([0, 1, 2.5, 4], [1, 3, -1, 0.5]);
  expect(spline(0.5)).toBeCloseTo(2.452702702703, 10);
  expect(spline(1.7)).toBeCloseTo(1.420116116116, 10);
  expect(spline(3.9)).toBeCloseTo(0.263671671672, 10);
});
