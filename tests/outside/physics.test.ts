/** The table of attenuation beside NIST's rows and another transcription of them, and the densities beside published ones. */
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import nist from '../../datasets/attenuation/nist-rows.json' with { type: 'json' };
import { edgesOf, linearAttenuation, massAttenuation, massEnergyAbsorption, materials, type Material } from '../../src/lib/index.ts';

interface Compared { rho: number; energies_keV: number[]; nist_cm2_g: number[]; xraylib_cm2_g: number[]; mu_per_cm: number[] }
const fixture = JSON.parse(readFileSync(new URL('../../datasets/check-values/xray_nist_vs_xraylib.json', import.meta.url), 'utf8')) as { materials: Record<string, Compared> };
const named: Readonly<Record<string, Material>> = {
  water: 'water', PMMA: 'acrylic', polyethylene: 'polyethylene', aluminium: 'aluminium', iron: 'iron', lead: 'lead', 'borosilicate (Pyrex) glass': 'borosilicate',
  'soda-lime (plate) glass': 'sodaLime', 'cellulose (wood substance)': 'wood', 'cortical bone (ICRU-44)': 'bone', 'air, dry': 'air', tungsten: 'tungsten',
};

describe('mass attenuation', () => {
  // NISTIR 5632 prints four digits; the table, made with xraylib 4.0, agrees to 0.06 %.
  test.each(Object.entries(nist.materials))('%s: every row of NISTIR 5632 within 0.1 %%', (name, { rows, density }) => {
    expect(materials[name as Material].density).toBe(density);
    rows.forEach(([keV, value], i) => {
      const below = rows[i + 1]?.[0] === keV;
      expect(Math.abs(massAttenuation(name as Material, below ? keV * (1 - 1e-9) : keV) / value - 1), `${keV} keV${below ? ', below the edge' : ''}`).toBeLessThan(1e-3);
    });
  });

  test('the fixture’s NIST values within 0.5 % and its xraylib values within 0.06 %, 12 materials at 7 energies', () => {
    expect(Object.keys(fixture.materials).sort()).toEqual(Object.keys(named).sort());
    for (const [name, { rho, energies_keV, nist_cm2_g, xraylib_cm2_g, mu_per_cm }] of Object.entries(fixture.materials)) {
      expect(materials[named[name]].density, name).toBe(rho);
      energies_keV.forEach((keV, i) => {
        const ours = massAttenuation(named[name], keV);
        expect(Math.abs(ours / nist_cm2_g[i] - 1), `${name} at ${keV} keV, NIST`).toBeLessThan(5e-3);
        expect(Math.abs(ours / xraylib_cm2_g[i] - 1), `${name} at ${keV} keV, xraylib, four digits`).toBeLessThan(6e-4);
        expect(Math.abs((10 * linearAttenuation(named[name], keV)) / mu_per_cm[i] - 1), `${name} at ${keV} keV, 1/cm`).toBeLessThan(1.2e-3);
      });
    }
  });

  // NISTIR 5632, Table 3, from memory: elements between the rows that the table was made on, 8 to 150 keV.
  test.each([
    ['copper', 60, 1.593], ['copper', 20, 33.79], ['copper', 100, 0.4584], ['titanium', 20, 15.85], ['titanium', 60, 0.7661], ['tin', 60, 6.564], ['tin', 20, 21.46],
    ['silver', 60, 5.766], ['beryllium', 10, 0.6466], ['magnesium', 30, 0.9306],
  ] as const)('%s at %d keV is %d cm²/g, within 1 %%', (material, keV, value) => {
    expect(Math.abs(massAttenuation(material, keV) / value - 1)).toBeLessThan(0.01);
  });
});

// NISTIR 5632, Tables 3 and 4, from memory, and how near the table comes to each: air and water within its own digits, metals by how well fluorescence is known.
test.each([
  ['air', 6, 22.7, 2e-3], ['air', 10, 4.742, 2e-3], ['air', 15, 1.334, 2e-3], ['air', 20, 0.5389, 2e-3], ['air', 30, 0.1537, 2e-3], ['air', 60, 0.03041, 2e-3], ['air', 100, 0.02325, 2e-3], ['air', 150, 0.02496, 2e-3],
  ['water', 10, 4.944, 2e-3], ['water', 30, 0.1557, 2e-3], ['water', 60, 0.0319, 2e-3], ['water', 100, 0.02546, 2e-3],
  ['aluminium', 10, 25.43, 5e-3], ['aluminium', 30, 0.8778, 5e-3], ['aluminium', 100, 0.03794, 5e-3],
  ['copper', 20, 27.88, 0.03], ['copper', 30, 9.349, 0.03], ['copper', 100, 0.2965, 0.03], ['lead', 20, 68.99, 0.03], ['lead', 60, 4.149, 0.03], ['lead', 100, 1.976, 0.06],
] as const)('mass energy absorption of %s at %d keV is %d cm²/g, within a share of %d', (material, keV, value, share) => {
  expect(Math.abs(massEnergyAbsorption(material, keV) / value - 1)).toBeLessThan(share);
});

describe('edges', () => {
  // xraylib 4.0; tungsten and gadolinium also in NIST's tables. Molybdenum's values jump at 20.000 keV in the source and at its edge here.
  test('molybdenum has the value above its edge at 20 keV, and the one below at 19.99', () => {
    expect(massAttenuation('molybdenum', 20) / 79.54).toBeCloseTo(1, 2);
    expect(massAttenuation('molybdenum', 19.99) / 13.08).toBeCloseTo(1, 2);
  });
  test('gadolinium oxysulphide below and above 50.239 keV: 3.234 and 15.55 cm²/g (NISTIR 5632)', () => {
    const edge = edgesOf('gadoliniumScreen').find(({ keV }) => keV > 50)!;
    expect(edge.keV).toBeCloseTo(50.2391, 3);
    expect(edge.below / 3.234).toBeCloseTo(1, 2);
    expect(edge.above / 15.55).toBeCloseTo(1, 2);
  });
  // L edges of tungsten and lead, keV: NISTIR 5632, from memory.
  test.each([['tungsten', [10.207, 11.544, 12.1]], ['lead', [13.035, 15.2, 15.861]]] as const)('%s has its L edges at %j keV', (material, energies) => {
    edgesOf(material).slice(0, 3).forEach(({ keV }, i) => expect(Math.abs(keV - energies[i])).toBeLessThan(0.002));
  });
});

// Densities, g/cm³: NISTIR 5632 Tables 1 and 2; PVC, PTFE and PET as that report has them, other lists 1.30, 2.20, 1.40.
test.each([
  ['water', 1], ['acrylic', 1.19], ['polyethylene', 0.93], ['aluminium', 2.699], ['iron', 7.874], ['lead', 11.35], ['borosilicate', 2.23], ['bone', 1.92], ['air', 0.001205], ['tungsten', 19.3], ['molybdenum', 10.22],
  ['copper', 8.96], ['silver', 10.5], ['gadoliniumScreen', 7.44], ['pvc', 1.406], ['ptfe', 2.25], ['pet', 1.38],
] as const)('the density of %s is %d g/cm³', (material, density) => {
  expect(materials[material].density).toBe(density);
});
