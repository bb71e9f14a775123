import { histogram, rmse, type Image } from '../../lib/index.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { develop, type StepsTaken } from './chain.ts';
import { exact, rig, take } from './rig.ts';

/** What is done to the photograph, and what was wrong with it; stops, veil and quanta as in rig.ts. */
export type LightState = {
  curve: boolean; dark: boolean; spots: boolean; glare: boolean; flat: boolean; exposure: boolean; logarithm: boolean;
  beside: 'exact' | 'photograph' | 'difference'; row: number; stops: number; veil: number; quanta: number;
};

export interface LightResult {
  readonly picture: Image;
  readonly beside: Image;
  /** Root mean square distance from the exact line integral over the whole frame. */
  readonly error: number;
  /** The same over the pixels whose ray misses the object. */
  readonly errorOpen: number;
  /** Sum of the picture over that of the exact line integrals: where these are 0.1 to 0.5, and where they are above 1.2. */
  readonly thin: number;
  readonly thick: number;
  /** The exposure that the border gave. */
  readonly level: number;
  readonly mended: number;
  /** mm along the screen, the picture and the exact line integral there. */
  readonly profile: { readonly x: Float64Array; readonly picture: Float64Array; readonly exact: Float64Array };
  /** Middle of each bin; the logarithm, to the base of ten, of one more than the pixels in it. */
  readonly values: { readonly p: Float64Array; readonly picture: Float64Array; readonly exact: Float64Array };
}

const { width, height } = rig;
const frame = { width, height, pixelSize: rig.pitch };
export const shown = [-0.3, 2.4] as const;
const bins = 54;
/** So that 0, where most pixels are, is the middle of a bin. */
const counted = [-0.325, 2.375] as const;

/** A step of the chain: its setting, what it is called, and what leaving it out means. */
const steps: Readonly<Record<keyof StepsTaken, readonly [label: string, without: string]>> = {
  curve: ['Undo the camera’s curve', 'the camera’s curve is not undone'],
  dark: ['Subtract the dark frame', 'the dark is not subtracted'],
  spots: ['Mend hot pixels and direct hits', 'spots are left in'],
  glare: ['Take off the glare', 'the glare is left in'],
  flat: ['Divide by the flat', 'nothing is divided by the flat'],
  exposure: ['Exposure from the border', 'the exposure is taken to be the flat’s'],
  logarithm: ['Take the logarithm', 'no logarithm is taken: the picture is the share of the light that is missing'],
};
const order = Object.keys(steps) as (keyof StepsTaken)[];
const toggle = (step: keyof StepsTaken) => ({ kind: 'toggle', label: steps[step][0] }) as const;

