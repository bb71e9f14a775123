import { finish, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { planHeat } from '../files/plan-heat.ts';
import type { Plan, XrayPlan } from '../files/plan.ts';
import type { Filter } from '../filter/filter.ts';
import { fieldOfView } from '../geometry/field-of-view.ts';
import { attenuationOf } from '../phantom/attenuation-of.ts';
import { linearAttenuation, type Material } from '../physics/attenuation.ts';
import { microstepsInScan } from '../physics/stage.ts';
import { duration } from '../run-sheet/duration.ts';
import type { Volume } from '../types.ts';
import { short } from './derived.ts';
import { heatShare } from './derive-tube.ts';
import { planFacts } from './derive-plan.ts';
import { enoughGrid, type EnoughGrid } from './enough-grid.ts';
import { planBlur } from './plan-blur.ts';
import { planGeometry } from './plan-geometry.ts';
import { planLight, xrayLight } from './plan-light.ts';
import { planObject, type PlanObject } from './plan-object.ts';
import { middleVariance, type PlanSlice } from './plan-slice.ts';
import { sampleRays } from './sample-rays.ts';
import { sliceNoise } from './slice-noise.ts';

export interface EnoughWish {
  /** The smallest thing that is to be seen, mm: no wider may a thin wall be spread, and no further may views be apart at the rim. */
  readonly detail: number;
  /** What it differs by from what is around it, 1/mm, or what both are (air when left out), as the beam sees them behind the object. */
  readonly contrast: number | { readonly material: Material; readonly density?: number; readonly against?: Material };
  /** How many times the noise of a voxel that is to be. */
  readonly cnr: number;
}

export interface EnoughLimits {
  /** The longest that the scan may take, exposures and rests, s; two hours when left out. */
  readonly seconds?: number;
  /** What is tried; see enoughGrid for what is when left out. */
  readonly grid?: Partial<EnoughGrid>;
  /** The ramp when left out. */
  readonly filter?: Filter;
  readonly volume?: Volume;
}

/** What stands in the way. */
export type EnoughLimit = 'field' | 'blur' | 'views' | 'light' | 'heat' | 'time';

export type Enough =
  | {
      readonly enough: true;
      /** The plan with views, exposure and distance changed; the rest between exposures is the least that the tube needs. */
      readonly plan: Plan;
      readonly views: number;
      readonly seconds: number;
      readonly frames: number;
      readonly magnification: number;
      /** Camera pixels along an edge of a working cell. */
      readonly bin: number;
      /** From the first exposure to the last, s. */
      readonly time: number;
      readonly cnr: number;
      readonly resolution: number;
      readonly sentence: string;
    }
  | { readonly enough: false; readonly limit: EnoughLimit; readonly sentence: string };

/** As derivePlan has them good: a border beside the object, and the open beam at most this full. */
const border = 1.05, fullest = 0.9;

/**
 * What would be enough: of a grid of views, exposures, frames, binnings and magnifications the scan that reaches the wish in the least time, or which limit none gets round.
 * By derivePlan's formulas alone: resolution and arc at the rim at most the detail, contrast/sliceNoise at least the wish, the object within the field, the open beam at most 90 % full,
 * the tube at most at half of its limit. Source, filters, screen, camera and source to screen stay as they are. Of as long ones the one with fewer views.
 * With a lamp there is no heat, and a contrast is a number: the table of materials holds for X-rays.
 * Throws BadInput, one sentence, for a wish that cannot be, and as planObject.
 */
export function enoughFor(wish: EnoughWish, plan: Plan, limits: EnoughLimits = {}): Enough {
  return finish(enoughForSteps(wish, plan, limits));
}

/** The same as steps that can be followed and stopped. */
export function* enoughForSteps(wish: EnoughWish, plan: Plan, limits: EnoughLimits = {}): Steps<Enough> {
  checkWish(wish, plan);
  const { seconds: longest = 7200, filter = { window: 'ramp' }, volume } = limits;
  const object = planObject(plan, volume);
  const grid = { ...enoughGrid(plan, object), ...limits.grid };
  const { exposure: { rest: _, ...exposure } } = plan;
  const places = plan.stage ? microstepsInScan(plan.stage, ((plan.views.turn ?? 360) * Math.PI) / 180) : undefined;
  const counts = [...grid.views].sort((a, b) => a - b).filter((count) => !places || BigInt(count) * places.below <= places.above);
  const { sourceToDetector } = plan.distances;
  // How far the best got at each gate, for the sentence if none comes through.
  const got = { fits: false, sharpest: Infinity, sharp: false, fewest: Infinity, many: false, bestCnr: 0, clear: false, heat: '', cool: false, least: Infinity };
  let best: (Enough & { enough: true }) | undefined;

  for (const [k, magnification] of grid.magnifications.entries()) {
    yield k / grid.magnifications.length;
    const nearer: Plan = { ...plan, exposure, distances: { sourceToDetector, sourceToAxis: sourceToDetector / magnification } };
    if (!fits(nearer, object)) continue;
    got.fits = true;
    const facts = planFacts(nearer, { filter, ...(volume && { volume }) });
    const contrast = contrastOf(wish.contrast, object, facts.slice!, nearer);
    for (const bin of grid.bins) {
      if (plan.camera.columns / bin < 2 || plan.camera.rows / bin < 1) continue;
      const { resolution } = bin === 1 ? facts.slice! : planFacts(nearer, { bin, filter, ...(volume && { volume }) }).slice!;
      got.sharpest = Math.min(got.sharpest, resolution.width);
      if (resolution.width > wish.detail) continue;
      got.sharp = true;
      const { cell, screen } = planBlur(nearer, bin);
      const blur = screen / (2 * Math.sqrt(2 * Math.log(2))) / cell;
      const noiseWith = ({ seconds, frames }: { readonly seconds: number; readonly frames: number }) => {
        const light = planLight({ ...nearer, exposure: { ...exposure, seconds, frames } }, bin);
        return light.electrons > fullest * light.fullWell ? undefined : sliceNoise({ ...middleVariance(light, facts.slice!.middle.rays), views: 1, cell, blur, filter, oneRow: plan.camera.rows === 1 });
      };
      for (const [i, seconds] of grid.seconds.entries()) {
        yield (k + (grid.bins.indexOf(bin) + i / grid.seconds.length) / grid.bins.length) / grid.magnifications.length;
        for (const frames of grid.frames) {
          const noise = noiseWith({ seconds, frames });
          if (noise === undefined) continue;
          for (const count of counts) {
            const candidate: Plan = { ...nearer, exposure: { ...exposure, seconds, frames }, views: { ...plan.views, count } };
            const { arc } = planBlur(candidate, bin, { radius: object.radius }).budget;
            got.fewest = Math.min(got.fewest, arc);
            if (arc > wish.detail) continue;
            got.many = true;
            const cnr = (contrast * Math.sqrt(count)) / noise;
            got.bestCnr = Math.max(got.bestCnr, cnr);
            if (cnr < wish.cnr) continue;
            got.clear = true;
            const on = seconds * frames * count;
            if (best && on > best.time) break; // more views take longer still
            const time = timeOf(candidate);
            if (typeof time === 'string') {
              got.heat ||= time;
              break;
            }
            got.cool = true;
            got.least = Math.min(got.least, time);
            if (time <= longest && (!best || time < best.time || (time === best.time && count < best.views))) {
              best = {
                enough: true, plan: candidate, views: count, seconds, frames, magnification, bin, time, cnr, resolution: resolution.width,
                sentence: `${count} views of ${frames > 1 ? `${frames} frames of ` : ''}${short(seconds)} s, magnified ${short(magnification)} times${bin > 1 ? ` and binned by ${bin}` : ''}, are enough: a detail of ${short(wish.detail)} mm stands out by ${short(cnr)} times the noise, in ${duration(time)}${plan.tube && plan.tube.heatLimit === undefined ? ', if the tube can bear it, of whose limits the plan says nothing' : ''}.`,
              };
            }
            break; // more views take longer
          }
        }
      }
    }
  }
  return best ?? { enough: false, ...reasonOf(got, wish, longest, counts, plan) };
}

function reasonOf(got: { readonly fits: boolean; readonly sharpest: number; readonly sharp: boolean; readonly fewest: number; readonly many: boolean; readonly bestCnr: number; readonly clear: boolean; readonly heat: string; readonly cool: boolean; readonly least: number }, { detail, cnr }: EnoughWish, longest: number, counts: readonly number[], { lamp }: Plan): { limit: EnoughLimit; sentence: string } {
  if (!got.fits) return { limit: 'field', sentence: lamp ? 'None is enough: at no magnification that was tried does the camera see the whole object with a border; take a shorter lens, or stand farther away.' : 'None is enough: at no magnification that was tried does the screen see the whole object with a border; take a larger part of the screen into the picture.' };
  if (!got.sharp) return { limit: 'blur', sentence: `None is enough: the sharpest slice spreads a thin wall to ${short(got.sharpest)} mm, and ${short(detail)} mm are asked for; ${lamp ? 'a smaller opening of the lens or finer pixels' : 'a smaller focal spot, a finer screen or finer pixels'} are needed.` };
  if (!Number.isFinite(got.fewest)) return { limit: 'light', sentence: counts.length === 0 ? 'None is enough: the stage has fewer places than any number of views that was tried.' : `None is enough: every exposure that was tried fills the camera’s pixels; shorter ones, less ${lamp ? 'light' : 'current'} or a smaller aperture are needed.` };
  if (!got.many) return { limit: 'views', sentence: `None is enough: with ${counts.at(-1)} views, the most that were tried and that the stage can make, the views are ${short(got.fewest)} mm apart at the rim of the object, and ${short(detail)} mm are asked for.` };
  if (!got.clear) return { limit: 'light', sentence: `None is enough: the longest exposures that do not fill the camera show the contrast at ${short(got.bestCnr)} times the noise, and ${short(cnr)} times are asked for; more frames${lamp ? ' or pixels that hold more electrons' : ', a wider aperture or a faster screen'} are needed.` };
  if (!got.cool) return { limit: 'heat', sentence: `None is enough: the tube's heat allows no exposure that would do. ${got.heat}` };
  return { limit: 'time', sentence: `None is enough: the shortest scan that would do takes ${duration(got.least)}, rests among them, and ${duration(longest)} are allowed.` };
}

function fits(plan: Plan, { radius, bottom, top }: PlanObject): boolean {
  const { sourceToAxis, sourceToDetector } = plan.distances;
  if (radius >= sourceToAxis || (!plan.lamp && sourceToAxis + radius > sourceToDetector)) return false;
  const field = fieldOfView(planGeometry(plan));
  if (field.radius < border * radius) return false;
  return plan.camera.rows === 1 || (((plan.camera.rows - 1) / 2) * plan.camera.pitch * (sourceToAxis - radius)) / sourceToDetector >= Math.max(top, -bottom);
}

/** From the first exposure to the last, s, with the least rest that the tube needs, or the sentence that says why none is enough. */
function timeOf(plan: Plan): number | string {
  try {
    const heat = plan.lamp ? undefined : planHeat(plan, heatShare);
    return heat ? heat.total : plan.views.count * (plan.exposure.frames ?? 1) * plan.exposure.seconds;
  } catch (error) {
    if (error instanceof BadInput || error instanceof RangeError) return error.message;
    throw error;
  }
}

/** 1/mm. Of a pair of materials: what a thin layer of the one in place of the other would add, by the light that is left behind the middle of the object. */
function contrastOf(contrast: EnoughWish['contrast'], object: PlanObject, slice: PlanSlice, plan: Plan): number {
  if (typeof contrast === 'number') return Math.abs(contrast);
  if (plan.lamp) throw new BadInput(byNumber); // as checkWish has said
  return contrastOfMaterials(contrast, object, slice, plan);
}

function contrastOfMaterials({ material, density, against }: Exclude<EnoughWish['contrast'], number>, object: PlanObject, slice: PlanSlice, plan: XrayPlan): number {
  const light = xrayLight(plan);
  const sample = sampleRays(object, plan.distances);
  const adds = light.energies.map(({ keV }) => linearAttenuation(material, keV, density) - (against ? linearAttenuation(against, keV) : 0));
  const own = light.energies.map(({ keV }) => object.substances.map((substance) => attenuationOf(substance, keV)));
  const rays = slice.middle.rays;
  let sum = 0;
  for (const { ray } of rays) {
    let [left, lost] = [0, 0];
    light.energies.forEach((energy, e) => {
      const share = energy.light * Math.exp(-own[e].reduce((total, mu, k) => total + mu * sample.paths[k][ray], 0));
      left += share;
      lost += share * adds[e];
    });
    sum += lost / left / rays.length;
  }
  return Math.abs(sum);
}

const byNumber = 'The contrast is between materials, whose table holds for X-rays: in a plan with a lamp it should be a number of 1/mm.';

function checkWish({ detail, contrast, cnr }: EnoughWish, { lamp }: Plan): void {
  const above = (value: number, what: string, unit: string) => {
    if (!(value > 0 && value < Infinity)) throw new BadInput(`${what} is ${value} and should be a number${unit} above 0.`);
  };
  above(detail, 'The detail', ' of mm');
  above(cnr, 'The contrast to noise that is asked for', '');
  if (typeof contrast === 'number') above(Math.abs(contrast), 'The contrast', ' of 1/mm');
  else if (lamp) throw new BadInput(byNumber);
  else if (contrast.against === contrast.material && contrast.density === undefined) throw new BadInput(`The contrast is between ${contrast.material} and ${contrast.material}: name two materials, or one against air.`);
}
