import { archerRows, halfValueRows, rowAt, type BarrierMaterial, type HalfValueSet } from './barrier-tables.ts';

/** The name of the set behind archerTransmission, to stand beside every figure of it. */
export const archerSet = 'NCRP 147, Table A.1';

/**
 * The share of a broad primary beam that goes through a barrier, scattered radiation from its depth included:
 *   T = [(1 + β/α)·e^(αγx) − β/α]^(−1/γ)
 * kVp: up to 150; between two rows the next higher one is taken, below 70 that of 70. mm: 0 or more.
 * Exact where the row is the tube's own; a beam with another filter differs.   Throws RangeError, one sentence, for a voltage or thickness that cannot be.
 * Source: Archer, Thornby & Bushong, Health Physics 44:507 (1983) (citation from memory); parameters of NCRP 147, Table A.1.
 */
export function archerTransmission(material: BarrierMaterial, kVp: number, mm: number): number {
  requireThickness(mm);
  const { alpha, beta, gamma } = rowAt(archerRows[material], kVp, archerSet);
  const exponent = alpha * gamma * mm;
  // e^(αγx) overflows behind metres of lead, where nothing is left of the −β/α beside it.
  if (exponent > 500) return Math.exp(-alpha * mm - Math.log1p(beta / alpha) / gamma);
  return ((1 + beta / alpha) * Math.exp(exponent) - beta / alpha) ** (-1 / gamma);
}

/** The same turned round: the thickness, mm, that lets this share through. Throws RangeError, one sentence, unless 0 < transmission ≤ 1. */
export function archerThickness(material: BarrierMaterial, kVp: number, transmission: number): number {
  if (!(transmission > 0 && transmission <= 1)) throw new RangeError(`The transmission is ${transmission} and should be above 0 and at most 1.`);
  const { alpha, beta, gamma } = rowAt(archerRows[material], kVp, archerSet);
  return Math.log((transmission ** -gamma + beta / alpha) / (1 + beta / alpha)) / (alpha * gamma);
}

/**
 * The share that goes through by half-value layers, 2^(−mm / HVL). The layers of these sets are those deep in a barrier, where the beam is hardest, so a thin
 * barrier lets through less than this says, often ten times less: a figure on the safe side.
 * Throws RangeError, one sentence, as archerTransmission.   Source: the set that is named.
 */
export function halfValueTransmission(set: HalfValueSet, material: BarrierMaterial, kVp: number, mm: number): number {
  requireThickness(mm);
  return 2 ** (-mm / rowAt(halfValueRows[set][material], kVp, set).mm);
}

/** The half-value layer deep in the barrier, mm, by the Archer fit: ln 2 / α. The first one is several times thinner. */
export function limitingHalfValue(material: BarrierMaterial, kVp: number): number {
  return Math.LN2 / rowAt(archerRows[material], kVp, archerSet).alpha;
}

function requireThickness(mm: number): void {
  if (!(mm >= 0) || !Number.isFinite(mm)) throw new RangeError(`The thickness of the barrier is ${mm} and should be a length in mm, 0 or more.`);
}
