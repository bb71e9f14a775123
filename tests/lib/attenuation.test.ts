import { statSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import table from '../../datasets/attenuation/materials.json' with { type: 'json' };
import { edgesOf, linearAttenuation, massAttenuation, massEnergyAbsorption, materials, type Material } from '../../src/lib/physics/attenuation.ts';

const transmission = (material: Material, keV: number, mm: number) => Math.exp(-linearAttenuation(material, keV) * mm);

const names = Object.keys(materials) as Material[];

describe('massAttenuation(material, keV)', () => {
  test('of an element gives the rows of the table back, and of a mixture their sum by weight', () => {
    table.keV.forEach((keV, i) => {
      expect(massAttenuation('aluminium', keV) / table.elements.Al.total[i], `aluminium at ${keV} keV`).toBeCloseTo(1, 9);
      const { H, O } = materials.water.weights;
      expect(massAttenuation('water', keV), `water at ${keV} keV`).toBeCloseTo(H * table.elements.H.total[i] + O * table.elements.O.total[i], 9);
    });
  });

  test('falls steadily between edges, and never rises but at one', () => {
    for (const material of names) {
      const edges = edgesOf(material).map(({ keV }) => keV);
      let before = Infinity;
      for (let keV = 5; keV <= 150; keV *= 1.004) {
        const value = massAttenuation(material, keV);
        const crossed = edges.some((edge) => edge <= keV && edge > keV / 1.004);
        if (!crossed) expect(value, `${material} at ${keV} keV`).toBeLessThan(before);
        before = value;
      }
    }
  });

  test('jumps up at an edge: the value above is the edge’s own', () => {
    for (const material of names) {
      for (const { element, shell, keV, below, above } of edgesOf(material)) {
        expect(above, `${material}: ${shell} of ${element}`).toBeGreaterThan(below);
        expect(massAttenuation(material, keV) / above).toBeCloseTo(1, 9);
        expect(massAttenuation(material, keV * (1 - 1e-12)) / below).toBeCloseTo(1, 9);
      }
    }
    expect(edgesOf('lead').map(({ shell }) => shell)).toEqual(['L3', 'L2', 'L1', 'K']);
    expect(edgesOf('water')).toEqual([]);
  });

  test('refuses what the table does not have, and says what it has', () => {
    expect(() => massAttenuation('water', 4.9)).toThrow('The table covers 5 to 150 keV; 4.9 keV lies outside it.');
    expect(() => massAttenuation('water', 150.1)).toThrow('5 to 150 keV');
    expect(() => massAttenuation('water', Number.NaN)).toThrow('5 to 150 keV');
    for (const name of ['cheese', 'toString']) expect(() => massAttenuation(name as Material, 60)).toThrow(`No attenuation is known for "${name}"`);
    expect(() => edgesOf('cheese' as Material)).toThrow('known are water, acrylic');
    expect(() => linearAttenuation('cheese' as Material, 60)).toThrow('No attenuation is known');
  });
});

describe('massEnergyAbsorption(material, keV)', () => {
  test('is part of what is taken: never above the whole, and never 0', () => {
    for (const material of names) {
      for (let keV = 5; keV <= 150; keV *= 1.02) {
        const share = massEnergyAbsorption(material, keV) / massAttenuation(material, keV);
        expect(share, `${material} at ${keV} keV`).toBeGreaterThan(0.01); // hydrogen at 5 keV: nearly all is scattered
        expect(share, `${material} at ${keV} keV`).toBeLessThanOrEqual(keV < 6 && material === 'caesiumIodide' ? 1.01 : 1); // among L edges the source's table swings
      }
    }
  });
});

describe('the materials', () => {
  test('are at least thirty, each with a density, and shares by weight that add up to 1', () => {
    expect(names.length).toBeGreaterThanOrEqual(30);
    for (const material of names) {
      const { title, density, weights, densityFrom, weightsFrom } = materials[material];
      expect(density, material).toBeGreaterThan(0);
      expect(Object.values(weights).reduce((sum, share) => sum + share, 0), material).toBeCloseTo(1, 4);
      for (const text of [title, densityFrom, weightsFrom]) expect(text.length, material).toBeGreaterThan(2);
    }
    expect(new Set(names.map((name) => materials[name].title)).size, 'titles are told apart').toBe(names.length);
  });

  test('take less than 80 kB', () => {
    expect(statSync(new URL('../../datasets/attenuation/materials.json', import.meta.url)).size).toBeLessThan(80_000);
  });
});

describe('linearAttenuation(material, keV)', () => {
  // NISTIR 5632 values times its densities, 1/cm: water, PMMA, aluminium, bone, lead at 60 keV.
  test.each([['water', 0.2059], ['acrylic', 0.229], ['aluminium', 0.7498], ['bone', 0.6044], ['lead', 56.99]] as const)('%s at 60 keV is %d per cm', (material, perCm) => {
    expect(linearAttenuation(material, 60) * 10 / perCm).toBeCloseTo(1, 3);
  });

  // Beer–Lambert with the NIST values: 10 mm water; 2 mm Al; lead below and above its K edge; 1 m air; 50 mm PMMA + 5 mm Al.
  test('gives the transmissions that the NIST values give', () => {
    expect(transmission('water', 60, 10)).toBeCloseTo(0.813914, 4);
    expect(transmission('aluminium', 30, 2) / 0.543952).toBeCloseTo(1, 3);
    expect(transmission('lead', 80, 1) / 0.0642120).toBeCloseTo(1, 2);
    expect(transmission('lead', 100, 1) / 0.0018398).toBeCloseTo(1, 2);
    expect(transmission('air', 20, 1000) / 0.910522).toBeCloseTo(1, 3);
    expect((transmission('acrylic', 60, 50) * transmission('aluminium', 60, 5)) / 0.218784).toBeCloseTo(1, 3);
  });
});
