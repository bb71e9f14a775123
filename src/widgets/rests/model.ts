import { BadInput, restNeeded, tubeHeat } from '../../lib/index.ts';
import type { HeatCurve } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';

/** kV, mA, s, number, kJ, s, % of the limit, s. */
export type RestsState = {
  readonly kV: number; readonly mA: number; readonly seconds: number; readonly frames: number; readonly limit: number; readonly cooling: number; readonly share: number; readonly by: 'least' | 'own'; readonly rest: number;
};

export interface RestsResult {
  /** The rest in force, s. */
  readonly rest: number;
  readonly heat: HeatCurve;
  /** The same with points between, for drawing: minutes, kJ. */
  readonly curve: { readonly minutes: Float64Array; readonly kJ: Float64Array };
  /** Why no rest is enough, in a sentence. */
  readonly refused?: string;
  /** The peak as a share of the tube's limit: rest across, length of an exposure up. */
  readonly map: { readonly width: number; readonly height: number; readonly data: Float32Array };
  /** The least rest for each length of exposure; where there is none, NaN. s. */
  readonly edge: { readonly seconds: Float64Array; readonly rest: Float64Array };
}

/** The map, s. */
export const longestRest = 120;
export const longestExposure = 20;
const [across, up] = [48, 36];
/** Most points of a curve. */
const fine = 1200;

export const rests = definePlate<RestsState, RestsResult>({
  id: 'rests',
  title: 'A tube’s heat, exposure after exposure',
  initial: { kV: 80, mA: 2, seconds: 4, frames: 120, limit: 20, cooling: 400, share: 50, by: 'least', rest: 10 },
  controls: {
    kV: { kind: 'range', label: 'Voltage of the tube', min: 20, max: 120, step: 1, unit: 'kV' },
    mA: { kind: 'range', label: 'Current of the tube', min: 0.1, max: 10, step: 0.1, unit: 'mA' },
    seconds: { kind: 'range', label: 'Length of an exposure', min: 0.1, max: longestExposure, step: 0.1, unit: 's' },
    frames: { kind: 'range', label: 'Exposures', min: 1, max: 720, step: 1 },
    limit: { kind: 'range', label: 'Heat that the tube may hold, by its data sheet', min: 1, max: 300, step: 0.5, unit: 'kJ' },
    cooling: { kind: 'range', label: 'Time in which it cools to 37 %', min: 20, max: 2000, step: 10, unit: 's' },
    share: { kind: 'range', label: 'Of that limit, to be used at most', min: 10, max: 100, step: 1, unit: '%' },
    by: { kind: 'choice', label: 'Rest between exposures', options: [{ value: 'least', label: 'the least that does it' }, { value: 'own', label: 'as set' }] },
    rest: { kind: 'range', label: 'Rest', min: 0, max: longestRest, step: 0.5, unit: 's', visible: ({ by }) => by === 'own' },
  },

  compute(state) {
    const { kV, mA, seconds, frames, limit, cooling, share, by } = state;
    const tube = { limit: 1000 * limit, coolingTime: cooling };
    const power = kV * mA;
    const least = leastRest({ power, seconds, frames }, tube, share / 100);
    const rest = by === 'least' ? least.rest ?? state.rest : state.rest;
    const heat = tubeHeat({ power, seconds, frames, rest }, tube);
    const data = new Float32Array(across * up);
    const [lengths, pauses] = [ends(longestExposure, up), ends(longestRest, across)];
    lengths.forEach((length, row) => pauses.forEach((pause, column) => {
      data[(up - 1 - row) * across + column] = peakOf(power, length, frames, pause, cooling) / tube.limit;
    }));
    const edgeAt = Float64Array.from({ length: 41 }, (_, k) => Math.max(0.1, (longestExposure * k) / 40));
    return {
      rest, heat, curve: drawn(heat, power, cooling, frames, seconds, rest),
      ...(by === 'least' && least.refused !== undefined ? { refused: least.refused } : {}),
      map: { width: across, height: up, data },
      edge: { seconds: edgeAt, rest: edgeAt.map((length) => restFor(power, length, frames, cooling, (share / 100) * tube.limit)) },
    };
  },

  describe({ kV, mA, seconds, frames, limit, share, by }, { rest, heat, refused }) {
    const exposures = `${frames} exposure${frames === 1 ? '' : 's'} of ${short(seconds)} s at ${short(kV * mA)} W`;
    const over = heat.share > 1 ? ' That is over its limit.' : heat.share > share / 100 ? ` That is more than the ${short(share)} % that were to be used.` : '';
    const pauses = refused !== undefined ? `${refused} Shown is a rest of ${short(rest)} s.` : frames === 1 ? 'A single exposure needs no rest after it.' : rest === 0 ? `No rest is ${by === 'least' ? 'needed' : 'taken'} between them.` : by === 'least' ? `The least rest between them is ${short(rest)} s.` : `The rest between them is ${short(rest)} s.`;
    return `${exposures}: ${short(heat.energy / 1000)} kJ in all. ${pauses} The tube comes to ${short(heat.peak / 1000)} kJ, ${short(100 * heat.share)} % of its ${short(limit)} kJ.${over} The scan takes ${time(heat.total)}, with the beam on for ${time(heat.on)} of it. An estimate: the maker’s own charts come first.`;
  },

  listings: [
    { file: 'physics/tube-heat.ts', function: 'tubeHeat', title: 'The heat of a scan' },
    { file: 'physics/rest-needed.ts', function: 'restNeeded', title: 'The least rest' },
  ],
  exports(_, { curve, heat, map }) {
    const numbers: Numbers[] = [
      { name: 'heat', label: 'The heat, moment by moment', columns: { 'time (s)': heat.times, 'heat (J)': heat.heat } },
      { name: 'curve', label: 'The curve', columns: { 'time (min)': curve.minutes, 'heat (kJ)': curve.kJ } },
      { name: 'map', label: 'The map, shares of the limit', shape: [up, across], data: map.data },
    ];
    return { pictures: [{ name: 'map', label: 'The map of the peak', image: map, window: [0, 1.5] }], numbers };
  },
});

