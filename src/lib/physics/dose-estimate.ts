import { barrierRange, type Barrier } from './barrier-range.ts';
import { sharesOfLimits, type LimitShare, type Range } from './dose-limits.ts';
import { inverseSquare } from './inverse-square.ts';
import { tubeOutput } from './tube-output.ts';

export interface DoseQuestion {
  readonly kVp: number;
  /** Charge of one whole scan: mA · seconds · exposures. */
  readonly mAs: number;
  /** From the source to the object, mm. */
  readonly sourceToObject: number;
  /** From the person to the nearer of tube and object, mm. */
  readonly distance: number;
  readonly barrier?: Barrier;
  /** Air kerma in the open beam, µGy for each mAs at 1 m, and where it comes from; a customary range when left out. Of a calculated one the range reaches up to the customary one's top at least. */
  readonly output?: { readonly value: number; readonly basis: 'measured' | 'calculated' };
  /**
   * 'rated': a housing that is sold and tested to let through 1 mGy in an hour at 1 m at most. 'bare' (when left out): a tube that shines to all sides.
   */
  readonly housing?: 'bare' | 'rated';
  /** Whether the person may stand in the open beam itself; nobody should. */
  readonly inBeam?: boolean;
  /** Time that the tube is on in a scan, s, for the leakage of a rated housing. */
  readonly seconds: number;
  /** Scans in a year; 1 when left out. */
  readonly scansPerYear?: number;
  /** Charge of everything besides the scans in a year, mAs: flats, trials, focusing; 0 when left out. */
  readonly otherMAs?: number;
  /** Time that the tube is on for it, s. */
  readonly otherSeconds?: number;
  /** Share of the time with the beam on that the person is there, 0 to 1; 1 when left out. */
  readonly occupancy?: number;
}

export interface DoseEstimate {
  /** µSv in one scan, all routes together. */
  readonly perScan: Range;
  /** µSv in a year. */
  readonly perYear: Range;
  /** µSv in one scan by each route; `beam` is 0 for somebody who is never in it. */
  readonly routes: { readonly scatter: Range; readonly leakage: Range; readonly beam: Range };
  /** What one scan would give to somebody in the open beam at this distance with nothing between, µSv: what a tube that points the wrong way does. */
  readonly inOpenBeam: Range;
  readonly limits: readonly LimitShare[];
  /** Every assumption, a sentence each. */
  readonly assumptions: readonly string[];
  /** What always goes with the figures. */
  readonly caution: string;
}

/** Sv for each Gy of air kerma. The high one is the greatest ambient dose equivalent per air kerma, near 60 keV: ICRP 74 (from memory). */
const sievertPerGray: Range = { low: 0.5, likely: 1, high: 1.74 };
/** Of the air kerma at the object, at 1 m from it. 0.1 % is the rule of NCRP 49 for a large field at 90° (from memory); five times as much at the high end is common practice, no source. */
const scatterAtMetre: Range = { low: 0.0005, likely: 0.001, high: 0.005 };
/** Of the open beam, what leaves a bare tube to other sides: common practice, no source; the high one is the beam itself. */
const bareShare: Range = { low: 0.1, likely: 0.5, high: 1 };
/** µGy an hour at 1 m from a rated housing. The high one is the usual limit at the highest setting, IEC 60601-1-3 (from memory). */
const ratedLeakage: Range = { low: 10, likely: 100, high: 1000 };

const names = ['low', 'likely', 'high'] as const;
const combined = (combine: (name: (typeof names)[number]) => number): Range => ({ low: combine('low'), likely: combine('likely'), high: combine('high') });

/**
 * What a scan may give to somebody in the room, as a range in µSv, with what each figure rests on. It is an estimate for planning where to stand,
 * errs on the high side where it must guess, and is never a verdict: measure it.
 *   beam at d:  output · mAs · (1 m/d)²      scatter: beam at the object · scatter share · (1 m/distance)²      leakage: as the housing
 * Each is multiplied by what the barrier lets through and by Sv/Gy. `high` multiplies all high figures, so it is far from likely.
 * Throws RangeError, one sentence, for a number that cannot be, beyond 150 kVp too.
 * Source: inverse square; barrierRange; tubeOutput; the constants above name theirs.
 */
