import { BadInput } from '../files/bad-input.ts';
import type { Geometry, Projections, Sinogram } from '../types.ts';

/** Fewer frames than this tell nothing about an axis or about steps. */
export const fewestFrames = 8;

/** Everything of the detector but the angles: what is known before it is known which frame is which. */
export type BeamWithoutAngles = Pick<Geometry, 'detectors' | 'pitch' | 'axisOffset'> &
  ({ readonly beam: 'parallel' } | { readonly beam: 'fan'; readonly sourceToAxis: number; readonly sourceToDetector: number }
    | { readonly beam: 'cone'; readonly rows: number; readonly rowOffset: number; readonly sourceToAxis: number; readonly sourceToDetector: number; readonly tilt: number });

/**
 * A sinogram as frames of one row; projections as they are. Nothing is copied.
 * Throws BadInput, one sentence: fewer than 8 frames, a size that is not the detector's, numbers that are not finite, a blank frame.
 */
export function asFrames(frames: Projections | Sinogram, detector: BeamWithoutAngles): Projections {
  const { views, data } = frames;
  const { rows, columns } = 'rows' in frames ? frames : { rows: 1, columns: frames.detectors };
  const expected = detector.beam === 'cone' ? detector.rows : 1;
  if (views < fewestFrames) throw new BadInput(`There ${views === 1 ? 'is 1 frame' : `are ${views} frames`}: at least ${fewestFrames} are needed to find an axis or a step.`);
  if (columns !== detector.detectors || rows !== expected) {
    throw new BadInput(`The frames have ${columns} × ${rows} cells and the geometry's detector ${detector.detectors} × ${expected}: they need the same size.`);
  }
  if (data.length !== views * rows * columns) {
    throw new BadInput(`The frames hold ${data.length} numbers: ${views} frames of ${columns} × ${rows} cells are ${views * rows * columns}.`);
  }
  const bad = data.findIndex((value) => !Number.isFinite(value));
  if (bad >= 0) throw new BadInput(`Frame ${Math.floor(bad / rows / columns)} (counted from 0) holds ${data[bad]}: every line integral has to be a finite number.`);
  const whole = { views, rows, columns, data };
  refuseBlank(whole);
  return whole;
}

/** Only these frames, in this order; a copy. */
export function pickFrames({ rows, columns, data }: Projections, kept: readonly number[]): Projections {
  const size = rows * columns;
  const chosen = new Float32Array(kept.length * size);
  kept.forEach((view, i) => chosen.set(data.subarray(view * size, (view + 1) * size), i * size));
  return { views: kept.length, rows, columns, data: chosen };
}

/** A frame with less than a tenth of the usual shadow is one that saw nothing. */
function refuseBlank({ views, rows, columns, data }: Projections): void {
  const size = rows * columns;
  const totals = Float64Array.from({ length: views }, (_, view) => {
    let sum = 0;
    for (let i = view * size; i < (view + 1) * size; i++) sum += Math.max(0, data[i]!);
    return sum / size;
  });
  const usual = [...totals].sort((a, b) => a - b)[Math.floor(views / 2)]!;
  if (!(usual > 0)) throw new BadInput('The frames are blank: nothing in them casts a shadow, so there is nothing to align.');
  const blank = Array.from(totals.keys()).filter((view) => totals[view]! < 0.1 * usual);
  if (blank.length > 0) {
    const which = blank.length === 1 ? `Frame ${blank[0]} is blank` : `Frames ${blank.join(', ')} are blank`;
    throw new BadInput(`${which} (counted from 0; less than a tenth of the usual shadow): leave ${blank.length === 1 ? 'it' : 'them'} out.`);
  }
}

/**
 * The rows that may be used: 1 where both ends of the row stay free of the object in every frame, else 0.
 * An end is free when the mean of its outermost cells (1 % of the row) is less than a tenth of the greatest line integral, or than five
 * deviations of the noise there.
 * Throws BadInput where the object leaves the frame on a side in most of the rows that show it.
 */
export function freeRows({ views, rows, columns, data }: Projections): Uint8Array {
  const margin = Math.max(1, Math.round(columns / 100));
  const depths = new Float64Array(rows);
  const ends = [new Float64Array(views * rows), new Float64Array(views * rows)];
  for (let at = 0; at < views * rows; at++) {
    const cells = data.subarray(at * columns, (at + 1) * columns);
    for (let j = 1; j + 1 < columns; j++) depths[at % rows] = Math.max(depths[at % rows]!, (cells[j - 1]! + cells[j]! + cells[j + 1]!) / 3);
    for (let j = 0; j < margin; j++) {
      ends[0]![at]! += cells[j]! / margin;
      ends[1]![at]! += cells[columns - 1 - j]! / margin;
    }
  }
  const greatest = [...depths].sort((a, b) => a - b)[Math.floor(0.9 * (rows - 1))]!;
  const limit = Math.max(0.1 * greatest, 5 * Math.min(...ends.map((side) => noiseOf(side, 1))));
  const shows = (row: number) => depths[row]! > 0.2 * greatest;
  const free = new Uint8Array(rows).fill(1);
  const leaving = ends.map((side) => {
    const frames = new Set<number>();
    side.forEach((end, at) => {
      if (!(end > limit)) return;
      free[at % rows] = 0;
      if (shows(at % rows)) frames.add(Math.floor(at / rows));
    });
    return frames.size;
  }) as [number, number];
  const shown = Array.from(free.keys()).filter(shows);
  if (shown.filter((row) => free[row]).length < 0.3 * shown.length) {
    const where = leaving[0] > 0 && leaving[1] > 0 ? 'on both sides' : leaving[0] > 0 ? 'on the left (column 0)' : `on the right (column ${columns - 1})`;
    throw new BadInput(`The object leaves the frame ${where}, in ${Math.max(...leaving)} of ${views} frames: all of it has to stay in sight, so move it or the camera back, or crop less.`);
  }
  return free;
}

/** Deviation of the noise, from the middle of the differences between neighbours `step` apart: 1.4826 · median/√2 for normal noise. */
function noiseOf(values: Float64Array, step: number): number {
  const differences = Array.from(values.subarray(step), (value, i) => Math.abs(value - values[i]!)).sort((a, b) => a - b);
  return (1.4826 / Math.SQRT2) * differences[Math.floor(differences.length / 2)]!;
}
