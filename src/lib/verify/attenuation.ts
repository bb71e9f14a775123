import nist from '../../../datasets/attenuation/nist-rows.json' with { type: 'json' };
import { anodes } from '../physics/anodes.ts';
import { edgesOf, linearAttenuation, massAttenuation, type Material } from '../physics/attenuation.ts';
import type { BeamSpectrum, Layer } from '../physics/beam-spectrum.ts';
import { halfValueLayer } from '../physics/half-value-layer.ts';
import { screenAbsorption } from '../physics/screen.ts';
import { transmission } from '../physics/transmission.ts';
import type { Check } from './check.ts';
import { computed, series } from './series.ts';

/** Attenuation of X-rays: check values J2 to J5. Published rows have four digits; the table read between its own rows adds as much again. */

const hubbell = 'NISTIR 5632 (Hubbell & Seltzer 1995), from public transcriptions';
const mixedRows = `${hubbell}: its elements, summed by weight`;
const fromRows = `${computed}, from the rows and densities of NISTIR 5632`;
const xraylib = 'xraylib 4.0';

const one = (keV: number): BeamSpectrum => ({ keV: Float64Array.of(keV), width: 1, photons: Float64Array.of(1) });
const through = (keV: number, ...layers: readonly (readonly [Material, number])[]) =>
  transmission(one(keV), layers.map(([material, thickness]): Layer => ({ material, thickness })), 'photons');
const edge = (material: Material) => edgesOf(material).find(({ shell, element }) => shell === 'K' && element !== 'S' && element !== 'O')!;
const ctNumber = (material: Material) => 1000 * (linearAttenuation(material, 60) / linearAttenuation('water', 60) - 1);

/** A row of nist-rows.json that another follows at the same energy stands below an edge. */
const rows = Object.entries(nist.materials).flatMap(([name, { rows: all, row }]) => all.map(([keV, expected], i): Check => {
  const side = all[i + 1]?.[0] === keV ? 'below' : all[i - 1]?.[0] === keV ? 'above' : '';
  return {
    id: `J2.${name}.${keV}${side && `.${side}`}`,
    what: `mass attenuation of ${nist.materials[name as keyof typeof nist.materials].title} at ${keV} keV${side && `, ${side} its K edge`}`,
    expected, tolerance: 1e-3, kind: 'relative', unit: 'cm²/g', source: row === 'mixed' ? mixedRows : hubbell,
    ours: () => massAttenuation(name as Material, side === 'below' ? keV * (1 - 1e-9) : keV),
  };
}));

const others: readonly (readonly [Material, number, number])[] = [
  ['water', 10, 5.329], ['water', 150, 0.1505], ['aluminium', 10, 26.23],
  ['gadoliniumScreen', 20, 36.89], ['gadoliniumScreen', 30, 12.54], ['gadoliniumScreen', 40, 5.854], ['gadoliniumScreen', 50, 3.274],
  ['gadoliniumScreen', 60, 9.815], ['gadoliniumScreen', 80, 4.666], ['gadoliniumScreen', 100, 2.613],
];

/** Half-value layers, mm, at 20, 30, 40, 60, 80 and 100 keV. */
const halves: readonly (readonly [Material, readonly number[]])[] = [
  ['water', [8.562, 18.45, 25.83, 33.66, 37.73, 40.61]],
  ['acrylic', [10.19, 19.21, 24.79, 30.27, 33.27, 35.5]],
  ['polyethylene', [17.27, 27.54, 32.76, 37.83, 40.88, 43.36]],
  ['aluminium', [0.7463, 2.277, 4.517, 9.245, 12.73, 15.07]],
  ['iron', [0.03428, 0.1077, 0.2426, 0.7305, 1.479, 2.368]],
  ['lead', [0.007072, 0.02014, 0.04253, 0.1216, 0.2525, 0.1101]],
  ['borosilicate', [1.353, 3.892, 7.16, 12.86, 16.45, 18.76]],
  ['sodaLime', [0.8254, 2.481, 4.901, 10.03, 13.84, 16.42]],
  ['wood', [21.45, 42.99, 57.45, 72.09, 79.86, 85.52]],
  ['bone', [0.9023, 2.712, 5.425, 11.47, 16.2, 19.46]],
  ['air', [7395, 16260, 23150, 30680, 34610, 37330]],
  ['tungsten', [0.005464, 0.0158, 0.03366, 0.09673, 0.04599, 0.08092]],
];
const halfEnergies = [20, 30, 40, 60, 80, 100];

const kEdges: readonly (readonly [name: string, Material, number, number, number])[] = [
  ['molybdenum', 'molybdenum', 19.9995, 13.08, 79.54], ['silver', 'silver', 25.514, 9.53, 55.4], ['tungsten', 'tungsten', 69.525, 2.552, 11.23], ['lead', 'lead', 88.0045, 1.91, 7.684],
];
const line = (anode: 'tungsten' | 'molybdenum', k: number) => anodes[anode].kShell.lines[k][0];

