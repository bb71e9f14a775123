import { fbp, matthews, osSartSteps, otsuThreshold, part, rmse, sirtSteps, totalVariationSteps } from '../../lib/index.ts';
import type { FlatBeam, Grid, Image, Sinogram, Steps } from '../../lib/index.ts';
import { scanOf } from '../corrections/scan.ts';
import { short } from '../film/numbers.ts';
import { definePlate, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { fewOf, measuredNow, measuredScan, missing, reference, thinned, type Measured } from './measured.ts';

export type PriorsState = { readonly views: number; readonly object: 'specimen' | 'disc'; readonly noisy: boolean; readonly beside: 'pictures' | 'differences' };

export interface PriorsResult {
  /** By filtered backprojection, by SIRT with nothing below zero, by total variation; the truth, or what stands for it. None where the disc is not at hand. */
  readonly pictures?: { readonly fbp: Image; readonly sirt: Image; readonly tv: Image; readonly truth: Image };
  /** Distance from the truth, 1/mm, root mean square; for the disc Matthews' correlation of what lies above Otsu's threshold. */
  readonly scores: { readonly fbp: number; readonly sirt: number; readonly tv: number };
  /** Attenuation that a film shows white, 1/mm. */
  readonly white: number;
  /** α, mm. */
  readonly strength: number;
  /** Who measured what is shown. */
  readonly credit?: string;
}

/** How much work goes into the pictures; views: the most that are looked at. */
interface Effort { readonly size: number; readonly views: number; readonly sirt: number; readonly tv: number; readonly subsets: boolean }
const full: Effort = { size: 128, views: 90, sirt: 60, tv: 100, subsets: false };
/** Where 32 pixels stand side by side, 40 views are as good as 90. */
const rough: Effort = { size: 32, views: 40, sirt: 3, tv: 8, subsets: true };
const noise = 1; // % of the greatest line integral, where noise is wanted

export const priors = definePlate<PriorsState, PriorsResult>({
  id: 'priors',
  title: 'What a prior buys',
  initial: { views: 24, object: 'specimen', noisy: true, beside: 'pictures' },
  controls: {
    views: { kind: 'range', label: 'Views', min: 12, max: 90, step: 1, play: 4 },
    object: { kind: 'choice', label: 'Scanned', options: [{ value: 'specimen', label: 'the specimen, simulated' }, { value: 'disc', label: 'a disc, measured' }] },
    noisy: { kind: 'toggle', label: `Noise, ${noise} % of the greatest line integral`, visible: ({ object }) => object === 'specimen' },
    beside: { kind: 'choice', label: 'Show', options: [{ value: 'pictures', label: 'the pictures' }, { value: 'differences', label: 'their differences from the truth' }] },
  },
  specimens: ['head', 'capsule', 'bead', 'own'],

  compute(state, subject) {
    if (state.object === 'specimen') return specimenSteps(state, subject, full);
    return measuredScan().then((scan) => (scan ? discSteps(state, scan, full) : absent));
  },

  sketch(state, subject) {
    const made = keptFor(state, subject, full.size);
    if (made.pictures) return undefined;
    if (state.object === 'specimen') return specimenSteps(state, subject, rough);
    const scan = measuredNow();
    return scan && discSteps(state, scan, rough);
  },

  describe({ views, object, noisy, beside }, { pictures, scores, strength }, subject) {
    if (!pictures) return missing;
    const subjectShown = beside === 'differences' ? 'The films show what each picture has too much (light) or too little (dark). ' : '';
    if (object === 'disc') {
      return `${subjectShown}A measured acrylic disc from ${views} views over the whole turn. Beside the disc from all ${allViews} views, thresholded, Matthews’ correlation is ${scores.fbp.toFixed(3)} for filtered backprojection, ${scores.sirt.toFixed(3)} for SIRT with nothing below zero, and ${scores.tv.toFixed(3)} for total variation of strength ${short(strength)} mm. 1 would be the same disc.`;
    }
    const times = scores.fbp / scores.tv;
    return `${subjectShown}${subject.title} from ${views} views over half a turn, ${noisy ? `with noise of ${noise} %` : 'without noise'}. The root mean square error is ${short(scores.fbp)}/mm by filtered backprojection, ${short(scores.sirt)}/mm by SIRT with nothing below zero, and ${short(scores.tv)}/mm by total variation of strength ${short(strength)} mm, ${times >= 1 ? `${short(times, 2)} times less than the first` : `${short(1 / times, 2)} times more than the first`}.`;
  },

  listings: [
    { file: 'reconstruct/total-variation.ts', function: 'totalVariation', title: 'What total variation makes least' },
    { file: 'reconstruct/total-variation.ts', function: 'totalVariationSteps', title: 'And how' },
  ],
  exports: ({ views }, { pictures }) => {
    if (!pictures) return {};
    const named = [['fbp', 'By filtered backprojection'], ['sirt', 'By SIRT'], ['tv', 'By total variation']] as const;
    return {
      pictures: named.map(([name, label]) => ({ name: `${name}-${views}`, label, image: pictures[name] })),
      numbers: named.map(([name, label]) => ({ name: `${name}-${views}`, label: `${label}, 1/mm`, shape: [pictures[name].height, pictures[name].width], data: pictures[name].data })),
    };
  },
});

const absent: PriorsResult = { scores: { fbp: 0, sirt: 0, tv: 0 }, white: 1, strength: 0 };
const allViews = 360;

/** What an attenuation of `contrast` costs where it stands alone in one pixel, in `views` views, times a share that suits: α in mm. */
export const strengthFor = (share: number, views: number, contrast: number, pixelSize: number) => share * views * contrast * pixelSize ** 2;

interface Scanned { readonly grid: Grid; readonly mask: ArrayLike<number>; readonly beam: FlatBeam; readonly sinogram: Sinogram }

/** The three pictures of one scan, kept, because what is shown of them does not change them. */
function* threePictures({ grid, mask, beam, sinogram }: Scanned, strength: number, { sirt, tv, subsets }: Effort): Steps<{ fbp: Image; sirt: Image; tv: Image }> {
  const byFbp = fbp(sinogram, beam, { window: 'ramp', grid });
  yield 0.05;
  const options = { grid, mask, nonNegative: true };
  const { picture: bySirt } = yield* part(subsets ? osSartSteps(sinogram, beam, { ...options, iterations: sirt }) : sirtSteps(sinogram, beam, { ...options, iterations: sirt, relaxation: 1.9 }), 0.05, 0.3);
  const { picture: byTv } = yield* part(totalVariationSteps(sinogram, beam, { ...options, strength, iterations: tv, start: bySirt }), 0.3, 1);
  return { fbp: byFbp, sirt: bySirt, tv: byTv };
}

type Kept = { pictures?: { fbp: Image; sirt: Image; tv: Image } };
function keptFor({ object, views, noisy }: PriorsState, subject: Specimen, size: number): Kept {
  return remember('priors', object === 'disc' ? `disc ${views} ${size}` : `${subject.key} ${views} ${noisy} ${size}`, (): Kept => ({}), 6);
}

function* specimenSteps(state: PriorsState, subject: Specimen, effort: Effort): Steps<PriorsResult> {
  const views = Math.min(state.views, effort.views);
  const scan = scanOf(subject, effort.size, views, state.noisy ? noise : 0);
  // By the pixel of the whole picture, so that the sketch has the same strength.
  const strength = strengthFor(0.1, views, subject.white, (2 * subject.radius) / full.size);
  const kept = keptFor(state, subject, effort.size);
  kept.pictures ??= yield* threePictures(scan, strength, effort);
  const error = (picture: Image) => rmse(picture, scan.truth, scan.mask);
  const { fbp, sirt, tv } = kept.pictures;
  return { ...shownOf(state, kept.pictures, scan.truth), scores: { fbp: error(fbp), sirt: error(sirt), tv: error(tv) }, white: subject.white, strength };
}

function* discSteps(state: PriorsState, measured: Measured, effort: Effort): Steps<PriorsResult> {
  const { grid, mask, picture: whole, solid, contrast } = reference(measured, effort.size);
  const views = Math.min(state.views, effort.views);
  const few = fewOf(measured, views);
  // For the sketch, cells as large as its pixels.
  const { geometry, sinogram } = thinned(few.sinogram, few.geometry, 1, effort.size === full.size ? 1 : 4);
  const strength = strengthFor(0.1, views, contrast, reference(measured, full.size).grid.pixelSize);
  const kept = keptFor(state, {} as Specimen, effort.size);
  kept.pictures ??= yield* threePictures({ grid, mask, beam: geometry, sinogram }, strength, effort);
  const agreement = (picture: Image) => {
    const threshold = otsuThreshold(picture);
    return matthews(picture.data.map((value) => Number(value > threshold)), solid);
  };
  const { fbp, sirt, tv } = kept.pictures;
  return { ...shownOf(state, kept.pictures, whole), scores: { fbp: agreement(fbp), sirt: agreement(sirt), tv: agreement(tv) }, white: 1.2 * contrast, strength, credit: measured.credit };
}

/** Copies, since what is kept stays here: the pictures, or what they have too much. */
function shownOf({ beside }: PriorsState, kept: { fbp: Image; sirt: Image; tv: Image }, truth: Image): { pictures: NonNullable<PriorsResult['pictures']> } {
  const shown = (image: Image): Image => ({ ...image, data: beside === 'pictures' ? image.data.slice() : image.data.map((value, i) => value - truth.data[i]) });
  return { pictures: { fbp: shown(kept.fbp), sirt: shown(kept.sirt), tv: shown(kept.tv), truth: { ...truth, data: truth.data.slice() } } };
}
