import { BadInput } from '../files/bad-input.ts';
import { checkHeat, heatSteps, tubeHeat, type ExposurePlan, type HeatCurve, type TubeLimits } from './tube-heat.ts';

/**
 * The least rest between exposures, s, that keeps a tube at or below `fraction` of its limit to the end of the scan, and the heat that then
 * follows; 0 where none is needed. Rounded up to a tenth of a second, never down.
 * The peak falls with the rest, so the rest is found by halving.
 * fraction: of tube.limit that may be used, above 0, at most 1; half leaves room for what this model does not know.
 * Throws: BadInput, one sentence, where no rest can do it: the tube is too warm at the start, or one exposure alone goes beyond.
 *         RangeError as tubeHeat.   Source: tubeHeat.
 */
export function restNeeded(plan: Omit<ExposurePlan, 'rest'>, tube: TubeLimits, fraction = 0.5): HeatCurve & { readonly rest: number } {
  checkHeat({ ...plan, rest: 0 }, tube);
  if (!(fraction > 0 && fraction <= 1)) throw new RangeError(`The share of the limit that may be used is ${fraction} and should be above 0 and at most 1.`);
  const most = fraction * tube.limit;
  const { gain, kept } = heatSteps({ ...plan, rest: 0 }, tube.coolingTime);
  const { startHeat = 0, power, seconds, frames } = plan;
  const allowed = `${joules(most)}, ${percent(fraction)} of the tube's limit of ${joules(tube.limit)}`;
  if (startHeat > most) throw new BadInput(`The tube holds ${joules(startHeat)} before the first exposure, and ${allowed} are allowed: let it cool first, or allow more of the limit.`);
  const first = startHeat * kept + gain;
  if (first > most) {
    const longest = longestExposure(most, startHeat, power, tube.coolingTime);
    const cure = longest > 0 ? `expose for at most ${down(longest)} s at this power and add frames up instead, or use less current` : 'let it cool first';
    throw new BadInput(`No rest between exposures is enough: one exposure of ${short(seconds)} s at ${short(power)} W alone brings the tube to ${joules(first)}, and ${allowed} are allowed; ${cure}.`);
  }
  // After n exposures: start·k^n·c^(n−1) + gain·(1 + kc + … + (kc)^(n−1)), k kept over an exposure, c over a rest.
  const peak = (rest: number) => {
    const cooled = Math.exp(-rest / tube.coolingTime);
    let heat = first;
    let top = first;
    for (let n = 1; n < frames; n++) {
      const next = heat * cooled * kept + gain;
      if (next <= heat) break; // from here it only falls
      heat = next;
      top = next;
    }
    return top;
  };
  const rest = frames === 1 || peak(0) <= most ? 0 : Math.ceil(leastRest(peak, most, tube.coolingTime) * 10) / 10;
  return { ...tubeHeat({ ...plan, rest }, tube), rest };
}

/** By halving: always a rest that is long enough, within a thousandth of a second of the least. */
function leastRest(peak: (rest: number) => number, most: number, coolingTime: number): number {
  let [short, long] = [0, coolingTime];
  // A gain that only just fits wants the tube quite cold: 40 time constants leave nothing that a double can tell.
  while (peak(long) > most && long < 40 * coolingTime) long *= 2;
  while (long - short > 1e-3) {
    const middle = (short + long) / 2;
    if (peak(middle) > most) short = middle;
    else long = middle;
  }
  return long;
}

/** The exposure after which the tube, starting with this heat, stands at `most`, s. */
function longestExposure(most: number, start: number, power: number, coolingTime: number): number {
  const end = power * coolingTime;
  return coolingTime * Math.log((end - start) / (end - most));
}

const short = (value: number) => String(Number(value.toPrecision(3)));
const joules = (value: number) => `${short(value)} J`;
const percent = (share: number) => `${short(100 * share)} %`;
/** Three figures, rounded down. */
const down = (value: number) => {
  const unit = 10 ** (Math.floor(Math.log10(value)) - 2);
  return String(Number((Math.floor(value / unit) * unit).toPrecision(3)));
};
