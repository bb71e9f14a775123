import { finish } from '../engine/steps.ts';
import { coneBeam } from '../geometry/beams.ts';
import type { PlanObject } from './plan-object.ts';

/** Rays through an object from all sides, fewer than a picture has. */
export interface RaySample {
  readonly count: number;
  /** Path in each substance, mm: paths[substance][ray]. */
  readonly paths: readonly Float32Array[];
  /** Where each passes the axis: to the side, and up, mm. */
  readonly aside: Float32Array;
  readonly up: Float32Array;
}

const views = 8, columns = 41, rows = 31;

/**
 * Rays in a cone over the whole object, from 8 sides, 41 × 31 of each. The paths are exact; what lies between the rays is not seen.
 * Throws RangeError where the object reaches the source.
 */
export function sampleRays(object: PlanObject, { sourceToAxis }: { readonly sourceToAxis: number }): RaySample {
  const { radius, bottom, top, substances } = object;
  if (!(radius < sourceToAxis)) throw new RangeError(`The object reaches ${radius.toPrecision(3)} mm from the axis and the source stands ${sourceToAxis} mm from it: the source has to be outside.`);
  const last = kept.get(object);
  if (last?.sourceToAxis === sourceToAxis) return last.sample;
  // The detector is thought to stand on the axis, so that its coordinates are those at the axis.
  const half = sourceToAxis * Math.tan(Math.asin(radius / sourceToAxis));
  const nearer = sourceToAxis / (sourceToAxis - radius);
  const [low, high] = [Math.min(bottom, bottom * nearer), Math.max(top, top * nearer)];
  const wide = coneBeam({ views, turn: 2 * Math.PI, start: 0.1, detectors: columns, rows: 1, pitch: (2 * half) / columns, sourceToAxis, sourceToDetector: sourceToAxis });
  const size = views * rows * columns;
  const paths = substances.map(() => new Float32Array(size));
  const [aside, up] = [new Float32Array(size), new Float32Array(size)];
  for (let row = 0; row < rows; row++) {
    const height = low + ((row + 0.5) * (high - low)) / rows;
    const line = { ...wide, rowOffset: -height }; // one row, at this height
    for (let view = 0; view < views; view++) {
      const at = (view * rows + row) * columns;
      finish(object.pathsOf(line, view)).forEach((path, k) => paths[k].set(path, at));
      for (let column = 0; column < columns; column++) {
        aside[at + column] = (column - (columns - 1) / 2) * line.pitch;
        up[at + column] = height;
      }
    }
  }
  const sample = { count: size, paths, aside, up };
  kept.set(object, { sourceToAxis, sample });
  return sample;
}

const kept = new WeakMap<PlanObject, { readonly sourceToAxis: number; readonly sample: RaySample }>();
