import { linearAttenuation, materials, type Material } from './attenuation.ts';
import { halfValueRows, type HalfValueSet } from './barrier-tables.ts';
import { archerSet, archerTransmission, halfValueTransmission } from './barrier-transmission.ts';
import type { Range } from './dose-limits.ts';

/** A sheet between tube and person: thickness in mm, at the table's density. */
export interface Barrier { readonly material: Material; readonly thickness: number }

export interface BarrierRange extends Range {
  /** Where each of the three comes from, as sentences. */
  readonly assumptions: readonly string[];
}

/**
 * The share of a beam that a barrier lets through, as a range.
 *   low     a narrow beam of one energy, two thirds of kVp, as hard as a barrier leaves it; nothing is scattered in; no more than likely
 *   likely  the Archer fit
 *   high    the most that the Archer fit and the half-value layers of NCRP 49 and ASTM E94 let through
 * Only lead and concrete have broad-beam figures here. Any other material counts in `low` alone: without such figures nobody may rely on it.
 * kVp: 10 to 150.   Throws RangeError, one sentence, for a voltage, material or thickness that cannot be.
 * Source: NCRP 147, NCRP 49, ASTM E94; linearAttenuation; two thirds of kVp for a hardened beam is common practice, no source.
 */
export function barrierRange(barrier: Barrier | undefined, kVp: number): BarrierRange {
  if (!(kVp >= 10 && kVp <= 150)) throw new RangeError(`The tube is at ${kVp} kVp and should be at 10 to 150: beyond, ${archerSet}, says nothing.`);
  if (!barrier || barrier.thickness === 0) return { low: 1, likely: 1, high: 1, assumptions: ['Nothing stands between the tube and the person.'] };
  const { material, thickness: mm } = barrier;
  if (!(mm > 0) || !Number.isFinite(mm)) throw new RangeError(`The thickness of the barrier is ${mm} and should be a length in mm, 0 or more.`);
  const keV = (2 * kVp) / 3;
  const narrow = Math.exp(-linearAttenuation(material, keV) * mm);
  const narrowSays = ` The low figure takes a narrow beam of ${Number(keV.toPrecision(3))} keV through ${mm} mm of ${materials[material].title}.`;
  if (material !== 'lead' && material !== 'concrete') {
    return { low: narrow, likely: 1, high: 1, assumptions: [`No broad-beam figures for ${materials[material].title} are known here, so it counts in the low figure alone.${narrowSays}`] };
  }
  const likely = archerTransmission(material, kVp, mm);
  const sets = (Object.keys(halfValueRows) as HalfValueSet[]).filter((set) => halfValueRows[set][material].at(-1)!.kVp >= kVp);
  const high = Math.max(likely, ...sets.map((set) => halfValueTransmission(set, material, kVp, mm)));
  return {
    low: Math.min(narrow, likely), likely, high,
    assumptions: [
      `${mm} mm of ${material} lets through what ${archerSet}, gives (Archer fit, likely) and at most what the half-value layers of ${sets.join(' and ')} give (high).${narrowSays}`,
      'The barrier covers every way from tube and object to the person: no gap, no door, no way round.',
    ],
  };
}
