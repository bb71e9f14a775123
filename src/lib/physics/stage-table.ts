import { asNumber, checkViews, microstepsInScan, microstepsPerTurn, rounded, type Stage } from './stage.ts';

export interface StageRow {
  /** From 0. */
  readonly frame: number;
  /** The angle that the plan asks for, radians from the start. */
  readonly wanted: number;
  /** Where the motor goes, whole microsteps from the start. */
  readonly position: number;
  /** The angle of that position, radians. */
  readonly reached: number;
  /** reached − wanted, radians. */
  readonly error: number;
}

export interface StageTable {
  readonly rows: readonly StageRow[];
  /** Where the turn ends, microsteps: from the last frame it goes on to there. A whole turn ends where it began, if the gear allows. */
  readonly end: number;
  /** Microsteps from one view to the next, before rounding. */
  readonly perView: number;
  /** Whether that is a whole number, so that every step is the same and no angle is off. */
  readonly even: boolean;
  /** The largest error of a row, radians: at most half a microstep. */
  readonly worst: number;
  /** What a whole number of microsteps, the same every time, would be off by at the end of the turn, radians: negative where it falls short. */
  readonly offByEqualSteps: number;
  /** The angle of a microstep at the table, radians. */
  readonly microstep: number;
}

/**
 * Where a stepper stage goes for each of `views` equal steps over `turn` radians (a whole turn when left out). Each position is rounded by
 * itself from the start, round(k · microsteps / views) in whole-number arithmetic, so that errors never add up; equal rounded steps would.
 * What the motor itself adds is not in it: see stepAccuracy.
 * Throws: RangeError for numbers that no stage has; BadInput, one sentence, where there are more views than microsteps.
 * Source: arithmetic; halves are rounded up.
 */
export function stageTable(stage: Stage, views: number, turn: number = 2 * Math.PI): StageTable {
  const inScan = microstepsInScan(stage, turn);
  checkViews(views, inScan);
  const perTurn = asNumber(microstepsPerTurn(stage));
  const microstep = (2 * Math.PI) / perTurn;
  const count = BigInt(views);
  const below = inScan.below * count;
  const rows = Array.from({ length: views }, (_, frame): StageRow => {
    const above = BigInt(frame) * inScan.above;
    const position = rounded(above, below);
    // The error is the whole-number remainder, so that it is exact where it is small.
    const error = (Number(position * below - above) / Number(below)) * microstep;
    const wanted = asNumber({ above, below }) * microstep;
    return { frame, wanted, position: Number(position), reached: Number(position) * microstep, error };
  });
  const equal = rounded(inScan.above, below);
  return {
    rows, microstep,
    end: Number(rounded(inScan.above, inScan.below)),
    perView: asNumber({ above: inScan.above, below }),
    even: inScan.above % below === 0n,
    worst: rows.reduce((most, { error }) => Math.max(most, Math.abs(error)), 0),
    offByEqualSteps: (Number(equal * below - inScan.above) / Number(inScan.below)) * microstep,
  };
}
