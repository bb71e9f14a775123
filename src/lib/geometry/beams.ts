import type { ConeBeam, FanBeam, ParallelBeam } from '../types.ts';
import { equalAngles } from './equal-angles.ts';

/** The detector, and the angles: a list, or so many views over a turn. */
export type ViewsOptions = {
  readonly detectors: number;
  readonly pitch: number;
  readonly axisOffset?: number;
} & ({ readonly angles: readonly number[] } | { readonly views: number; readonly turn?: number; readonly start?: number });

export type FanOptions = ViewsOptions & { readonly sourceToAxis: number; readonly sourceToDetector: number };

export type ConeOptions = FanOptions & { readonly rows: number; readonly rowOffset?: number; readonly tilt?: number };

/**
 * A parallel beam: rays x cos θ + y sin θ = s, seen by `detectors` cells `pitch` mm apart.
 * angles: radians, any order; or `views` equal steps over `turn` (half a turn when left out) from `start`.
 * axisOffset: where the rotation axis falls on the detector, mm from its middle, + to higher columns.
 * Throws RangeError, one sentence, for a number that cannot be.
 */
export function parallelBeam(options: ViewsOptions): ParallelBeam {
  return { beam: 'parallel', ...viewsOf(options, Math.PI) };
}

/**
 * A fan beam on a flat detector: source at (−R sin β, R cos β), R = sourceToAxis; columns along (cos β, sin β), mm on the detector
 * itself, which is sourceToDetector from the source. With sourceToDetector = sourceToAxis the detector is thought to lie on the axis.
 * A whole turn when `turn` is left out. Throws RangeError, one sentence, for a number that cannot be.
 */
export function fanBeam(options: FanOptions): FanBeam {
  return { beam: 'fan', ...viewsOf(options, 2 * Math.PI), ...distancesOf(options) };
}

/**
 * A cone beam on a flat detector of `rows` rows of square cells, as the fan in the plane of the source; rows along +z from the bottom.
 * rowOffset: where the plane of the source falls on the detector, mm from its middle, + to higher rows. tilt: how far the image of the
 * axis leans from the columns, radians, + towards higher columns going up. A whole turn when `turn` is left out.
 * Throws RangeError, one sentence, for a number that cannot be.
 */
export function coneBeam(options: ConeOptions): ConeBeam {
  const { rows, rowOffset = 0, tilt = 0 } = options;
  if (!Number.isInteger(rows) || rows < 1) throw new RangeError(`The number of detector rows is ${rows} and should be a whole number from 1.`);
  if (!Number.isFinite(rowOffset)) throw new RangeError(`The row offset is ${rowOffset} and should be a length in mm.`);
  if (!(Math.abs(tilt) < Math.PI / 2)) throw new RangeError(`The tilt is ${tilt} and should be an angle in radians between −π/2 and π/2.`);
  return { beam: 'cone', ...viewsOf(options, 2 * Math.PI), ...distancesOf(options), rows, rowOffset, tilt };
}

function distancesOf({ sourceToAxis, sourceToDetector }: FanOptions) {
  requirePositive(sourceToAxis, 'The distance from the source to the axis (sourceToAxis)');
  requirePositive(sourceToDetector, 'The distance from the source to the detector (sourceToDetector)');
  if (sourceToDetector < sourceToAxis) {
    throw new RangeError(
      `The detector lies before the axis: sourceToDetector is ${sourceToDetector} mm and should be at least sourceToAxis, ${sourceToAxis} mm.`,
    );
  }
  return { sourceToAxis, sourceToDetector };
}

function viewsOf(options: ViewsOptions, usualTurn: number) {
  const { detectors, pitch, axisOffset = 0 } = options;
  if (!Number.isInteger(detectors) || detectors < 1) {
    throw new RangeError(`The number of detector cells is ${detectors} and should be a whole number from 1.`);
  }
  requirePositive(pitch, 'The distance between detector cells (pitch)');
  if (!Number.isFinite(axisOffset)) throw new RangeError(`The axis offset is ${axisOffset} and should be a length in mm.`);
  const angles = 'angles' in options ? [...options.angles] : equalAngles(options.views, options.turn ?? usualTurn, options.start);
  if (angles.length < 1) throw new RangeError('The list of angles is empty and should have one angle for each view.');
  const bad = angles.findIndex((angle) => !Number.isFinite(angle));
  if (bad >= 0) throw new RangeError(`The angle of view ${bad} is ${angles[bad]} and should be a number in radians.`);
  return { angles, detectors, pitch, axisOffset };
}

function requirePositive(value: number, what: string): void {
  if (!(value > 0) || !Number.isFinite(value)) throw new RangeError(`${what} is ${value} and should be a length in mm above 0.`);
}