export const attenuationChecks: readonly Check[] = [
  ...rows,
  ...others.map(([material, keV, expected]): Check => ({
    id: `J2.${material}.${keV}`, what: `mass attenuation of ${material === 'gadoliniumScreen' ? 'gadolinium oxysulphide' : material} at ${keV} keV`,
    expected, tolerance: 1e-3, kind: 'relative', unit: 'cm²/g', source: hubbell, ours: () => massAttenuation(material, keV),
  })),
  ...halves.flatMap(([material, values]) => values.map((expected, k): Check => ({
    id: `J4.${material}.${halfEnergies[k]}`, what: `half-value layer of ${nist.materials[material as keyof typeof nist.materials].title} for photons of ${halfEnergies[k]} keV`,
    expected, tolerance: 2e-3, kind: 'relative', unit: 'mm', source: fromRows, ours: () => halfValueLayer(one(halfEnergies[k]), material).first,
  }))),
  ...series('J5a', { tolerance: 1e-4, kind: 'relative', source: fromRows }, [['share of 60 keV photons through 10 mm of water', 0.813914, () => through(60, ['water', 10])]]),
  ...series('J5b', { tolerance: 1e-3, kind: 'relative', source: fromRows }, [['share of 30 keV photons through 2 mm of aluminium', 0.543952, () => through(30, ['aluminium', 2])]]),
  ...series('J5c', { tolerance: 5e-3, kind: 'relative', source: fromRows }, [
    ['share of 100 keV photons through 1 mm of lead', 0.0018398, () => through(100, ['lead', 1])],
    ['share of 80 keV photons through the same, below the K edge: more', 0.064212, () => through(80, ['lead', 1])],
  ]),
  ...series('J5d', { tolerance: 1e-3, kind: 'relative', source: fromRows }, [['share of 60 keV photons through 10 mm of cortical bone', 0.546393, () => through(60, ['bone', 10])]]),
  ...series('J5e', { tolerance: 1e-3, kind: 'relative', source: fromRows }, [['share of 20 keV photons through 1 m of air', 0.910522, () => through(20, ['air', 1000])]]),
  ...series('J5f', { tolerance: 1e-3, kind: 'relative', source: fromRows }, [
    ['share of 60 keV photons through 200 mm of water', 0.016277, () => through(60, ['water', 200])],
    ['line integral of 200 mm of water at 60 keV', 4.118, () => -Math.log(through(60, ['water', 200]))],
  ]),
  ...series('J5g', { tolerance: 1e-3, kind: 'relative', source: fromRows }, [['share of 60 keV photons through 50 mm of acrylic and 5 mm of aluminium', 0.218784, () => through(60, ['acrylic', 50], ['aluminium', 5])]]),
  ...series('J5h', { tolerance: 1, kind: 'absolute', source: `${fromRows}; 1000(μ/μ of water − 1)` }, ([
    ['acrylic', 111.98], ['polyethylene', -110.2], ['bone', 1935.48], ['aluminium', 2641.49], ['air', -998.9],
  ] as const).map(([material, expected]) => [`CT number of ${nist.materials[material].title} at 60 keV`, expected, () => ctNumber(material)])),
  ...series('J5i', { tolerance: 1e-3, kind: 'absolute', unit: 'keV', source: xraylib }, [
    ...kEdges.map(([name, material, keV]) => [`K edge of ${name}`, keV, () => edge(material).keV] as const),
    ['K edge of gadolinium', 50.2391, () => edge('gadoliniumScreen').keV],
  ]),
  ...series('J5j', { tolerance: 5e-3, kind: 'relative', unit: 'cm²/g', source: `${xraylib}; tungsten and lead also NISTIR 5632` }, kEdges.flatMap(([name, material, , below, above]) => [
    [`mass attenuation of ${name} just below its K edge`, below, () => edge(material).below] as const,
    [`mass attenuation of ${name} just above its K edge`, above, () => edge(material).above] as const,
  ])),
  ...series('J5l', { tolerance: 2e-3, kind: 'absolute', unit: 'keV', source: xraylib }, [
    ['first line of a tungsten tube, Kα₁', 59.3182, () => line('tungsten', 0)], ['its second, Kα₂', 57.981, () => line('tungsten', 1)], ['its third, Kβ₁', 67.244, () => line('tungsten', 2)],
  ]),
  ...series('J5m', { tolerance: 2e-3, kind: 'absolute', unit: 'keV', source: xraylib }, [
    ['first line of a molybdenum tube, Kα₁', 17.4793, () => line('molybdenum', 0)], ['its second, Kα₂', 17.3744, () => line('molybdenum', 1)], ['its third, Kβ₁', 19.6072, () => line('molybdenum', 2)],
  ]),
  ...series('J5p', { tolerance: 3e-3, kind: 'relative', source: `${xraylib}: interactions in the phosphor alone` }, ([[40, 0.443], [50.3, 0.788], [60, 0.625], [80, 0.373]] as const).map(([keV, expected]) => [
    `share of ${keV} keV photons that 100 mg/cm² of gadolinium oxysulphide stop`, expected, () => screenAbsorption({ coating: 100 }, keV),
  ])),
];
