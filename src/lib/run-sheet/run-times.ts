import { BadInput } from '../files/bad-input.ts';
import type { Plan } from '../files/plan.ts';
import { restNeeded } from '../physics/rest-needed.ts';
import { tubeHeat } from '../physics/tube-heat.ts';

/** What a run needs beside its plan, s; each has a value when left out, the second one for a plan with a lamp. */
export interface SheetOptions {
  /** From the last step until the object stands still; 1, or 5 for a liquid to come to rest. */
  readonly settle?: number;
  /** From one microstep to the next; as long as makes 50 full steps in a second, which a motor follows from standing still (common practice, no source). */
  readonly stepTime?: number;
  /** For which the shutter is open before the exposure, and again after it, for the glow to fade; 0.2, or 0, for a lit sheet glows all the time. */
  readonly lead?: number;
  /** For which the camera is busy with a photograph; 1. */
  readonly saving?: number;
  /** For which the lamp warns before the first exposure, whenever a person has started or resumed; 10, or 0. */
  readonly warning?: number;
  /** For which the beam is off while somebody puts the object on or takes it away; 300, or 120. */
  readonly handling?: number;
  /** For turning the object by hand, where the plan has no stage: everything off, in, turn, out; 120, or 10. */
  readonly byHand?: number;
  /** Dark frames before the views, and as many after them; 5. */
  readonly dark?: number;
  /** Flat frames before the views, and as many after them; 5. */
  readonly flat?: number;
  /** Share of the tube's limit that may be used, above 0, at most 1; half. */
  readonly fraction?: number;
}

/** The times of a run, s, all of them whole ms, and what they rest on. */
export interface RunTimes extends Required<SheetOptions> {
  /** Whether it is a run with a lamp, that heats no tube. */
  readonly inLight: boolean;
  readonly seconds: number;
  /** Rest after every exposure before the table moves on: for the tube and for the camera. */
  readonly rest: number;
  /** Exposures of all views, and of views and flats together: all that heat the tube. */
  readonly exposures: number;
  readonly heating: number;
  /** The tube's limits, where the plan has them, and the power of an exposure, W; 0 with a lamp. */
  readonly tube?: { readonly limit: number; readonly coolingTime: number };
  readonly power: number;
}

/** The times that differ where a lamp shines all the while. */
const withLamp = { settle: 5, lead: 0, warning: 0, handling: 120, byHand: 10 };

/** Longest sheet, rows: 100 pages and more. */
const mostExposures = 20_000;

/**
 * The times of a planned run: its own rest, or the least that keeps the tube at `fraction` of its limit through views and flats, and never less than
 * the camera needs. Rest, turning, settling and the shutter's lead follow one another; none is counted into another, so a tube rests for longer than it must.
 * Throws BadInput, one sentence: an exposure that whole ms cannot give within 5 %, more than 20,000 exposures, a rest of the plan's own that takes the
 * tube beyond its limit, no rest that is enough. RangeError, one sentence, for an option that cannot be.
 */
export function runTimes({ tube, lamp, exposure, views, stage }: Pick<Plan, 'tube' | 'lamp' | 'exposure' | 'views' | 'stage'>, options: SheetOptions = {}): RunTimes {
  const given = { settle: 1, stepTime: Math.max(1, Math.ceil(20 / (stage?.microsteps ?? 1))) / 1000, lead: 0.2, saving: 1, warning: 10, handling: 300, byHand: 120, dark: 5, flat: 5, fraction: 0.5, ...(lamp && withLamp), ...options };
  for (const [name, value] of Object.entries(given)) {
    const count = name === 'dark' || name === 'flat';
    if (!(value >= 0 && value <= (count ? 1000 : 86_400)) || (count && !Number.isInteger(value))) throw new RangeError(`The ${name} of a run is ${value} and should be ${count ? 'a whole number from 0 to 1000' : 'a number of seconds from 0 to 86,400'}.`);
  }
  if (!(given.fraction > 0 && given.fraction <= 1)) throw new RangeError(`The share of the limit that may be used is ${given.fraction} and should be above 0 and at most 1.`);
  const seconds = Math.round(exposure.seconds * 1000) / 1000;
  if (Math.abs(seconds / exposure.seconds - 1) > 0.05) throw new BadInput(`exposure.seconds is ${exposure.seconds}: a run counts in whole ms, and the nearest, ${seconds} s, is more than 5 % off.`);
  const exposures = views.count * (exposure.frames ?? 1);
  if (exposures > mostExposures) throw new BadInput(`This plan has ${exposures} exposures, and a run sheet has at most ${mostExposures}: take fewer views or fewer exposures a view.`);
  const heating = exposures + 2 * given.flat;
  const power = tube ? tube.kVp * tube.mA : 0;
  const limits = tube?.heatLimit !== undefined && tube.coolingTime !== undefined ? { limit: tube.heatLimit, coolingTime: tube.coolingTime } : undefined;
  const least = () => restNeeded({ power, seconds, frames: heating }, limits!, given.fraction).rest;
  const rest = Math.max(exposure.rest ?? (limits ? least() : 0), given.saving);
  if (limits) {
    const { share } = tubeHeat({ power, seconds, frames: heating, rest }, limits);
    if (share > 1) throw new BadInput(`exposure.rest is ${exposure.rest} s, and views and flats would take the tube to ${Math.ceil(100 * share)} % of its limit: leave at least ${least()} s, or leave exposure.rest out.`);
  }
  const inMs = (time: number) => Math.ceil(Number((time * 1000).toFixed(6))) / 1000;
  return {
    ...given, inLight: lamp !== undefined, seconds, rest: inMs(rest), exposures, heating, power, ...(limits && { tube: limits }),
    settle: inMs(given.settle), stepTime: Math.max(0.001, inMs(given.stepTime)), lead: inMs(given.lead), warning: inMs(given.warning),
  };
}
