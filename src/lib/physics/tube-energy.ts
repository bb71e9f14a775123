/**
 * What an exposure puts into the anode. Nearly all of the power of a tube becomes heat: about one part in a hundred leaves as X-rays.
 * Constant potential is meant, the voltage being at kVp all the time. A tube on rectified mains has less energy for the same kVp, mA and
 * seconds, so these figures err on the safe side.
 */

/** How a high voltage comes out of its generator. */
export type Waveform = 'constant' | 'three-phase' | 'single-phase';

/**
 * Heat units for each kVp · mA · s, by waveform: the customary measure in which anodes are rated. Source: textbooks of radiographic imaging
 * (from memory): 1 for a single phase, 1.35 for three phases in six pulses, 1.41 for twelve pulses, high frequency and constant potential.
 */
export const heatUnitFactor: Readonly<Record<Waveform, number>> = { 'single-phase': 1, 'three-phase': 1.35, constant: 1.41 };

/** J in a heat unit: kVp · mA · s at constant potential are as many joules and 1.41 times as many heat units. */
export const joulesPerHeatUnit = 1 / heatUnitFactor.constant;

/** Energy of an exposure at constant potential, J: kV · mA · seconds, for kV · mA are W. Throws RangeError, one sentence, for a number that cannot be. */
export function exposureEnergy({ kV, mA, seconds }: { readonly kV: number; readonly mA: number; readonly seconds: number }): number {
  for (const [name, value] of Object.entries({ kV, mA, seconds })) {
    if (!(value >= 0) || !Number.isFinite(value)) throw new RangeError(`The exposure has ${value} for its ${name} and should have a number, 0 or more.`);
  }
  return kV * mA * seconds;
}

/** The same in heat units, kVp · mA · s times the factor of the waveform. */
export function heatUnits(exposure: { readonly kV: number; readonly mA: number; readonly seconds: number }, waveform: Waveform = 'constant'): number {
  return exposureEnergy(exposure) * heatUnitFactor[waveform];
}

/** Share of the time that the tube is on: seconds of exposure and of rest after it. Throws RangeError, one sentence, for times that cannot be. */
export function dutyCycle(on: number, rest: number): number {
  if (!(on > 0) || !(rest >= 0) || !Number.isFinite(on)) throw new RangeError(`An exposure of ${on} s and a rest of ${rest} s should be times, the first above 0.`);
  return on / (on + rest);
}
