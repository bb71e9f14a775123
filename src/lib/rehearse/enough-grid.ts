import type { Plan } from '../files/plan.ts';
import { largestMagnification } from '../geometry/largest-magnification.ts';
import { planBlur } from './plan-blur.ts';
import type { PlanObject } from './plan-object.ts';

/** What enoughFor tries, every one with every other. */
export interface EnoughGrid {
  readonly views: readonly number[];
  /** Of an exposure. */
  readonly seconds: readonly number[];
  readonly frames: readonly number[];
  readonly bins: readonly number[];
  readonly magnifications: readonly number[];
}

/**
 * A sensible grid for a plan: round numbers of views from 45 to 1,800, exposures from a twentieth of a second to a minute, up to 16 frames, binning up to 6, and ten
 * magnifications from 1.1 to the largest that shows the whole object, the plan's own and the sharpest among them.
 */
export function enoughGrid(plan: Plan, object: PlanObject): EnoughGrid {
  const { distances, camera, views } = plan;
  const most = largest(plan, object);
  const steps = Array.from({ length: 10 }, (_, k) => 1.1 * (most / 1.1) ** (k / 9));
  const own = distances.sourceToDetector / distances.sourceToAxis;
  const sharpest = own >= 1 ? planBlur(plan).budget.bestMagnification : Infinity;
  const magnifications = [...new Set([own, ...(sharpest <= most ? [sharpest] : []), ...(most > 1.1 ? steps : [])])].filter((value) => value >= 1);
  const round = [45, 50, 60, 72, 90, 100, 120, 160, 180, 200, 240, 300, 320, 360, 400, 480, 600, 720, 800, 900, 1000, 1200, 1440, 1600, 1800];
  return {
    views: [...new Set([views.count, ...round])].sort((a, b) => a - b),
    seconds: [...new Set([plan.exposure.seconds, 0.05, 0.1, 0.2, 0.5, 1, 2, 4, 8, 15, 30, 60])].sort((a, b) => a - b),
    frames: [1, 2, 4, 8, 16],
    bins: [1, 2, 3, 4, 5, 6].filter((bin) => bin <= camera.rows),
    magnifications: magnifications.sort((a, b) => a - b),
  };
}

function largest({ distances, camera }: Plan, { radius, bottom, top }: PlanObject): number {
  try {
    const height = camera.rows > 1 ? 2 * Math.max(top, -bottom) : 0;
    const detector = { width: (camera.columns - 1) * camera.pitch, height: (camera.rows - 1) * camera.pitch };
    // A hair less than the largest, so that rounding does not put it out of the picture again.
    return 0.9999 * largestMagnification({ radius: 1.05 * radius, height }, detector, distances.sourceToDetector).magnification;
  } catch (error) {
    if (error instanceof RangeError) return 1;
    throw error;
  }
}