/** Seconds in words: minutes and hours where these are shorter. */
export function time(seconds: number): string {
  if (seconds < 120) return `${short(seconds)} s`;
  return seconds < 7200 ? `${short(seconds / 60)} min` : `${short(seconds / 3600)} h`;
}

/** Middles of the cells of the map. */
const ends = (most: number, cells: number) => Float64Array.from({ length: cells }, (_, k) => (most * (k + 0.5)) / cells);

function leastRest(plan: { power: number; seconds: number; frames: number }, tube: { limit: number; coolingTime: number }, share: number): { rest?: number; refused?: string } {
  try {
    return { rest: restNeeded(plan, tube, share).rest };
  } catch (failure) {
    if (failure instanceof BadInput) return { refused: failure.message };
    throw failure;
  }
}

/**
 * The greatest heat of a scan that starts cold, J: what tubeHeat reaches after the last exposure, in one line, for the many points of the map.
 *   gain · (1 − qⁿ)/(1 − q),   gain = power·τ·(1 − e^(−seconds/τ)),   q = e^(−(seconds + rest)/τ)
 */
export function peakOf(power: number, seconds: number, frames: number, rest: number, cooling: number): number {
  const x = -(seconds + rest) / cooling;
  return (-power * cooling * Math.expm1(-seconds / cooling) * Math.expm1(frames * x)) / Math.expm1(x);
}

/** The rest at which that is just `most`; 0 where none is needed, NaN where none is enough. s. */
function restFor(power: number, seconds: number, frames: number, cooling: number, most: number): number {
  if (peakOf(power, seconds, frames, 0, cooling) <= most) return 0;
  if (peakOf(power, seconds, 1, 0, cooling) > most) return NaN;
  let [short, long] = [0, 4 * longestRest];
  if (peakOf(power, seconds, frames, long, cooling) > most) return NaN; // far outside the map
  for (let k = 0; k < 30; k++) {
    const middle = (short + long) / 2;
    if (peakOf(power, seconds, frames, middle, cooling) > most) short = middle;
    else long = middle;
  }
  return long;
}

/** tubeHeat's moments, and between them the curves that lead from one to the next. */
function drawn({ times, heat }: HeatCurve, power: number, cooling: number, frames: number, seconds: number, rest: number): RestsResult['curve'] {
  const inner = Math.max(1, Math.min(24, Math.floor(fine / (2 * frames))));
  const [t, q] = [[0], [heat[0]]];
  for (let i = 1; i < times.length; i++) {
    const [on, length] = i % 2 === 1 ? [power, seconds] : [0, rest];
    for (let k = 1; k < inner; k++) {
      const passed = (length * k) / inner;
      t.push(times[i - 1] + passed);
      q.push(heat[i - 1] * Math.exp(-passed / cooling) - on * cooling * Math.expm1(-passed / cooling));
    }
    t.push(times[i]);
    q.push(heat[i]);
  }
  return { minutes: Float64Array.from(t, (each) => each / 60), kJ: Float64Array.from(q, (each) => each / 1000) };
}
