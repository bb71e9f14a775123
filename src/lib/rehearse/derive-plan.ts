import { BadInput } from '../files/bad-input.ts';
import type { Plan } from '../files/plan.ts';
import type { Filter } from '../filter/filter.ts';
import type { Volume } from '../types.ts';
import { deriveGeometry } from './derive-geometry.ts';
import { deriveLamp } from './derive-lamp.ts';
import { deriveLight } from './derive-light.ts';
import { deriveRoom } from './derive-room.ts';
import { deriveSlice } from './derive-slice.ts';
import { deriveStage } from './derive-stage.ts';
import { deriveTube } from './derive-tube.ts';
import type { Derived, DerivedFigure } from './derived.ts';
import { planLight, type PlanLight } from './plan-light.ts';
import { planObject, type PlanObject } from './plan-object.ts';
import { planSlice, type PlanSlice } from './plan-slice.ts';
import { sampleRays } from './sample-rays.ts';

export interface DeriveOptions {
  /** Camera pixels along an edge of a working cell; 1, no binning, when left out. */
  readonly bin?: number;
  /** The ramp when left out. */
  readonly filter?: Filter;
  /** The object's values, where it is a volume in a file of its own; what depends on the object is left out without them. */
  readonly volume?: Volume;
}

/** What the groups of figures are made from. */
export interface PlanFacts {
  readonly plan: Plan;
  readonly bin: number;
  readonly filter: Filter;
  readonly object?: PlanObject;
  readonly light: PlanLight;
  readonly slice?: PlanSlice;
}

/**
 * Every figure that follows from a plan, in the order in which a scan is thought through: geometry, sharpness, views, light, slice, tube, stage, room; with a lamp,
 * the time and what to take care of in the place of tube and room. Nothing is simulated.
 * What cannot be is a figure without a value, marked bad, whose sentence says why; none is a verdict that anything is safe.
 * bin: figures of light, noise and resolution are those of cells of bin × bin camera pixels.
 * Throws RangeError for figures that no plan that readPlan has read holds.
 */
export function derivePlan(plan: Plan, options: DeriveOptions = {}): Derived {
  const facts = planFacts(plan, options);
  const without = facts.object ? [] : [objectMissing(plan, options)];
  return [...without, ...deriveGeometry(facts), ...deriveLight(facts), ...deriveSlice(facts), ...(plan.lamp ? deriveLamp(plan) : deriveTube(plan)), ...deriveStage(facts), ...(plan.lamp ? [] : deriveRoom(plan))];
}

/** The same, before it is put into words. */
export function planFacts(plan: Plan, { bin = 1, filter = { window: 'ramp' }, volume }: DeriveOptions = {}): PlanFacts {
  const light = planLight(plan, bin);
  const object = objectOf(plan, volume);
  if (typeof object === 'string') return { plan, bin, filter, light };
  const { sourceToAxis, sourceToDetector } = plan.distances;
  const reaches = object.radius >= sourceToAxis || sourceToDetector < sourceToAxis; // no ray could be followed
  return { plan, bin, filter, light, object, ...(!reaches && { slice: planSlice(plan, object, light, sampleRays(object, plan.distances), bin, filter) }) };
}

function objectOf(plan: Plan, volume: Volume | undefined): PlanObject | string {
  try {
    return planObject(plan, volume);
  } catch (error) {
    if (error instanceof BadInput) return error.message;
    throw error;
  }
}

function objectMissing(plan: Plan, { volume }: DeriveOptions): DerivedFigure {
  const says = objectOf(plan, volume);
  return { key: 'object', group: 'geometry', label: 'Object', unit: '', rule: 'the size of the object and what it is made of', mark: 'bad', sentence: `${says as string} Size, light behind the object, noise and contrast are left out.` };
}
