import { discMask, forwardProject, parallelBeam, part, pixelPosition, rmse, sirtSteps, totalVariationSteps } from '../../lib/index.ts';
import type { Image, ParallelBeam, Sinogram, Steps } from '../../lib/index.ts';
import { short } from '../film/numbers.ts';
import { definePlate } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { strengthFor } from '../priors/model.ts';
import { noisy } from '../window/model.ts';
import { damageOf, type Damage } from './damage.ts';
import { object, objectPicture } from './object.ts';

/** strength: a stop of the slider, 0 for none, each other one twice the one before. noise in % of the greatest line integral. height of the profile, mm. */
export type TooMuchState = { readonly strength: number; readonly views: number; readonly noise: number; readonly height: number };

export interface TooMuchResult {
  readonly picture: Image;
  readonly truth: Image;
  readonly difference: Image;
  readonly error: number;
  readonly damage: Damage;
  /** α, mm. */
  readonly alpha: number;
  readonly profile: { readonly x: Float64Array; readonly truth: Float64Array; readonly picture: Float64Array };
}

export const stops = 12;
interface Effort { readonly size: number; readonly views: number; readonly sirt: number; readonly tv: number }
const full: Effort = { size: 128, views: 60, sirt: 30, tv: 200 };
/** Where 40 pixels stand side by side, 30 views do nearly as well as 60. */
const rough: Effort = { size: 40, views: 30, sirt: 2, tv: 9 };

/** α in mm: nothing, then from a hundredth of what one pixel of the object costs in the data, doubled at each stop. */
export const alphaOf = (stop: number, views: number) => (stop === 0 ? 0 : strengthFor(shareOf(stop), views, object.even, (2 * object.field) / full.size));
const shareOf = (stop: number) => 0.01 * 2 ** (stop - 1);

export const tooMuch = definePlate<TooMuchState, TooMuchResult>({
  id: 'too-much',
  title: 'Too much prior',
  initial: { strength: 9, views: 24, noise: 1, height: -14 },
  controls: {
    strength: { kind: 'range', label: 'Strength of the total variation', min: 0, max: stops, step: 1, format: (stop, { views }) => (stop === 0 ? 'none' : `α = ${short(alphaOf(stop, views), 2)} mm`), play: 1 },
    views: { kind: 'range', label: 'Views over half a turn', min: 12, max: 60, step: 1 },
    noise: { kind: 'range', label: 'Noise, of the greatest line integral', min: 0, max: 3, step: 0.5, unit: '%' },
    height: { kind: 'range', label: 'Profile, above the middle', min: -36, max: 36, step: 1, unit: 'mm' },
  },

  compute: (state) => steps(state, full),
  sketch: (state) => (keptFor(state, full.size).picture ? undefined : steps(state, rough)),

  describe({ strength, views, noise }, { error, damage, alpha }) {
    const { lost, flat, invented } = damage;
    const given = strength === 0 ? 'Without total variation' : `With total variation of strength ${short(alpha, 2)} mm`;
    const gone = lost === 0 ? `all ${object.details.length} faint discs keep at least half of their contrast` : `${lost} of ${object.details.length} faint discs ${lost === 1 ? 'has' : 'have'} less than half of ${lost === 1 ? 'its' : 'their'} contrast left`;
    const area = invented.reduce((sum, each) => sum + each.area, 0);
    const new_ = invented.length === 0 ? 'no patch that looks like a detail was invented' : `${invented.length} patch${invented.length === 1 ? ' that looks' : 'es that look'} like ${invented.length === 1 ? 'a detail was' : 'details were'} invented, ${area.toFixed(0)} mm² in all`;
    return `${given}, from ${views} views with noise of ${noise} %, the root mean square error is ${short(error)}/mm. Lost: ${gone}, and ${(100 * flat).toFixed(0)} % of the ramp has become level. Never there: ${new_}.`;
  },

  listings: [{ file: 'reconstruct/total-variation.ts', function: 'totalVariationSteps', title: 'Making misfit and variation least together' }, { file: 'reconstruct/differences.ts', title: 'The differences from pixel to pixel' }],
  exports: ({ strength }, { picture, difference, profile }) => ({
    pictures: [{ name: `strength-${strength}`, label: 'The picture', image: picture }, { name: 'difference', label: 'Its difference from the object', image: difference }],
    numbers: [
      { name: `strength-${strength}`, label: 'The picture, 1/mm', shape: [picture.height, picture.width], data: picture.data },
      { name: 'profile', label: 'Profile', columns: { 'x (mm)': profile.x, 'object (1/mm)': profile.truth, 'picture (1/mm)': profile.picture } },
    ],
  }),
});

/** The picture, kept because the profile does not change it. */
function keptFor({ strength, views, noise }: TooMuchState, size: number): { picture?: Image } {
  return remember('too-much', `${strength} ${views} ${noise} ${size}`, (): { picture?: Image } => ({}), 16);
}

/** The shadows of a picture of the object three times finer than the one to be made. */
export function objectScan({ views, noise }: Pick<TooMuchState, 'views' | 'noise'>, size = full.size): { truth: Image; mask: Uint8Array; beam: ParallelBeam; sinogram: Sinogram } {
  const fine = remember('too-much-fine', `${size}`, () => objectPicture(3 * size));
  return remember('too-much-scan', `${views} ${noise} ${size}`, () => {
    const truth = objectPicture(size);
    const beam = parallelBeam({ views, detectors: size + 1, pitch: truth.pixelSize });
    return { truth, mask: discMask(truth, 0, 0, object.field), beam, sinogram: noisy(forwardProject(fine, beam), noise / 100) };
  }, 6);
}

function* steps(state: TooMuchState, { size, views: most, sirt, tv }: Effort): Steps<TooMuchResult> {
  const views = Math.min(state.views, most);
  const { truth, mask, beam, sinogram } = objectScan({ views, noise: state.noise }, size);
  const kept = keptFor(state, size);
  kept.picture ??= yield* part(pictureSteps(), 0, 0.9);
  const { picture } = kept;
  const row = Math.min(size - 1, Math.max(0, Math.round((size - 1) / 2 - state.height / truth.pixelSize)));
  const along = ({ data }: Image) => Float64Array.from(data.subarray(row * size, (row + 1) * size));
  return {
    picture: { ...picture, data: picture.data.slice() },
    truth: { ...truth, data: truth.data.slice() },
    difference: { ...truth, data: picture.data.map((value, i) => value - truth.data[i]) },
    error: rmse(picture, truth, mask),
    damage: damageOf(picture, truth),
    alpha: alphaOf(state.strength, state.views),
    profile: { x: Float64Array.from({ length: size }, (_, column) => pixelPosition(truth, column, row)[0]), truth: along(truth), picture: along(picture) },
  };

  function* pictureSteps(): Steps<Image> {
    const grid = { width: size, height: size, pixelSize: truth.pixelSize };
    const options = { grid, mask, nonNegative: true };
    const { picture: start } = yield* part(sirtSteps(sinogram, beam, { ...options, iterations: sirt, relaxation: 1.9 }), 0, 0.1);
    // The stronger it is, the sooner the picture settles with longer steps for the differences.
    const dualStep = Math.min(2, Math.max(0.03, 0.3 * Math.sqrt(state.strength === 0 ? 0 : shareOf(state.strength))));
    return (yield* part(totalVariationSteps(sinogram, beam, { ...options, strength: alphaOf(state.strength, views), iterations: tv, start, dualStep }), 0.1, 1)).picture;
  }
}
