import { asNumber, microstepsPerTurn, type Stage } from './stage.ts';

/**
 * How far a position may be off by the motor's own making, radians at the table: a share of a full step, 5 % when left out, divided by the
 * gear. It does not add up from step to step, for it lies in the windings and teeth of one place; play in a gear or a belt comes on top.
 * Throws RangeError, one sentence, for a share that cannot be, and as microstepsPerTurn.
 * Source: 3 to 5 % of a full step, a motor-driver vendor's forum answer; that it does not add up is from memory.
 */
export function stepAccuracy(stage: Stage, share = 0.05): number {
  if (!(share >= 0 && share <= 1)) throw new RangeError(`The accuracy of a step is ${share} and should be a share of a full step, 0 to 1.`);
  return (share * stage.microsteps * 2 * Math.PI) / asNumber(microstepsPerTurn(stage));
}
