import { backproject, discMask, equalAngles, fbp, filterViews, parallelBeam, rmse, viewWeights } from '../../lib/index.ts';
import type { Grid, Image, ParallelBeam, Sinogram, Steps } from '../../lib/index.ts';
import { definePlate, pixelsControl, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';
import { keptViews, readList, type Loss } from './lost.ts';
import { askRules, type RuleAnswer } from './rules.ts';

/** turn in degrees; cutoff in % of the Nyquist frequency; x and y, the marked point, in % of the field's radius. */
export type ViewsState = {
  readonly views: number; readonly turn: 180 | 360; readonly lost: Loss; readonly first: number; readonly count: number; readonly apart: number; readonly list: string;
  readonly weights: 'share' | 'capped' | 'equal'; readonly beside: 'truth' | 'difference' | 'second'; readonly second: number; readonly cutoff: number; readonly x: number; readonly y: number; readonly pixels: 128 | 256;
};

export interface ViewsResult {
  readonly picture: Image;
  /** Beside it: the truth, the difference from it, or the picture from the second number of views. */
  readonly beside: Image;
  readonly error: number;
  /** Error of the second picture, where it is shown. */
  readonly secondError?: number;
  /** All views of the plan, radians, and which are left. */
  readonly angles: readonly number[];
  readonly kept: readonly number[];
  /** Different directions among them, and the widest gap between neighbours, radians. */
  readonly directions: number;
  readonly gap: number;
  /** Around any point the picture is free of streaks out to here, mm: 1/(gap · highest frequency). The same for the second plan. */
  readonly clean: number;
  readonly secondClean: number;
  readonly rules: readonly RuleAnswer[];
  /** Of the object, mm. */
  readonly diameter: number;
  /** The marked point, mm. */
  readonly point: { readonly x: number; readonly y: number };
}

const lossNames = { none: 'none', every: 'one in so many', block: 'a block', scattered: 'here and there', list: 'these' } as const;

export const views = definePlate<ViewsState, ViewsResult>({
  id: 'views',
  title: 'So many views, and some of them lost',
  initial: { views: 45, turn: 180, lost: 'none', first: 10, count: 8, apart: 4, list: '3, 10-14', weights: 'share', beside: 'second', second: 90, cutoff: 100, x: 15, y: 33, pixels: 128 },
  controls: {
    views: { kind: 'range', label: 'Views', min: 4, max: 360, step: 1, play: 10 },
    turn: { kind: 'choice', label: 'Over', options: [{ value: 180, label: 'half a turn, 180°' }, { value: 360, label: 'a whole turn, 360°' }] },
    beside: { kind: 'choice', label: 'Beside it', options: [{ value: 'second', label: 'another number of views' }, { value: 'truth', label: 'the object' }, { value: 'difference', label: 'the difference from the object' }] },
    second: { kind: 'range', label: 'Views of the other picture, none lost', min: 4, max: 360, step: 1, visible: ({ beside }) => beside === 'second' },
    lost: { kind: 'choice', label: 'Views lost', as: 'list', options: (Object.keys(lossNames) as Loss[]).map((value) => ({ value, label: lossNames[value] })) },
    first: { kind: 'range', label: 'First view lost', min: 1, max: (state) => state.views, step: 1, visible: ({ lost }) => lost === 'every' || lost === 'block' },
    apart: { kind: 'range', label: 'One lost in', min: 2, max: 20, step: 1, visible: ({ lost }) => lost === 'every' },
    count: { kind: 'range', label: 'How many are lost', min: 1, max: (state) => state.views - 2, step: 1, visible: ({ lost }) => lost === 'block' || lost === 'scattered' },
    list: { kind: 'text', label: 'Numbers of the lost views', help: 'Numbers and ranges, counted from 1.', check: (text) => listProblem(text), visible: ({ lost }) => lost === 'list' },
    weights: { kind: 'choice', label: 'Weights', options: [{ value: 'share', label: 'share of the turn' }, { value: 'capped', label: 'share, three steps at most' }, { value: 'equal', label: 'all equal' }], visible: ({ lost }) => lost !== 'none' },
    cutoff: { kind: 'range', label: 'Ramp cut off at, of the Nyquist frequency', min: 20, max: 100, step: 5, unit: '%' },
    x: { kind: 'range', label: 'Marked point, to the right, of the radius', min: -95, max: 95, step: 1, unit: '%' },
    y: { kind: 'range', label: 'Marked point, upwards, of the radius', min: -95, max: 95, step: 1, unit: '%' },
    pixels: pixelsControl,
  },
  specimens: ['capsule', 'bead', 'head', 'own'],

  *compute(state, subject): Steps<ViewsResult> {
    const { truth, mask, diameter } = remember('views', `${subject.key} ${state.pixels}`, () => prepare(subject, state.pixels), 3);
    const turn = (state.turn * Math.PI) / 180;
    const angles = equalAngles(state.views, turn);
    const kept = keptViews(state.views, state);
    const picture = yield* reconstruct(subject, truth, state.views, turn, state.cutoff, kept, state.weights);
    const second = state.beside === 'second' ? remember('views-second', `${subject.key} ${state.second} ${state.turn} ${state.cutoff} ${state.pixels}`, () => whole(subject, truth, state.second, turn, state.cutoff), 4) : undefined;
    const { directions, gap } = directionsOf(kept.map((view) => angles[view]));
    const period = (2 * truth.pixelSize * 100) / state.cutoff;
    const beside = second ?? (state.beside === 'truth' ? truth : { ...truth, data: picture.data.map((value, i) => value - truth.data[i]) });
    return {
      picture,
      beside: { ...beside, data: beside.data.slice() },
      error: rmse(picture, truth, mask),
      secondError: second && rmse(second, truth, mask),
      angles,
      kept,
      directions,
      gap,
      clean: period / gap,
      secondClean: period / directionsOf(equalAngles(state.second, turn)).gap,
      rules: askRules(diameter, period, Math.PI / gap),
      diameter,
      point: { x: (state.x / 100) * subject.radius, y: (state.y / 100) * subject.radius },
    };
  },

  describe(state, { error, secondError, kept, directions, gap, clean, diameter, rules }) {
    const missing = state.views - kept.length;
    const plan = `${state.views} views over ${state.turn}°${missing ? `, ${missing} of them lost,` : ''} look in ${directions} different directions, ${missing ? 'at most ' : ''}${degrees(gap)} apart.`;
    const streaks = clean >= diameter ? 'Streaks begin farther from a point than the object is wide.' : `Streaks begin ${clean.toFixed(1)} mm from any point of it; the object is ${diameter.toFixed(0)} mm wide, and the rule for the whole of it asks for ${rules[0].needed} directions.`;
    const worth = secondError === undefined ? '' : `, and ${secondError.toPrecision(3)}/mm with ${state.second} views`;
    return `${plan} ${streaks} The root mean square error is ${error.toPrecision(3)}/mm${worth}.`;
  },

  listings: [
    { file: 'geometry/view-weights.ts', function: 'viewWeights', title: 'Each view’s share of the turn' },
    { file: 'geometry/views-needed.ts', function: 'viewsNeeded', title: 'The rules' },
  ],
  exports: (state, { picture, beside, rules }) => ({
    pictures: [
      { name: `views-${state.views}`, label: `From ${state.views} views`, image: picture },
      { name: 'beside', label: 'The picture beside it', image: beside },
    ],
    numbers: [
      { name: `views-${state.views}`, label: `From ${state.views} views, 1/mm`, shape: [picture.height, picture.width], data: picture.data },
      { name: 'rules', label: 'The rules', columns: { over: rules.map(({ over }) => over), 'views asked for': rules.map(({ needed }) => needed), 'detail kept (mm)': rules.map(({ kept }) => kept) } },
    ],
  }),
});

export const degrees = (angle: number) => `${Number(((angle * 180) / Math.PI).toPrecision(3))}°`;

function listProblem(text: string): string | undefined {
  try {
    readList(text);
    return undefined;
  } catch (failure) {
    return (failure as Error).message;
  }
}

function prepare(subject: Specimen, size: number): { truth: Image; mask: Uint8Array; diameter: number } {
  const grid = gridFor(subject, size);
  const truth = pictureOf(subject, grid);
  return { truth, mask: discMask(grid, 0, 0, subject.radius), diameter: widthOf(truth) };
}

/** Twice the distance from the axis of the farthest pixel that holds anything to speak of: what has to be streak-free. */
function widthOf({ width, height, pixelSize, data }: Image): number {
  const least = 0.01 * data.reduce((most, value) => Math.max(most, Math.abs(value)), 0);
  let far = 0;
  data.forEach((value, i) => {
    if (Math.abs(value) > least) far = Math.max(far, Math.hypot((i % width) - (width - 1) / 2, Math.floor(i / width) - (height - 1) / 2));
  });
  return Math.max(1, 2 * far) * pixelSize;
}

const beamOf = (grid: Grid, angles: readonly number[]): ParallelBeam => parallelBeam({ angles, detectors: grid.width + 1, pitch: grid.pixelSize });

function whole(subject: Specimen, grid: Grid, count: number, turn: number, cutoff: number): Image {
  const beam = beamOf(grid, equalAngles(count, turn));
  return fbp(shadowsOf(subject, beam), beam, { window: 'ramp', cutoff: cutoff / 100, grid: bare(grid) });
}

/** The picture from the views that are left. The filtered views of the whole plan are kept for the next loss. */
function* reconstruct(subject: Specimen, grid: Grid, count: number, turn: number, cutoff: number, kept: readonly number[], how: ViewsState['weights']): Steps<Image> {
  const beam = beamOf(grid, equalAngles(count, turn));
  const filtered: Sinogram = remember('views-filtered', `${subject.key} ${count} ${turn} ${cutoff} ${grid.width}`, () => filterViews(shadowsOf(subject, beam), beam.pitch, { window: 'ramp', cutoff: cutoff / 100 }), 4);
  const weights = new Float64Array(count);
  const shares = viewWeights(beamOf(grid, kept.map((view) => beam.angles[view])));
  const most = 3 * Math.min(...viewWeights(beam));
  kept.forEach((view, k) => (weights[view] = how === 'equal' ? Math.PI / kept.length : how === 'capped' ? Math.min(shares[k], most) : shares[k]));
  yield 0.3; // a newer setting stops it here, or between two views
  return backproject(filtered, beam, bare(grid), { weights, views: kept });
}

const bare = ({ width, height, pixelSize }: Grid): Grid => ({ width, height, pixelSize });

/** Directions modulo half a turn, those that agree to a millionth of a radian taken for one, and the widest gap on the way round. */
function directionsOf(angles: readonly number[]): { directions: number; gap: number } {
  const folded = angles.map((angle) => angle - Math.PI * Math.floor((angle + 1e-6) / Math.PI)).sort((a, b) => a - b);
  const distinct = folded.filter((angle, k) => k === 0 || angle - folded[k - 1] > 1e-6);
  const gap = distinct.reduce((widest, angle, k) => Math.max(widest, (distinct[k + 1] ?? distinct[0] + Math.PI) - angle), 0);
  return { directions: distinct.length, gap };
}
