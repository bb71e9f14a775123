import type { Plan } from '../files/plan.ts';
import { blurBudget, type BlurBudget } from '../geometry/blur-budget.ts';
import { unsharpness } from '../geometry/unsharpness.ts';
import { screenBlur } from '../physics/screen.ts';

export interface PlanBlur {
  readonly magnification: number;
  /** Widths at the axis, mm: a working cell, and spot and screen as full widths at half maximum. */
  readonly cell: number;
  readonly spot: number;
  readonly screen: number;
  readonly budget: BlurBudget;
}

/**
 * The budget of blur of a plan whose photographs are binned by `bin` (1 when left out), mm at the axis. A screen's blur that the plan leaves out is estimated (screenBlur).
 * With a lamp the opening of its lens counts as the spot (what lies before or behind the plane in focus is blurred by it; its disc taken as a bell: common practice, no source),
 * and there is no screen.
 * radius: of the object, for the arc from view to view; 0 when left out.   turning: radians in an exposure; 0 when left out.
 */
export function planBlur(plan: Plan, bin = 1, { radius = 0, turning = 0 }: { readonly radius?: number; readonly turning?: number } = {}): PlanBlur {
  const { distances, camera, views } = plan;
  const [spot, width] = plan.lamp ? [plan.lamp.opening, 0] : [plan.tube.focalSpot, plan.screen.blur ?? screenBlur(plan.screen)];
  const magnification = distances.sourceToDetector / distances.sourceToAxis;
  const step = ((views.turn ?? 360) * Math.PI) / 180 / views.count;
  const budget = blurBudget({ magnification, pitch: bin * camera.pitch, spot, screen: width, radius, turning, step });
  return { magnification, cell: (bin * camera.pitch) / magnification, spot: unsharpness(spot, magnification) / magnification, screen: width / magnification, budget };
}