export const light = definePlate<LightState, LightResult>({
  id: 'light',
  title: 'One photograph, step by step',
  initial: { curve: true, dark: true, spots: true, glare: true, flat: true, exposure: true, logarithm: true, beside: 'photograph', row: 68, stops: -0.3, veil: 4, quanta: 10_000 },
  controls: {
    curve: toggle('curve'),
    dark: toggle('dark'),
    spots: toggle('spots'),
    glare: toggle('glare'),
    flat: toggle('flat'),
    exposure: toggle('exposure'),
    logarithm: toggle('logarithm'),
    beside: { kind: 'choice', label: 'Beside it', options: [{ value: 'photograph', label: 'the photograph' }, { value: 'exact', label: 'the exact line integrals' }, { value: 'difference', label: 'the difference from them' }] },
    row: { kind: 'range', label: 'Row of the profile, from the top', min: 0, max: height - 1, step: 1, play: 10 },
    stops: { kind: 'range', label: 'Exposure of this photograph, against the flat', min: -1, max: 0.3, step: 0.05, unit: 'stops' },
    veil: { kind: 'choice', label: 'Light scattered by the lens', options: [0, 2, 4, 8].map((value) => ({ value, label: value ? `${value} %` : 'none' })) },
    quanta: { kind: 'choice', label: 'X-ray quanta in a pixel of the flat', options: [{ value: 1000, label: '1000' }, { value: 10_000, label: '10 000' }, { value: 100_000, label: '100 000' }] },
  },

  compute(state) {
    const truth = exact().view;
    const { stops, veil, quanta } = state;
    const shot = { stops, veil, quanta };
    const stored = remember('light-stored', `${stops} ${veil} ${quanta}`, () => take(shot), 4);
    const taken = remember('light-developed', `${stops} ${veil} ${quanta} ${order.map((step) => Number(state[step])).join('')}`, () => {
      const developed = develop(stored, state, shot);
      return { ...developed, ...measure(developed.data, truth) };
    }, 4);
    const picture = { ...frame, data: taken.data.slice() };
    const beside = state.beside === 'exact' ? truth.slice() : state.beside === 'photograph' ? stored.photograph.data.slice() : picture.data.map((value, i) => value - truth[i]);
    const along = (data: Float32Array) => Float64Array.from(data.subarray(state.row * width, (state.row + 1) * width));
    const { error, errorOpen, thin, thick, level, mended, values } = taken;
    return {
      picture, beside: { ...frame, data: beside }, error, errorOpen, thin, thick, level, mended,
      profile: { x: Float64Array.from({ length: width }, (_, j) => (j - (width - 1) / 2) * rig.pitch), picture: along(picture.data), exact: along(truth) },
      values: { p: values.p.slice(), picture: values.picture.slice(), exact: values.exact.slice() },
    };
  },

  describe(state, { error, errorOpen, thin, thick, level }) {
    const left = order.filter((step) => !state[step]).map((step) => steps[step][1]);
    const done = left.length === 0 ? 'All steps are taken.' : `${left.join('; ').replace(/^./, (letter) => letter.toUpperCase())}.`;
    const ends = Math.abs(thin - 1) < 0.015 && Math.abs(thick - 1) < 0.015
      ? 'Thin and thick parts both come out right, within 1.5 %.'
      : `Thin parts come out at ${times(thin)} their line integral, thick parts at ${times(thick)}.`;
    const border = state.exposure ? ` The border says that this photograph got ${level.toFixed(2)} of the flat’s ${state.curve ? 'light' : 'stored value, which is not its light'}.` : '';
    return `${done} Against the exact line integrals the picture is off by ${error.toFixed(3)} (rms), by ${errorOpen.toFixed(3)} where nothing is in the way. ${ends}${border}`;
  },

  listings: [
    { file: 'photos/linearise.ts', function: 'srgbToLight', title: 'The camera’s curve, undone' },
    { file: 'photos/divide-flat.ts', function: 'divideByFlat', title: 'Over the flat' },
    { file: 'photos/exposure.ts', function: 'evenExposure', title: 'The exposure, from the border' },
    { file: 'photos/glare.ts', function: 'removeGlare', title: 'The glare, taken off' },
    { file: 'photos/take-logarithm.ts', function: 'takeLogarithm', title: 'The logarithm and its floor' },
  ],
  exports(_, { picture, beside, profile, values }) {
    const numbers: Numbers[] = [
      { name: 'picture', label: 'The picture, no unit', shape: [height, width], data: picture.data },
      { name: 'profile', label: 'The profile', columns: { 'on the screen (mm)': profile.x, picture: profile.picture, exact: profile.exact } },
      { name: 'values', label: 'How often each value comes', columns: { 'line integral': values.p, 'log10(1 + pixels), picture': values.picture, 'log10(1 + pixels), exact': values.exact } },
    ];
    return { pictures: [{ name: 'picture', label: 'The picture', image: picture, window: shown }, { name: 'beside', label: 'What stands beside it', image: beside }], numbers };
  },
});

const times = (factor: number) => `${factor.toFixed(2)} times`;

function measure(data: Float32Array, truth: Float32Array) {
  const share = (from: number, to: number) => {
    let [is, should] = [0, 0];
    for (let i = 0; i < truth.length; i++) {
      if (!(truth[i] > from && truth[i] < to)) continue;
      is += data[i];
      should += truth[i];
    }
    return is / should;
  };
  const often = (values: Float32Array) => histogram({ data: values }, bins, counted).counts.map((count) => Math.log10(1 + count));
  const { open, p, exactly } = remember('light-truth', '', () => {
    const { edges } = histogram({ data: truth }, bins, counted);
    return { open: Uint8Array.from(truth, (p) => (p === 0 ? 1 : 0)), p: Float64Array.from({ length: bins }, (_, k) => (edges[k] + edges[k + 1]) / 2), exactly: often(truth) };
  });
  const [picture, whole] = [{ width, height, data }, { width, height, data: truth }];
  return {
    error: rmse(picture, whole), errorOpen: rmse(picture, whole, open), thin: share(0.1, 0.5), thick: share(1.2, Infinity),
    values: { p, picture: often(data), exact: exactly },
  };
}
