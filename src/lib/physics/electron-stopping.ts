/**
 * What an electron loses on its way through a target by collisions: the mass stopping power, keV·cm²/g.
 *   S = 153.54 · Z/(A·β²) · [ln(T/I)² + ln(1 + τ/2) + (1 − β²)(1 + τ²/8 − (2τ + 1)·ln 2)],   τ = T/mc²
 * keV: the electron's energy, from 4 or so, since the formula fails near the mean excitation energy (0.7 keV in tungsten).
 * Losses by radiation, 1 % here, and the density effect are left out.
 * Source: Bethe's formula for electrons as in ICRU Report 37 (1984), from memory.
 */
export function electronStopping({ Z, atomicWeight, meanExcitation }: { Z: number; atomicWeight: number; meanExcitation: number }, keV: number): number {
  const tau = keV / electronRest;
  const beta2 = (tau * (tau + 2)) / (tau + 1) ** 2;
  const bracket = 2 * Math.log((1000 * keV) / meanExcitation) + Math.log(1 + tau / 2) + (1 - beta2) * (1 + (tau * tau) / 8 - (2 * tau + 1) * Math.LN2);
  return ((153.54 * Z) / (atomicWeight * beta2)) * bracket;
}

/** Rest energy of the electron, keV (CODATA). */
export const electronRest = 510.99895;
