import { archerRows, halfValueRows, halfValuesInTenth, type BarrierMaterial, type HalfValueSet } from '../physics/barrier-tables.ts';
import { archerThickness, archerTransmission, halfValueTransmission, limitingHalfValue } from '../physics/barrier-transmission.ts';
import { sharesOfLimits, type ExposedPerson, type LimitedPart } from '../physics/dose-limits.ts';
import { halfValueLayers, inverseSquare, transmissionAllowed } from '../physics/inverse-square.ts';
import type { Check } from './check.ts';
import { computed, series, type Figure } from './series.ts';

/** Inverse square, barriers, limits of dose: check values L1 to L16. For teaching, not for the design of a shield. */

const turner = 'Turner, Atoms, Radiation, and Radiation Protection, Table 15.4 (that it is NCRP 49’s table is from memory)';
const astm = 'ASTM E94, as in a handbook of non-destructive testing, Table 3.5, and a US technical order';
const ncrp147 = 'NCRP 147, Table A.1, primary beam, as in two public transcriptions';
const archer = `${computed}, from the parameters of NCRP 147, Table A.1`;
const icrp103 = 'ICRP 103 (2007), Table 6, as given by ICRPaedia';

const voltages = [50, 70, 100, 125, 150, 200, 250, 300, 400];
/** mm */
const published: readonly (readonly [id: string, source: string, set: HalfValueSet, material: BarrierMaterial, mm: readonly number[]])[] = [
  ['L4', turner, 'NCRP 49', 'lead', [0.06, 0.17, 0.27, 0.28, 0.3, 0.52, 0.88, 1.47, 2.5]],
  ['L5', turner, 'NCRP 49', 'concrete', [4.3, 8.4, 16, 20, 22.4, 25, 28, 31, 33]],
  ['L6', astm, 'ASTM E94', 'lead', [0.05, 0.15, 0.24, 0.27, 0.29, 0.48, 0.9, 1.4, 2.2]],
  ['L7', astm, 'ASTM E94', 'concrete', [4.32, 8.38, 15.1, 20.3, 22.35]],
];
const parameters: readonly (readonly [id: string, material: BarrierMaterial, rows: readonly (readonly [kVp: number, alpha: number, beta: number, gamma: number])[]])[] = [
  ['L8', 'lead', [[70, 5.369, 23.49, 0.5881], [90, 3.067, 18.83, 0.7726], [100, 2.5, 15.28, 0.7557], [125, 2.219, 7.923, 0.5386], [150, 1.757, 5.177, 0.3156]]],
  ['L9', 'concrete', [[70, 0.05087, 0.1696, 0.3847], [100, 0.03925, 0.08567, 0.4273], [125, 0.03502, 0.07113, 0.6974], [150, 0.03243, 0.08599, 1.467]]],
];

/** The thickness of a barrier that lets half through, by halving an interval: the table's figure comes back through the function that uses it. */
function halfOf(transmission: (mm: number) => number): number {
  let [thin, thick] = [0, 1000];
  for (let k = 0; k < 60; k++) {
    const middle = (thin + thick) / 2;
    if (transmission(middle) > 0.5) thin = middle;
    else thick = middle;
  }
  return thick;
}

const exact = (id: string, source: string, figures: readonly Figure[], unit?: string) => series(id, { tolerance: 1e-9, kind: 'relative', source, unit }, figures);
/** A limit as the yearly dose that is just as large: 1 mSv divided by the share that 1 mSv is of it. */
const limit = (who: ExposedPerson, part: LimitedPart, period: string, since: number) => () => {
  const found = sharesOfLimits({ low: 1000, likely: 1000, high: 1000 }).filter((each) => each.who === who && each.part === part && each.period === period && each.since === since);
  return found.length === 1 ? 1 / found[0].share.likely : NaN;
};
const [year, single, averaged] = ['a year', 'any single year', 'a year, averaged over 5 years'];

