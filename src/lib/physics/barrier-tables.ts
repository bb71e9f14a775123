/**
 * Published figures for broad X-ray beams of tungsten tubes behind barriers, by kVp. The sets differ, by 30 % in thickness at 150 kVp and by
 * far more in what a thin sheet lets through: whoever uses a figure names its set. Nothing here is a shielding design.
 */

export type BarrierMaterial = 'lead' | 'concrete';

/** α and β in 1/mm, γ without unit, of T = [(1 + β/α)·e^(αγx) − β/α]^(−1/γ). */
export interface ArcherRow { readonly kVp: number; readonly alpha: number; readonly beta: number; readonly gamma: number }

const archer = (rows: readonly (readonly [kVp: number, alpha: number, beta: number, gamma: number])[]): readonly ArcherRow[] =>
  rows.map(([kVp, alpha, beta, gamma]) => ({ kVp, alpha, beta, gamma }));

/**
 * Source: NCRP Report 147, Table A.1, primary beams, as printed in two public transcriptions that agree where both were seen (lead at 100,
 * concrete at 150 kVp; the others in one of them). The same report's Table B.1, for the workloads of whole rooms, is not used: its copies differ.
 */
export const archerRows: Readonly<Record<BarrierMaterial, readonly ArcherRow[]>> = {
  lead: archer([[70, 5.369, 23.49, 0.5881], [90, 3.067, 18.83, 0.7726], [100, 2.5, 15.28, 0.7557], [125, 2.219, 7.923, 0.5386], [150, 1.757, 5.177, 0.3156]]),
  concrete: archer([[70, 0.05087, 0.1696, 0.3847], [100, 0.03925, 0.08567, 0.4273], [125, 0.03502, 0.07113, 0.6974], [150, 0.03243, 0.08599, 1.467]]),
};

export type HalfValueSet = 'NCRP 49' | 'ASTM E94';
export interface HalfValueRow { readonly kVp: number; readonly mm: number }

const rows = (kVp: readonly number[], mm: readonly number[]): readonly HalfValueRow[] => mm.map((value, k) => ({ kVp: kVp[k], mm: value }));
const voltages = [50, 70, 100, 125, 150, 200, 250, 300, 400];

/**
 * Half-value layers, mm. NCRP 49: as in Turner, Atoms, Radiation, and Radiation Protection, Table 15.4 (that these are NCRP 49's is from memory).
 * ASTM E94: as in a handbook of non-destructive testing, Table 3.5, and a technical order, identical.
 */
export const halfValueRows: Readonly<Record<HalfValueSet, Readonly<Record<BarrierMaterial, readonly HalfValueRow[]>>>> = {
  'NCRP 49': {
    lead: rows(voltages, [0.06, 0.17, 0.27, 0.28, 0.3, 0.52, 0.88, 1.47, 2.5]),
    concrete: rows(voltages, [4.3, 8.4, 16, 20, 22.4, 25, 28, 31, 33]),
  },
  'ASTM E94': {
    lead: rows(voltages, [0.05, 0.15, 0.24, 0.27, 0.29, 0.48, 0.9, 1.4, 2.2]),
    concrete: rows(voltages, [4.32, 8.38, 15.1, 20.3, 22.35]),
  },
};

/**
 * The row for this voltage: the one with the same kVp or, between two, the next higher, whose beam goes further through; below the first, the first.
 * Throws RangeError, one sentence, beyond the last: there the set says nothing.
 */
export function rowAt<R extends { readonly kVp: number }>(table: readonly R[], kVp: number, set: string): R {
  const row = table.find((each) => each.kVp >= kVp);
  if (!(kVp > 0) || !row) throw new RangeError(`${set} goes to ${table[table.length - 1].kVp} kVp and the tube is at ${kVp}: it says nothing there.`);
  return row;
}

/** Tenth-value layers are log₂10 = 3.32 half-value layers where a beam falls by one exponential. */
export const halfValuesInTenth = Math.log2(10);
