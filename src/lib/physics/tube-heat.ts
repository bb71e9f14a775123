export interface TubeLimits {
  /** Heat that the anode (or the whole tube) may hold, J, from its data sheet. */
  readonly limit: number;
  /** Time in which it loses all but 1/e (37 %) of its heat, s. */
  readonly coolingTime: number;
}

export interface ExposurePlan {
  /** Power of the tube while it is on, W: kV · mA. */
  readonly power: number;
  /** Length of an exposure, s. */
  readonly seconds: number;
  /** Number of exposures: views times frames a view. */
  readonly frames: number;
  /** From the end of one exposure to the start of the next, s. */
  readonly rest: number;
  /** Heat that is in the tube already, J; 0 when left out. */
  readonly startHeat?: number;
}

export interface HeatCurve {
  /** The start, then the end of each exposure and of each rest between two: 2 · frames moments, s. */
  readonly times: Float64Array;
  /** Heat in the tube at each of them, J. Between two moments it follows the exponential, so these hold the peaks. */
  readonly heat: Float64Array;
  readonly peak: number;
  /** The peak as a share of the limit; above 1 the tube is over its limit. */
  readonly share: number;
  /** From the start of the first exposure to the end of the last, s. */
  readonly total: number;
  /** Time that the tube is on, s, and its share of the total. */
  readonly on: number;
  readonly duty: number;
  /** Energy that goes in, J. */
  readonly energy: number;
}

/**
 * Heat in a tube through a whole scan, by one time constant: dQ/dt = power − Q/τ, so in t seconds
 *   Q → Q·e^(−t/τ) + power·τ·(1 − e^(−t/τ))   while it is on, and Q → Q·e^(−t/τ) while it rests.
 * A real anode cools faster the hotter it is, its glass and its oil far more slowly, and a focal spot can melt in a single exposure that this
 * sum finds harmless: the maker's own charts come first, and this is an estimate.
 * Throws RangeError, one sentence, for a number that cannot be.   Source: Newton's law of cooling; common practice for a first estimate, no source.
 */
export function tubeHeat(plan: ExposurePlan, tube: TubeLimits): HeatCurve {
  checkHeat(plan, tube);
  const { power, seconds, frames, rest, startHeat = 0 } = plan;
  const { gain, kept, cooled } = heatSteps({ power, seconds, rest }, tube.coolingTime);
  const times = new Float64Array(2 * frames);
  const heat = new Float64Array(2 * frames);
  heat[0] = startHeat;
  for (let i = 1; i < times.length; i++) {
    const exposing = i % 2 === 1;
    times[i] = ((i + 1) >> 1) * seconds + (i >> 1) * rest;
    heat[i] = exposing ? heat[i - 1] * kept + gain : heat[i - 1] * cooled;
  }
  const peak = heat.reduce((most, value) => Math.max(most, value), 0);
  const [total, on] = [times[times.length - 1], frames * seconds];
  return { times, heat, peak, share: peak / tube.limit, total, on, duty: on / total, energy: power * on };
}

/** What an exposure adds, and what share of the heat it and a rest leave; expm1 keeps its digits where a time is far below τ. */
export function heatSteps({ power, seconds, rest }: { readonly power: number; readonly seconds: number; readonly rest: number }, coolingTime: number): { gain: number; kept: number; cooled: number } {
  return { gain: -power * coolingTime * Math.expm1(-seconds / coolingTime), kept: Math.exp(-seconds / coolingTime), cooled: Math.exp(-rest / coolingTime) };
}

/** Refuses what no exposure and no tube can be, in a sentence. */
export function checkHeat(plan: ExposurePlan, tube: TubeLimits): void {
  const size = (value: number, what: string, unit: string, fromZero: boolean) => {
    if (!(fromZero ? value >= 0 : value > 0) || !Number.isFinite(value)) throw new RangeError(`${what} is ${value} and should be a number of ${unit}${fromZero ? ', 0 or more' : ' above 0'}.`);
  };
  size(plan.power, 'The power of the tube', 'W', true);
  size(plan.seconds, 'The length of an exposure', 'seconds', false);
  size(plan.rest, 'The rest between exposures', 'seconds', true);
  size(plan.startHeat ?? 0, 'The heat in the tube at the start', 'J', true);
  size(tube.limit, 'The heat that the tube may hold', 'J', false);
  size(tube.coolingTime, 'The cooling time of the tube', 'seconds', false);
  if (!Number.isInteger(plan.frames) || plan.frames < 1 || plan.frames > 1e6) throw new RangeError(`The number of exposures is ${plan.frames} and should be a whole number from 1 to 1,000,000.`);
}