export const doseChecks: readonly Check[] = [
  ...exact('L1', `${computed}: (from / to)²`, [
    ['what is left of 1 at 1 m at 2 m from a small source', 0.25, () => inverseSquare(1, 1, 2)],
    ['what is left of 1 at 1 m at 2.5 m from a small source', 0.16, () => inverseSquare(1, 1, 2.5)],
    ['what is left of 1 at 0.3 m at 1.2 m from a small source', 0.0625, () => inverseSquare(1, 0.3, 1.2)],
  ]),
  ...series('L2', { tolerance: 1e-6, kind: 'relative', source: computed }, [['half-value layers in a tenth-value layer', 3.321928, () => halfValuesInTenth]]),
  ...series('L3', { tolerance: 1e-6, kind: 'relative', source: computed }, [
    ['half-value layers that let a thousandth through', 9.965784, () => halfValueLayers(0.001)],
    ['what seven half-value layers let through (lead, 100 kVp, NCRP 49)', 0.0078125, () => halfValueTransmission('NCRP 49', 'lead', 100, 7 * 0.27)],
  ]),
  ...published.flatMap(([id, source, set, material, mm]) => exact(id, source, mm.map((value, k): Figure => [
    `half-value layer of ${material} at ${voltages[k]} kVp, deep in a broad beam, set ${set}`, value, () => halfOf((x) => halfValueTransmission(set, material, voltages[k], x)),
  ]), 'mm')),
  ...series('L6b', { tolerance: 0.06, kind: 'relative', source: `${astm}; its tenth-value layers are rounded` }, [0.16, 0.5, 0.8, 0.9, 0.95, 1.6, 3, 4.6, 7.3].map((mm, k): Figure => [
    `tenth-value layer of lead at ${voltages[k]} kVp, set ASTM E94, mm: 3.32 of its half-value layers`, mm, () => halfValuesInTenth * halfValueRows['ASTM E94'].lead[k].mm,
  ])),
  ...parameters.flatMap(([id, material, rows]) => exact(id, ncrp147, rows.flatMap(([kVp, alpha, beta, gamma]): Figure[] => [
    [`Archer α of ${material} at ${kVp} kVp, 1/mm, as the slope deep in the barrier`, alpha, () => Math.LN2 / limitingHalfValue(material, kVp)],
    [`Archer β of ${material} at ${kVp} kVp, 1/mm`, beta, () => archerRows[material].find((row) => row.kVp === kVp)!.beta],
    [`Archer γ of ${material} at ${kVp} kVp`, gamma, () => archerRows[material].find((row) => row.kVp === kVp)!.gamma],
  ]))),
  ...series('L10', { tolerance: 1e-5, kind: 'relative', source: archer }, [
    ['what no lead lets through at 100 kVp', 1, () => archerTransmission('lead', 100, 0)],
    ['what 1 mm of lead lets through at 100 kVp', 0.00735916, () => archerTransmission('lead', 100, 1)],
    ['what 2 mm of lead let through at 100 kVp', 0.000515832, () => archerTransmission('lead', 100, 2)],
  ]),
  ...series('L11', { tolerance: 1e-4, kind: 'relative', unit: 'mm', source: archer }, [
    ['lead that lets half through at 100 kVp: the first half-value layer', 0.04891, () => archerThickness('lead', 100, 0.5)],
    ['lead that lets a tenth through at 100 kVp', 0.26843, () => archerThickness('lead', 100, 0.1)],
    ['lead that lets a thousandth through at 100 kVp', 1.74192, () => archerThickness('lead', 100, 0.001)],
    ['half-value layer of lead at 100 kVp deep in the barrier', 0.27726, () => limitingHalfValue('lead', 100)],
  ]),
  ...series('L12', { tolerance: 1e-4, kind: 'relative', unit: 'mm', source: archer }, ([['lead', 70, 0.77696], ['lead', 125, 1.91091], ['lead', 150, 1.97423], ['concrete', 100, 113.404], ['concrete', 125, 152.513], ['concrete', 150, 185.784]] as const).map(([material, kVp, mm]): Figure => [
    `${material} that lets a thousandth through at ${kVp} kVp`, mm, () => archerThickness(material, kVp, 0.001),
  ])),
  ...series('L13', { tolerance: 1e-4, kind: 'relative', source: `${computed}: the worked barrier of the handbooks` }, [
    ['what a barrier may let through: 5 mSv a week at 1 m, 0.02 mSv a week wanted at 3 m', 0.036, () => transmissionAllowed({ value: 5, from: 1, to: 3, goal: 0.02 })],
    ['half-value layers of it', 4.795859, () => halfValueLayers(transmissionAllowed({ value: 5, from: 1, to: 3, goal: 0.02 }))],
    ['lead for it at 0.27 mm a layer (100 kVp, NCRP 49), mm', 1.2949, () => halfValueLayers(transmissionAllowed({ value: 5, from: 1, to: 3, goal: 0.02 })) * halfOf((x) => halfValueTransmission('NCRP 49', 'lead', 100, x))],
  ]),
  ...exact('L14', icrp103, [
    ['limit for a worker, whole body, averaged over 5 years, mSv a year', 20, limit('worker', 'whole body', averaged, 2007)],
    ['limit for a worker, whole body, in any single year, mSv', 50, limit('worker', 'whole body', single, 2007)],
    ['limit for anybody else, whole body, mSv a year', 1, limit('public', 'whole body', year, 2007)],
  ]),
  ...exact('L15', icrp103, [
    ['limit for a worker, skin, mSv a year', 500, limit('worker', 'skin', year, 2007)],
    ['limit for a worker, hands and feet, mSv a year', 500, limit('worker', 'hands and feet', year, 2007)],
    ['limit for anybody else, skin, mSv a year', 50, limit('public', 'skin', year, 2007)],
  ]),
  ...exact('L16', 'ICRP 103 (2007), and the ICRP statement of 2011 (Publication 118), as given by ICRPaedia; the figures differ, so both stand with their dates', [
    ['limit for a worker, lens of the eye, by ICRP 103 of 2007, mSv a year', 150, limit('worker', 'lens of the eye', year, 2007)],
    ['limit for a worker, lens of the eye, since 2011, averaged over 5 years, mSv a year', 20, limit('worker', 'lens of the eye', averaged, 2011)],
    ['limit for a worker, lens of the eye, since 2011, in any single year, mSv', 50, limit('worker', 'lens of the eye', single, 2011)],
    ['limit for anybody else, lens of the eye, mSv a year', 15, limit('public', 'lens of the eye', year, 2007)],
  ]),
];
