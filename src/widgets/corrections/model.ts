import { detectorPosition, forwardProject, osSartSteps, part, rmse, sirtSteps } from '../../lib/index.ts';
import type { Image, Sinogram, Steps } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { scanOf, type Scan } from './scan.ts';

/** how: after how many views the picture is corrected. noise in % of the greatest line integral. */
export type CorrectionsState = { readonly iteration: number; readonly views: number; readonly how: 'all' | 'subsets' | 'each'; readonly relaxation: number; readonly nonNegative: boolean; readonly noise: number };

export interface CorrectionsResult {
  readonly picture: Image;
  /** Measured shadows less the picture's own, and where its rows end, mm from the axis. */
  readonly misfit: Sinogram;
  readonly ends: readonly [left: number, right: number];
  /** What the next iteration adds. */
  readonly correction: Image;
  /** After each iteration: misfit of the shadows, root mean square, and the picture's distance from the object, 1/mm. */
  readonly course: { readonly iteration: Float64Array; readonly misfit: Float64Array; readonly error: Float64Array };
  readonly error: number;
  readonly noise: number;
  /** Iteration with the least error, and the first whose misfit is no more than the noise: where the discrepancy principle stops. */
  readonly best: number;
  readonly stop?: number;
}

/** What a slider can reach. One iteration more is made, to know what it would add. */
export const last = 60;
const subsets = 6;

export const corrections = definePlate<CorrectionsState, CorrectionsResult>({
  id: 'corrections',
  title: 'Guess, check, correct',
  initial: { iteration: 8, views: 24, how: 'all', relaxation: 1, nonNegative: true, noise: 2 },
  controls: {
    iteration: { kind: 'range', label: 'Iterations', min: 0, max: last, step: 1, play: 6 },
    views: { kind: 'range', label: 'Views over half a turn', min: 8, max: 90, step: 1 },
    noise: { kind: 'range', label: 'Noise, of the greatest line integral', min: 0, max: 5, step: 0.5, unit: '%' },
    how: { kind: 'choice', label: 'Correct the picture after', options: [{ value: 'all', label: 'all views' }, { value: 'subsets', label: 'every sixth of the views' }, { value: 'each', label: 'each view' }] },
    relaxation: { kind: 'range', label: 'Relaxation: of each correction, take', min: 0.1, max: 1.9, step: 0.1, format: (value) => `${short(value)} times` },
    nonNegative: { kind: 'toggle', label: 'Nothing below zero' },
  },
  specimens: ['head', 'capsule', 'bead', 'own'],

  *compute(state, subject): Steps<CorrectionsResult> {
    const scan = scanOf(subject, 128, state.views, state.noise);
    const made = remember('corrections-made', keyOf(state, subject), () => begin(scan), 4);
    yield* part(iterations(scan, state, made), 0, 0.9);
    return resultOf(scan, made, Math.min(state.iteration, last), 1);
  },

  sketch(state, subject) {
    // Where only the iteration has moved since, the whole picture is kept, or on its way.
    const shown = remember('corrections-sketched', 'last', () => ({ key: '' }));
    const key = keyOf(state, subject);
    if (shown.key === key) return undefined;
    shown.key = key;
    return sketchSteps(state, subject);
  },

  describe(state, { course, error, noise, best, stop }) {
    const misfit = course.misfit[state.iteration];
    const after = state.iteration === 0 ? 'Before the first iteration the picture is empty' : `After ${state.iteration} iteration${state.iteration > 1 ? 's' : ''} the picture’s own shadows differ from the measured ones by ${short(misfit)}`;
    const beside = state.iteration === 0 ? `: its shadows miss all of the measured ones, ${short(misfit)} root mean square` : `, root mean square, from ${short(course.misfit[0])} at the start`;
    const told = noise === 0 ? '' : stop === undefined ? ` The noise in them is ${short(noise)}; the misfit does not come down to it in ${last} iterations.` : ` The noise in them is ${short(noise)}, and the misfit is down to it after ${stop} iteration${stop === 1 ? '' : 's'}.`;
    return `${after}${beside}.${told} The picture’s root mean square error is ${short(error)}/mm; the least, ${short(course.error[best])}/mm, comes after ${best} of ${course.error.length - 1} iterations.`;
  },

  listings: [
    { file: 'reconstruct/sirt.ts', region: 'sirt', title: 'All rays’ differences correct the picture at once' },
    { file: 'reconstruct/os-sart.ts', function: 'osSartSteps', title: 'The same with subsets of the views' },
  ],
  exports: ({ iteration }, { picture, misfit, correction, course }) => ({
    pictures: [
      { name: `after-${iteration}`, label: `The picture after ${iteration} iterations`, image: picture },
      { name: 'correction', label: 'What the next iteration adds', image: correction },
    ],
    numbers: [
      { name: `after-${iteration}`, label: 'The picture, 1/mm', shape: [picture.height, picture.width], data: picture.data },
      { name: 'misfit', label: 'Measured shadows less its own', shape: [misfit.views, misfit.detectors], data: misfit.data },
      { name: 'course', label: 'Misfit and error of each iteration', columns: { iteration: course.iteration, misfit: course.misfit, 'error (1/mm)': course.error } },
    ],
  }),
});

