/** What came of a roll, each with the key of what it was made from, so that it is known when it no longer fits. */
import type { FrameWarning, Scan, ScanAxis, StepReport } from '../../lib/index.ts';
import { anglesOf, framesOf, viewsOf, type Frame, type Roll } from './model.ts';

export interface Developed {
  readonly key: string;
  readonly steps: readonly StepReport[];
  readonly warnings: readonly FrameWarning[];
  /** Of each view, against the mean of all. */
  readonly exposure: readonly number[];
  readonly saturated: readonly number[];
  readonly columns: number;
  readonly rows: number;
  readonly bytes: number;
  readonly seconds: number;
}

export interface FoundAxis {
  readonly key: string;
  readonly axis: ScanAxis;
  /** Chance that the offset is right to half a cell, and what it was found from. */
  readonly sure: number;
  readonly how: string;
}

export interface FoundSteps {
  readonly key: string;
  /** Equal steps in the turn. */
  readonly count: number;
  readonly steps: readonly number[];
  readonly lost: readonly number[];
  readonly sure: number;
  readonly sureOfFrame: readonly number[];
  readonly next?: { readonly steps: readonly number[]; readonly lost: readonly number[]; readonly sure: number };
  readonly duplicates: readonly { readonly frame: number; readonly of: number }[];
  readonly moved: readonly number[];
  readonly surprises: readonly number[];
}

/** How each view fits with all the others. */
export type Checked = { readonly key: string } & (
  /** In equal steps of a turn. surprises: how far each is from what the others predict, over what is expected (about 1 is usual).   ahead: by how much of a step it lies before its own. */
  | { readonly how: 'steps'; readonly surprises: readonly number[]; readonly ahead: readonly number[] }
  /** Otherwise: rms of the line integrals from what a coarse volume made of all shows there. */
  | { readonly how: 'volume'; readonly residuals: readonly number[] }
);

export interface Made {
  readonly key: string;
  /** From which the command line makes the same volume. */
  readonly scan: Scan;
  readonly axis: { readonly offset: number; readonly tilt: number; readonly found: boolean };
  readonly seconds: number;
  /** Who made it and how it went, in words. */
  readonly how?: string;
}

export interface Results {
  readonly developed?: Developed;
  readonly axis?: FoundAxis;
  readonly steps?: FoundSteps;
  readonly check?: Checked;
  readonly made?: Made;
}

const ids = (frames: readonly Frame[]) => frames.map(({ id }) => id);

/** What the line integrals hang on. The turn's length is asked for a warning only, the mirror turns them. */
export const lightKey = (roll: Roll): string => JSON.stringify([ids(viewsOf(roll)), ids(framesOf(roll, 'dark')), ids(framesOf(roll, 'flat')), roll.light, roll.rig.mirrored, wholeTurn(roll)]);

const rigKey = ({ rig }: Roll) => [rig.sourceToAxis, rig.sourceToDetector, rig.pitch, rig.turn];

/** What an axis that is looked for hangs on. */
export const axisKey = (roll: Roll): string => JSON.stringify([lightKey(roll), rigKey(roll), anglesOf(roll)]);

/** What a search for lost frames hangs on: not on the steps that it is to find. */
export const stepsKey = (roll: Roll): string => JSON.stringify([lightKey(roll), rigKey(roll)]);

export const volumeKey = (roll: Roll): string => JSON.stringify([axisKey(roll), roll.axis, roll.volume]);
export const checkKey = (roll: Roll): string => JSON.stringify([axisKey(roll), roll.axis]);

function wholeTurn(roll: Roll): boolean {
  const angles = anglesOf(roll);
  return Math.abs(angles.at(-1)! - angles[0]) + roll.rig.step > 342;
}
