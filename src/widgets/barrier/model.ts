import { doseEstimate, doseLimits, materials } from '../../lib/index.ts';
import type { DoseEstimate, DoseLimit, DoseQuestion, Range } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';

export type Material = 'lead' | 'concrete' | 'steel' | 'wood';
export type Housing = 'bare' | 'rated';
/** kV, mA, minutes in a year, m, mm. */
export type BarrierState = { readonly kVp: number; readonly mA: number; readonly minutes: number; readonly housing: Housing; readonly distance: number; readonly material: Material; readonly thickness: number };

export interface BarrierResult {
  readonly estimate: DoseEstimate;
  /** The high figure, log₁₀ of mSv a year: distance across, thickness up. */
  readonly map: { readonly width: number; readonly height: number; readonly data: Float32Array };
  /** mm at the top of the map. */
  readonly thickest: number;
  /** log₁₀ of mSv a year against the distance at this thickness, and against the thickness at this distance. */
  readonly along: Curves;
  readonly behind: Curves;
  /** Where the high and the likely figure reach 1 mSv a year: distance for each thickness, m. */
  readonly contours: { readonly mm: Float64Array; readonly high: Float64Array; readonly likely: Float64Array };
}
export interface Curves { readonly at: Float64Array; readonly low: Float64Array; readonly likely: Float64Array; readonly high: Float64Array }

/** m */
export const nearest = 0.5;
export const farthest = 10;
/** From the tube's target to the object, mm. */
export const toObject = 400;
const [across, up] = [48, 33];
const depths: Readonly<Record<Material, number>> = { lead: 4, concrete: 300, steel: 30, wood: 200 };
/** The charts' scale, log₁₀ of mSv a year. */
export const scale = [-4, 6] as const;

const whole = (who: DoseLimit['who'], period: DoseLimit['period']) => doseLimits.find((limit) => limit.who === who && limit.part === 'whole body' && limit.period === period)!;
/** ICRP's limits for the whole body, mSv. */
export const marks = [
  { limit: whole('public', 'a year'), says: 'anybody' }, { limit: whole('worker', 'a year, averaged over 5 years'), says: 'worker, averaged' }, { limit: whole('worker', 'any single year'), says: 'worker, any year' },
] as const;
export const anybody = marks[0].limit.milliSievert;

