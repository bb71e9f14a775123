import { compileWindow, detectorPosition, discMask, fbp, filterKernel, filterResponse, filterViews, parallelBeam, pixelPosition, psnr, rmse, ssim, statistics } from '../../lib/index.ts';
import type { Filter, Image, ParallelBeam, Sinogram, WindowName } from '../../lib/index.ts';
import { definePlate, pixelsControl, type Numbers, type Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';

export type WindowState = { readonly window: WindowName | 'own'; readonly formula: string; readonly cutoff: number; readonly noise: number; readonly views: number; readonly view: number; readonly row: number; readonly pixels: 128 | 256 };

export interface WindowResult {
  readonly object: Image;
  readonly picture: Image;
  /** The unfiltered sum has another unit; it is then shown times this, so that its mean is the object's. 1 otherwise. */
  readonly scale: number;
  readonly white: number;
  /** The filter at each detector cell apart, n from −12 to 12, over the ramp's own middle value. */
  readonly kernel: { readonly n: Float64Array; readonly value: Float64Array };
  /** What it does to each frequency up to Nyquist, cycles/mm; and the bare ramp. */
  readonly response: { readonly frequency: Float64Array; readonly gain: Float64Array; readonly ramp: Float64Array };
  readonly shadow: { readonly position: Float64Array; readonly before: Float64Array; readonly after: Float64Array };
  readonly profile: { readonly x: Float64Array; readonly object: Float64Array; readonly picture: Float64Array };
  readonly measures: { readonly rmse: number; readonly psnr: number; readonly ssim: number };
  readonly radius: number;
}

const windows = [
  { value: 'none', label: 'unfiltered' }, { value: 'ramp', label: 'ramp alone' }, { value: 'shepp-logan', label: 'Shepp–Logan' },
  { value: 'cosine', label: 'cosine' }, { value: 'hann', label: 'Hann' }, { value: 'own', label: 'your own formula' },
] as const;

export const windowPlate = definePlate<WindowState, WindowResult>({
  id: 'window',
  title: 'Choosing a window',
  initial: { window: 'ramp', formula: 'cos(pi*f/(2*fc))^2', cutoff: 1, noise: 0, views: 90, view: 0, row: 0, pixels: 128 },
  controls: {
    window: {
      kind: 'choice', label: 'Window', as: 'list',
      options: windows,
    },
    formula: { kind: 'text', label: 'Gain on the ramp, w(f)', visible: (state) => state.window === 'own', help: 'In f and fc, the cut-off, both in cycles/mm: for example exp(-(f/fc)^2) or 1 - f/fc.' },
    cutoff: { kind: 'range', label: 'Cut-off', min: 0.1, max: 1, step: 0.01, unit: 'of Nyquist', visible: (state) => state.window !== 'none' },
    noise: { kind: 'range', label: 'Noise, of the greatest line integral', min: 0, max: 10, step: 0.1, unit: '%' },
    views: { kind: 'range', label: 'Views over 180°', min: 10, max: 180, step: 1 },
    view: { kind: 'range', label: 'View drawn below', min: 0, max: (state) => state.views - 1, step: 1 },
    row: { kind: 'range', label: 'Profile, above the middle', min: -95, max: 95, step: 1, unit: '% of the radius' },
    pixels: pixelsControl,
  },
  specimens: ['head', 'capsule', 'bead', 'own'],
  compute: async (state, subject) => {
    const { object, beam, clean } = remember('window', `${subject.key} ${state.views} ${state.pixels}`, () => prepare(subject, state.views, state.pixels), 4);
    const shadows = state.noise ? remember('window-noise', `${subject.key} ${state.views} ${state.noise} ${state.pixels}`, () => noisy(clean, state.noise / 100), 4) : clean;
    const filter: Filter = { window: state.window === 'own' ? await compileWindow(state.formula) : state.window, cutoff: state.cutoff };
    return draw(state, subject, object, beam, shadows, filter);
  },
  describe: (state, { measures, scale }) => {
    const name = windows.find((option) => option.value === state.window)!.label;
    const how = state.window === 'none' ? 'Unfiltered, scaled to the mean of the object' : `Window: ${name}, cut-off at ${state.cutoff} of the Nyquist frequency`;
    return `${how}; ${state.views} views, noise ${state.noise} %. Inside the field the picture is off by ${(1000 * measures.rmse).toFixed(2)}\u00a0·\u00a010⁻³/mm (rms); ` +
      `PSNR ${measures.psnr.toFixed(1)} dB, SSIM ${measures.ssim.toFixed(3)}.${scale === 1 ? '' : ' Its haze is no fault of contrast: no scaling takes it away.'}`;
  },
  listings: [
    { file: 'filter/filter.ts', region: 'windows', title: 'The windows' },
    { file: 'filter/ramp-kernel.ts', region: 'ramp-kernel', title: 'The ramp as a list of numbers' },
    { file: 'filter/filter-views.ts', region: 'filter-view', title: 'Filtering one view' },
  ],
  exports(_, { picture, kernel, response, shadow, profile }) {
    const numbers: Numbers[] = [
      { name: 'reconstruction', label: 'The reconstruction', shape: [picture.height, picture.width], data: picture.data },
      { name: 'kernel', label: 'Kernel', columns: { n: kernel.n, 'kernel over h(0)': kernel.value } },
      { name: 'response', label: 'Response', columns: { 'f (cycles/mm)': response.frequency, 'gain (1/mm)': response.gain } },
      { name: 'view', label: 'The view', columns: { 's (mm)': shadow.position, before: shadow.before, 'after (1/mm)': shadow.after } },
      { name: 'profile', label: 'Profile', columns: { 'x (mm)': profile.x, 'object (1/mm)': profile.object, 'picture (1/mm)': profile.picture } },
    ];
    return { pictures: [{ name: 'reconstruction', label: 'The reconstruction', image: picture }], numbers };
  },
});

function prepare(subject: Specimen, views: number, size: number): { object: Image; beam: ParallelBeam; clean: Sinogram } {
  const grid = gridFor(subject, size);
  const beam = parallelBeam({ views, detectors: size, pitch: grid.pixelSize });
  return { object: remember('window-object', `${subject.key} ${size}`, () => pictureOf(subject, grid), 2), beam, clean: shadowsOf(subject, beam) };
}

/** The picture and how near it is to the object: all that a moved profile or another view to draw does not change. */
function reconstruct(state: WindowState, subject: Specimen, object: Image, beam: ParallelBeam, shadows: Sinogram, filter: Filter): Pick<WindowResult, 'picture' | 'scale' | 'measures'> {
  const mask = discMask(object, 0, 0, subject.radius * 0.98);
  const raw = fbp(shadows, beam, { ...filter, grid: object });
  const scale = state.window === 'none' ? statistics(object, mask).mean / statistics(raw, mask).mean : 1;
  const picture = scale === 1 ? raw : { ...raw, data: raw.data.map((value) => value * scale) };
  const range = subject.white;
  return { picture, scale, measures: { rmse: rmse(object, picture, mask), psnr: psnr(object, picture, range), ssim: ssim(object, picture, range) } };
}

function draw(state: WindowState, subject: Specimen, object: Image, beam: ParallelBeam, shadows: Sinogram, filter: Filter): WindowResult {
  const { window, formula, cutoff, noise, views, pixels: size } = state;
  const made = remember('window-picture', [subject.key, window, formula, cutoff, noise, views, size].join(' '), () => reconstruct(state, subject, object, beam, shadows, filter), 2);
  const length = 2 * size;
  const kernel = filterKernel(filter, length, beam.pitch);
  const response = filterResponse(filter, length, beam.pitch);
  const half = size + 1;
  const one = { views: 1, detectors: size, data: shadows.data.slice(state.view * size, (state.view + 1) * size) };
  const row = Math.min(size - 1, Math.max(0, Math.round((size - 1) / 2 - (state.row / 200) * size)));
  const along = (image: Image) => Float64Array.from(image.data.subarray(row * size, (row + 1) * size));
  return {
    object, ...made, white: subject.white, radius: subject.radius,
    kernel: { n: Float64Array.from({ length: 25 }, (_, k) => k - 12), value: Float64Array.from({ length: 25 }, (_, k) => kernel[(k - 12 + length) % length] * 4 * beam.pitch ** 2) },
    response: {
      frequency: Float64Array.from({ length: half }, (_, k) => k / (length * beam.pitch)),
      gain: response.slice(0, half),
      ramp: Float64Array.from({ length: half }, (_, k) => k / (length * beam.pitch)),
    },
    shadow: { position: Float64Array.from({ length: size }, (_, j) => detectorPosition(beam, j)), before: Float64Array.from(one.data), after: Float64Array.from(filterViews(one, beam.pitch, filter).data) },
    profile: { x: Float64Array.from({ length: size }, (_, column) => pixelPosition(object, column, row)[0]), object: along(object), picture: along(made.picture) },
  };
}

/** The shadows with the same normal noise on every cell, `share` of the greatest line integral; the same numbers every time. */
export function noisy(shadows: Sinogram, share: number): Sinogram {
  const deviation = share * shadows.data.reduce((most, value) => Math.max(most, value), 0);
  let seed = 20_001;
  const uniform = () => {
    // Lehmer's generator (Park & Miller, Comm. ACM 31 (1988) 1192) with their later multiplier (from memory): the same on every machine.
    seed = (seed * 48_271) % 2_147_483_647;
    return seed / 2_147_483_647;
  };
  const normal = () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
  return { ...shadows, data: shadows.data.map((value) => value + deviation * normal()) };
}