export function doseEstimate(question: DoseQuestion): DoseEstimate {
  const { kVp, mAs, sourceToObject, distance, barrier, output, housing = 'bare', inBeam = false, seconds, scansPerYear = 1, otherMAs = 0, otherSeconds = 0, occupancy = 1 } = question;
  check({ mAs, seconds, scansPerYear, otherMAs, otherSeconds }, 0, Infinity);
  check({ occupancy }, 0, 1);
  const perMAs = outputRange(kVp, output);
  const through = barrierRange(barrier, kVp);
  // What has come through a housing is hard already: it is taken to lose no more than deep in a barrier.
  const hardened: Range = { low: through.likely, likely: through.high, high: through.high };
  const behind = (at: Range, share: Range = through) => combined((name) => at[name] * sievertPerGray[name] * share[name] * occupancy);
  const open = (charge: number) => combined((name) => inverseSquare(perMAs[name] * charge, 1000, distance));
  const scattered = (charge: number) => combined((name) => inverseSquare(scatterAtMetre[name] * inverseSquare(perMAs[name] * charge, 1000, sourceToObject), 1000, distance));
  const leaked = (charge: number, time: number) =>
    housing === 'bare' ? combined((name) => bareShare[name] * open(charge)[name]) : combined((name) => inverseSquare((ratedLeakage[name] * time) / 3600, 1000, distance));
  const routesOf = (charge: number, time: number) => ({
    scatter: behind(scattered(charge)), leakage: behind(leaked(charge, time), housing === 'bare' ? through : hardened), beam: inBeam ? behind(open(charge)) : { low: 0, likely: 0, high: 0 },
  });
  const total = ({ scatter, leakage, beam }: ReturnType<typeof routesOf>) => combined((name) => scatter[name] + leakage[name] + beam[name]);
  const routes = routesOf(mAs, seconds);
  const [perScan, other] = [total(routes), total(routesOf(otherMAs, otherSeconds))];
  const perYear = combined((name) => perScan[name] * scansPerYear + other[name]);
  return {
    perScan, perYear, routes,
    inOpenBeam: combined((name) => open(mAs)[name] * sievertPerGray[name]),
    limits: sharesOfLimits(perYear),
    assumptions: [outputSays(kVp, perMAs, output), ...through.assumptions, ...says(question)],
    caution: 'This is an estimate from assumptions, and none of its figures says that anything is safe: measure it, with a calibrated instrument made for these energies, and have somebody licensed to do so answer for the set-up.',
  };
}

function outputRange(kVp: number, output: DoseQuestion['output']): Range {
  const usual = tubeOutput(kVp);
  if (!output) return usual;
  check({ output: output.value }, 0, Infinity);
  const { value, basis } = output;
  return basis === 'measured' ? { low: 0.8 * value, likely: value, high: 1.25 * value } : { low: Math.min(value / 2, usual.low), likely: value, high: Math.max(2 * value, usual.high) };
}

function outputSays(kVp: number, { low, likely, high }: Range, output: DoseQuestion['output']): string {
  const figures = `${short(low)} to ${short(high)} µGy/mAs at 1 m, likely ${short(likely)}`;
  if (!output) return `The tube gives ${figures} at ${kVp} kVp (common practice, no source; for 1 mm of aluminium or more, an unfiltered beam can give ten times as much).`;
  return `The tube gives ${figures}: ${output.basis}, ${output.basis === 'measured' ? 'taken to be right within a quarter' : 'taken to be right within a factor of two, and the range widened to the customary one (common practice, no source)'}.`;
}

function says({ distance, sourceToObject, housing = 'bare', inBeam = false, scansPerYear = 1, otherMAs = 0, occupancy = 1 }: DoseQuestion): string[] {
  return [
    `The object, ${short(sourceToObject)} mm from the source, scatters 0.05 to 0.5 % of the air kerma that falls on it, likely 0.1 % (rule of NCRP 49, from memory), measured 1 m away; walls and ceiling scatter more and are not counted.`,
    housing === 'bare'
      ? 'The tube is bare and shines to all sides: a tenth to all of its beam reaches the person past every collimator, likely half (common practice, no source).'
      : 'The housing lets through 0.01 to 1 mGy in an hour at 1 m, likely 0.1 (limit of IEC 60601-1-3, from memory), and is whole; what comes through it is hard, and the barrier takes less of it.',
    `The person stands ${short(distance)} mm from the nearer of tube and object, for ${short(100 * occupancy)} % of the time that the beam is on.`,
    inBeam ? 'The person may be in the open beam. Nobody should be: change this first.' : 'Nobody is ever in the open beam, nor behind the screen in line with it.',
    `A year has ${short(scansPerYear)} scan${scansPerYear === 1 ? '' : 's'} and ${short(otherMAs)} mAs besides (flats, trials, focusing).`,
    'Air kerma counts as 0.5 to 1.74 Sv for each Gy, likely 1 (ICRP 74, from memory); skin and eyes are taken to receive as much as the whole body.',
  ];
}

function check(values: Readonly<Record<string, number>>, least: number, most: number): void {
  for (const [name, value] of Object.entries(values)) {
    if (!(value >= least && value <= most) || !Number.isFinite(value)) throw new RangeError(`The ${name} of a dose estimate is ${value} and should be a number from ${least}${most === Infinity ? '' : ` to ${most}`}.`);
  }
}

const short = (value: number) => String(Number(value.toPrecision(3)));
