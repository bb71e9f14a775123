import { BadInput } from '../files/bad-input.ts';

/** A turntable on a stepper motor. */
export interface Stage {
  /** Full steps in a turn of the motor: 200 for the usual 1.8°. */
  readonly fullSteps: number;
  /** Microsteps in a full step: 1, 2, 4 … 256. */
  readonly microsteps: number;
  /** So many turns of the motor to so many turns of the table, whole numbers, so that no rounding creeps in: 72 to 17 for teeth, say. 1 to 1 when left out. */
  readonly gear?: { readonly motor: number; readonly table: number };
}

/** An exact ratio of whole numbers in its lowest terms, below > 0. */
export interface Ratio { readonly above: bigint; readonly below: bigint }

/**
 * Microsteps in a turn of the table, fullSteps · microsteps · motor / table, as an exact ratio: with a gear it need not be whole.
 * Throws RangeError, one sentence, for a number that is not whole, below 1 or beyond all stages.
 */
export function microstepsPerTurn(stage: Stage): Ratio {
  const { fullSteps, microsteps, gear = { motor: 1, table: 1 } } = stage;
  const whole = (value: number, what: string) => {
    if (!Number.isInteger(value) || value < 1 || value > 100_000) throw new RangeError(`${what} is ${value} and should be a whole number from 1 to 100,000.`);
    return BigInt(value);
  };
  const above = whole(fullSteps, 'The number of full steps in a turn') * whole(microsteps, 'The number of microsteps in a full step') * whole(gear.motor, 'The number of turns of the motor');
  return lowest(above, whole(gear.table, 'The number of turns of the table'));
}

/**
 * The part of a turn that a scan goes through, as an exact ratio. turn: radians, above 0, at most two turns; taken to a millionth of a degree,
 * so that a turn of 360° or 203.5° is exactly that. Throws RangeError, one sentence.
 */
export function shareOfTurn(turn: number): Ratio {
  const millionths = Math.round((turn * 180e6) / Math.PI);
  if (!(millionths >= 1) || !(turn <= 4 * Math.PI + 1e-9)) throw new RangeError(`The turn is ${turn} and should be an angle in radians above 0, at most two whole turns.`);
  return lowest(BigInt(millionths), 360_000_000n);
}

/** Microsteps in the turn of a scan, exactly. */
export function microstepsInScan(stage: Stage, turn: number): Ratio {
  const [whole, part] = [microstepsPerTurn(stage), shareOfTurn(turn)];
  return lowest(whole.above * part.above, whole.below * part.below);
}

/** Refuses a number of views that is none, and one for which the stage has fewer microsteps, with the most that it can do. */
export function checkViews(views: number, { above, below }: Ratio): void {
  if (!Number.isInteger(views) || views < 1 || views > 65_536) throw new RangeError(`The number of views is ${views} and should be a whole number from 1 to 65,536.`);
  const most = above / below;
  if (BigInt(views) > most) {
    throw new BadInput(`${views} views are more than the stage has places for: this turn has ${most} whole microsteps, so take at most ${most === 0n ? 'a coarser turn' : `${most} views`}, more microsteps or a gear.`);
  }
}

export const asNumber = ({ above, below }: Ratio): number => Number(above / below) + Number(above % below) / Number(below);

/** above / below rounded to the nearest whole number, halves up; both 0 or more. */
export const rounded = (above: bigint, below: bigint): bigint => (2n * above + below) / (2n * below);

function lowest(above: bigint, below: bigint): Ratio {
  let [a, b] = [above, below];
  while (b > 0n) [a, b] = [b, a % b];
  return { above: above / a, below: below / a };
}