/** All that makes another series of pictures. */
const keyOf = ({ views, how, relaxation, nonNegative, noise }: CorrectionsState, subject: Specimen) => [subject.key, views, how, relaxation, nonNegative, noise].join(' ');

/** The pictures so far, the empty one first, each with its misfit once that is known. */
interface Made { readonly pictures: Image[]; readonly rms: number[] }

function begin({ grid, sinogram }: Scan): Made {
  const squares = sinogram.data.reduce((sum, p) => sum + p * p, 0);
  return { pictures: [{ ...grid, data: new Float32Array(grid.width * grid.height) }], rms: [Math.sqrt(squares / sinogram.data.length)] };
}

/** Goes on from the last picture that is kept: a reader who moved the slider in between loses nothing. */
function* iterations(scan: Scan, state: CorrectionsState, { pictures, rms }: Made, count = last + 1): Steps<void> {
  const missing = count + 1 - pictures.length;
  if (missing > 0) {
    const from = pictures.length - 1;
    const { history } = yield* iterate(scan, state, { start: pictures[from], iterations: missing, every: (picture) => void pictures.push(picture) });
    history.rms.forEach((value, k) => (rms[from + k] = value));
  }
  // Those of a series that was called off half-way.
  for (let k = 0; k < pictures.length; k++) rms[k] ??= Math.sqrt(misfitOf(scan, pictures[k]).data.reduce((sum, p) => sum + p * p, 0) / scan.sinogram.data.length);
}

function iterate({ grid, mask, beam, sinogram }: Scan, { how, views, relaxation, nonNegative }: CorrectionsState, more: { start?: Image; iterations: number; every?: (picture: Image) => void }) {
  const options = { grid, mask, relaxation, nonNegative, ...more };
  return how === 'all' ? sirtSteps(sinogram, beam, options) : osSartSteps(sinogram, beam, { ...options, subsets: how === 'each' ? views : Math.min(subsets, views) });
}

/** Measured shadows less the picture's own. */
function misfitOf({ sinogram, beam }: Scan, picture: Image): Sinogram {
  const own = forwardProject(picture, beam);
  return { ...sinogram, data: sinogram.data.map((p, i) => p - own.data[i]) };
}

/** each: how many of the plate's iterations one of these stands for. */
function resultOf(scan: Scan, { pictures, rms }: Made, iteration: number, each: number): CorrectionsResult {
  const shown = pictures.slice(0, -1);
  const errors = Float64Array.from(shown, (picture) => rmse(picture, scan.truth, scan.mask));
  const at = Math.min(Math.round(iteration / each), shown.length - 1);
  const picture = { ...scan.grid, data: shown[at].data.slice() };
  const half = scan.beam.pitch / 2;
  const stop = rms.findIndex((value, k) => k < shown.length && value <= scan.noise);
  return {
    picture,
    misfit: misfitOf(scan, picture),
    ends: [detectorPosition(scan.beam, 0) - half, detectorPosition(scan.beam, scan.beam.detectors - 1) + half],
    correction: { ...scan.grid, data: pictures[at + 1].data.map((value, i) => value - picture.data[i]) },
    course: { iteration: Float64Array.from(shown, (_, k) => k * each), misfit: Float64Array.from(rms.slice(0, shown.length)), error: errors },
    error: errors[at],
    noise: scan.noise,
    best: each * errors.reduce((best, error, k) => (error < errors[best] ? k : best), 0),
    stop: stop < 0 || scan.noise === 0 ? undefined : each * stop,
  };
}

/** Coarse, and with a few rounds through subsets in place of many through all views: for as long as a control moves. */
function* sketchSteps(state: CorrectionsState, subject: Specimen): Steps<CorrectionsResult> {
  const scan = scanOf(subject, state.views <= 24 ? 64 : state.views <= 48 ? 48 : 32, state.views, state.noise);
  const rounds = 6;
  const each = state.how === 'all' ? Math.max(1, Math.ceil(state.iteration / rounds)) : Math.max(1, state.iteration / rounds);
  const made = begin(scan);
  const { history } = yield* state.how === 'all' && each > 1
    ? osSartSteps(scan.sinogram, scan.beam, { ...scan, relaxation: state.relaxation, nonNegative: state.nonNegative, subsets: Math.min(each, state.views), iterations: rounds + 1, every: (picture) => void made.pictures.push(picture) })
    : iterate(scan, state, { iterations: rounds + 1, every: (picture) => void made.pictures.push(picture) });
  made.rms.splice(0, 1, ...history.rms);
  return resultOf(scan, made, state.iteration, each);
}