export const barrier = definePlate<BarrierState, BarrierResult>({
  id: 'barrier',
  title: 'Distance and barrier: an estimate to be measured',
  initial: { kVp: 80, mA: 1, minutes: 60, housing: 'bare', distance: 3, material: 'lead', thickness: 1 },
  controls: {
    kVp: { kind: 'range', label: 'Voltage of the tube', min: 30, max: 150, step: 1, unit: 'kV' },
    mA: { kind: 'range', label: 'Current of the tube', min: 0.1, max: 10, step: 0.1, unit: 'mA' },
    minutes: { kind: 'range', label: 'Beam on in a year, trials and flats too', min: 1, max: 1200, step: 1, unit: 'min' },
    housing: { kind: 'choice', label: 'Housing of the tube', options: [{ value: 'bare', label: 'none: the tube is bare' }, { value: 'rated', label: 'sold and tested for leakage' }] },
    distance: { kind: 'range', label: 'Tube or object to person, the nearer', min: nearest, max: farthest, step: 0.1, unit: 'm' },
    material: { kind: 'choice', label: 'Barrier', options: (Object.keys(depths) as Material[]).map((value) => ({ value, label: value })) },
    thickness: { kind: 'range', label: 'Its thickness', min: 0, max: ({ material }) => depths[material], step: 0.1, unit: 'mm' },
  },

  compute(state) {
    const thickest = depths[state.material];
    const estimate = doseEstimate(question(state));
    // Every route falls with the square of the distance, so that one estimate serves a whole row.
    const rows = Float64Array.from({ length: up }, (_, k) => (thickest * k) / (up - 1));
    const ofRows = Array.from(rows, (thickness) => doseEstimate(question({ ...state, distance: 1, thickness })).perYear);
    const distances = Float64Array.from({ length: across }, (_, k) => nearest + ((farthest - nearest) * (k + 0.5)) / across);
    const data = new Float32Array(across * up);
    ofRows.forEach(({ high }, row) => distances.forEach((m, column) => (data[(up - 1 - row) * across + column] = logOf(high / m ** 2))));
    const at1 = doseEstimate(question({ ...state, distance: 1 })).perYear;
    const m = Float64Array.from({ length: 77 }, (_, k) => nearest + ((farthest - nearest) * k) / 76);
    return {
      estimate, thickest,
      map: { width: across, height: up, data },
      along: curves(m, Array.from(m, (each) => part(at1, each ** 2))),
      behind: curves(rows.slice(), ofRows.map((range) => part(range, state.distance ** 2))),
      contours: { mm: rows.slice(), high: Float64Array.from(ofRows, ({ high }) => reaches(high)), likely: Float64Array.from(ofRows, ({ likely }) => reaches(likely)) },
    };
  },

  describe({ kVp, mA, minutes, housing, distance, material, thickness }, { estimate: { perYear, inOpenBeam } }) {
    const stands = thickness === 0 ? 'with nothing between' : `behind ${short(thickness)} mm of ${material}`;
    const unknown = thickness > 0 && material !== 'lead' && material !== 'concrete' ? ` For ${materials[material].title} no broad-beam figures are known here, so it counts in the low figure alone.` : '';
    return `${kVp} kV, ${short(mA)} mA, ${short(minutes)} minutes a year, ${housing === 'bare' ? 'a bare tube' : 'a rated housing'}: somebody ${short(distance)} m away, ${stands}, would get ${dose(perYear.low)} to ${dose(perYear.high)} a year, likely ${dose(perYear.likely)}. `
      + `In the open beam, at the same distance and with nothing between, likely ${dose(inOpenBeam.likely)}. An estimate, and no verdict: measure it. ICRP’s limit for anybody is ${anybody} mSv a year for everything together, and doses are to be as far below as is reasonable.${unknown}`;
  },

  listings: [
    { file: 'physics/barrier-range.ts', function: 'barrierRange', title: 'What a barrier lets through' },
    { file: 'physics/barrier-transmission.ts', function: 'archerTransmission', title: 'A broad beam behind a barrier' },
    { file: 'physics/dose-estimate.ts', function: 'doseEstimate', title: 'The estimate' },
  ],
  exports(_, { map, along, behind }) {
    const table = (name: string, label: string, first: string, { at, low, likely, high }: Curves): Numbers => ({ name, label, columns: { [first]: at, 'low, log10 of mSv a year': low, likely, high } });
    return {
      pictures: [{ name: 'map', label: 'The map of the high figure', image: map, window: scale }],
      numbers: [
        { name: 'map', label: 'The map, log10 of mSv a year', shape: [up, across], data: map.data },
        table('distance', 'Against the distance', 'distance (m)', along), table('thickness', 'Against the thickness', 'thickness (mm)', behind),
      ],
    };
  },
});

export function question({ kVp, mA, minutes, housing, distance, material, thickness }: BarrierState): DoseQuestion {
  const seconds = 60 * minutes;
  return { kVp, mAs: mA * seconds, seconds, sourceToObject: toObject, distance: 1000 * distance, housing, barrier: { material, thickness } };
}

/** µSv to log₁₀ of mSv; what is next to nothing counts as a billionth of one. */
export const logOf = (microSievert: number) => Math.log10(Math.max(microSievert / 1000, 1e-9));
const part = ({ low, likely, high }: Range, by: number): Range => ({ low: low / by, likely: likely / by, high: high / by });
/** The distance at which a dose that is known at 1 m has fallen to the limit for anybody, m. */
const reaches = (microSievert: number) => Math.sqrt(microSievert / 1000 / anybody);

function curves(at: Float64Array, ranges: readonly Range[]): Curves {
  const of = (name: keyof Range) => Float64Array.from(ranges, (range) => logOf(range[name]));
  return { at, low: of('low'), likely: of('likely'), high: of('high') };
}

/** µSv in words, in mSv or Sv where that is shorter. */
export function dose(microSievert: number): string {
  if (microSievert >= 999_500) return `${short(microSievert / 1e6)} Sv`;
  return microSievert >= 999.5 ? `${short(microSievert / 1000)} mSv` : `${short(microSievert, 2)} µSv`;
}
