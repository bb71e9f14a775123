/** Every number of chapter 5, worked out with the library when the book is built. */
import {
  backproject, disc, discMask, fbp, filterKernel, fullWidthHalfMaximum, gaussian, parallelBeam, profile, projectPhantom, rampKernel, rasterize,
  statistics, viewWeights,
} from '../../lib/index.ts';
import type { WindowName } from '../../lib/index.ts';

const sum = (list: ArrayLike<number>) => Array.from(list).reduce((total, value) => total + value, 0);
const energy = (list: ArrayLike<number>) => Array.from(list).reduce((total, value) => total + value * value, 0);

// The plain disc of this chapter and its detector.
const attenuation = 0.02;
const radius = 15;
const pitch = 0.2;
const content = attenuation * Math.PI * radius ** 2;
const plateau = attenuation / Math.PI;
const tail = (times: number) => plateau * (1 - times / Math.sqrt(times ** 2 - 1)); // at `times` radii from the middle, beyond 1

const kernel = rampKernel(4096, 1);
const h = (n: number) => kernel[(n + kernel.length) % kernel.length];

// The slice theorem, tried on two discs: one frequency of the exact shadow against the same wave summed over a picture.
const theorem = { angle: Math.PI / 6, frequency: 0.1, pixel: 0.125 };
const twoDiscs = [disc(-4, 2, 6, 0.02), disc(5, -3, 3, 0.05)];
function strengthInView(): number {
  const spacing = 0.1;
  const view = projectPhantom(twoDiscs, parallelBeam({ angles: [theorem.angle], detectors: 400, pitch: spacing })).data;
  return strength(view, (j) => (j - 199.5) * spacing) * spacing;
}
function strengthInPicture(): number {
  const size = 200;
  const { data } = rasterize(twoDiscs, { width: size, height: size, pixelSize: theorem.pixel });
  const x = (index: number) => ((index % size) - (size - 1) / 2) * theorem.pixel;
  const y = (index: number) => ((size - 1) / 2 - Math.floor(index / size)) * theorem.pixel;
  return strength(data, (index) => x(index) * Math.cos(theorem.angle) + y(index) * Math.sin(theorem.angle)) * theorem.pixel ** 2;
}
/** |Σ value · e^(−2πi f s)| for values at positions s. */
function strength(data: Float32Array, s: (index: number) => number): number {
  let real = 0;
  let imaginary = 0;
  data.forEach((value, index) => {
    real += value * Math.cos(2 * Math.PI * theorem.frequency * s(index));
    imaginary -= value * Math.sin(2 * Math.PI * theorem.frequency * s(index));
  });
  return Math.hypot(real, imaginary);
}

// What |f| itself does, sampled on a ring of cells with nothing at f = 0: a disc of 1 with a radius of 40 cells, from 180 views.
const naiveLength = 512;
const naiveShort = 256;
function sampledRamp(length: number): Float64Array {
  const frequency = (k: number) => Math.min(k, length - k) / length;
  return Float64Array.from({ length }, (_, n) => sum(Array.from({ length }, (_, k) => frequency(k) * Math.cos((2 * Math.PI * k * n) / length))) / length);
}
function discWith(ring: Float64Array): number {
  const geometry = parallelBeam({ views: 180, detectors: 128, pitch: 1 });
  const { data } = projectPhantom([disc(0, 0, 40, 1)], geometry);
  const filtered = Float32Array.from({ length: 128 }, (_, j) => sum(data.subarray(0, 128).map((value, k) => value * ring[(j - k + ring.length) % ring.length])));
  for (let view = 0; view < 180; view++) data.set(filtered, view * 128); // a centred disc looks alike from every side
  const picture = backproject({ views: 180, detectors: 128, data }, geometry, { width: 128, height: 128, pixelSize: 1 }, { weights: viewWeights(geometry) });
  return statistics(picture, discMask(picture, 0, 0, 20)).mean;
}

// A disc of 3.5 mm on cells of 1 mm, by hand.
const handRadius = 3.5;
const chord = (s: number) => 2 * attenuation * Math.sqrt(Math.max(0, handRadius ** 2 - s ** 2));
const handFiltered = (j: number) => sum([-3, -2, -1, 0, 1, 2, 3].map((k) => h(j - k) * chord(k)));

/** σ of a pixel that lies on the samples of every view: π·σ·√(Σh²/N)/τ. */
export const pixelNoise = (sigma: number, views: number, spacing: number, window: WindowName = 'ramp') => (Math.PI * sigma * Math.sqrt(energy(filterKernel({ window }, 4096, 1)) / views)) / spacing;

// What the windows do: by formula, in a picture of noise alone, and to a spot much finer than a cell. Lengths in cells.
const gain = (window: WindowName) => Math.sqrt(energy(filterKernel({ window }, 4096, 1)) / energy(kernel));
function noiseInPicture(window: WindowName): number {
  const geometry = parallelBeam({ views: 180, detectors: 128, pitch: 1 });
  const data = Float32Array.from({ length: 180 * 128 }, normal(1974));
  const picture = fbp({ views: 180, detectors: 128, data }, geometry, { window, grid: { width: 90, height: 90, pixelSize: 1 } });
  return statistics(picture, discMask(picture, 0, 0, 40)).deviation / pixelNoise(1, 180, 1);
}
function spotWidth(window: WindowName): number {
  const geometry = parallelBeam({ views: 90, detectors: 65, pitch: 1 });
  const spot = projectPhantom([gaussian(0, 0, 0.05, 1)], geometry, { cell: 'average' });
  const across = profile(fbp(spot, geometry, { window, grid: { width: 97, height: 97, pixelSize: 1 / 16 } }), [-3, 0], [3, 0], 97);
  return fullWidthHalfMaximum(across.distance, across.value);
}
/** Normal deviates from a seed: Park and Miller's generator, Box and Muller's transform. */
function normal(seed: number): () => number {
  let state = seed;
  const uniform = () => (state = (state * 48271) % 2147483647) / 2147483647;
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
}

const noise = { sigma: 0.01, views: 180 };

export const values = {
  attenuation: { value: attenuation, unit: '1/mm' },
  radius: { value: radius, unit: 'mm' },
  pitch: { value: pitch, unit: 'mm' },
  content: { value: content, unit: 'mm' },
  theoremFrequency: { value: theorem.frequency, unit: 'cycles/mm' },
  theoremPixel: { value: theorem.pixel, unit: 'mm' },
  theoremView: { value: strengthInView(), unit: 'mm' },
  theoremPicture: { value: strengthInPicture(), unit: 'mm' },
  kernel0: { value: h(0), unit: '1/mm²' },
  kernel1: { value: h(1), unit: '1/mm²' },
  kernel3: { value: h(3), unit: '1/mm²' },
  kernel5: { value: h(5), unit: '1/mm²' },
  kernelSum64: { value: sum(rampKernel(64, 1)), unit: '' },
  naiveLength: { value: naiveLength, unit: '' },
  naiveShort: { value: naiveShort, unit: '' },
  naiveSampledShort: { value: discWith(sampledRamp(naiveShort)), unit: '' },
  naiveKernel: { value: discWith(rampKernel(naiveLength, 1)), unit: '' },
  naiveSampled: { value: discWith(sampledRamp(naiveLength)), unit: '' },
  plateau: { value: plateau, unit: '1/mm' },
  tail: { value: tail(1.5), unit: '1/mm' },
  handRadius: { value: handRadius, unit: 'mm' },
  hand0: { value: chord(0), unit: '' },
  hand1: { value: chord(1), unit: '' },
  hand2: { value: chord(2), unit: '' },
  hand3: { value: chord(3), unit: '' },
  handOwn: { value: h(0) * chord(0), unit: '' },
  handFirst: { value: -2 * h(1) * chord(1), unit: '' },
  handThird: { value: -2 * h(3) * chord(3), unit: '' },
  handMiddle: { value: handFiltered(0), unit: '1/mm' },
  handOutside: { value: handFiltered(6), unit: '1/mm' },
  handReconstructed: { value: Math.PI * handFiltered(0), unit: '1/mm' },
  handError: { value: 100 * (1 - (Math.PI * handFiltered(0)) / attenuation), unit: '%' },
  handUnfiltered: { value: Math.PI * chord(0), unit: '' },
  rampGain: { value: gain('ramp'), unit: '' },
  sheppLoganGain: { value: gain('shepp-logan'), unit: '' },
  cosineGain: { value: gain('cosine'), unit: '' },
  hannGain: { value: gain('hann'), unit: '' },
  rampNoise: { value: noiseInPicture('ramp'), unit: '' },
  sheppLoganNoise: { value: noiseInPicture('shepp-logan'), unit: '' },
  cosineNoise: { value: noiseInPicture('cosine'), unit: '' },
  hannNoise: { value: noiseInPicture('hann'), unit: '' },
  rampWidth: { value: spotWidth('ramp'), unit: '' },
  sheppLoganWidth: { value: spotWidth('shepp-logan'), unit: '' },
  cosineWidth: { value: spotWidth('cosine'), unit: '' },
  hannWidth: { value: spotWidth('hann'), unit: '' },
  hannWidening: { value: spotWidth('hann') / spotWidth('ramp'), unit: '' },
  noiseViews: { value: noise.views, unit: '' },
  noiseSigma: { value: noise.sigma, unit: '' },
  noiseRamp: { value: pixelNoise(noise.sigma, noise.views, pitch), unit: '1/mm' },
  noiseHann: { value: pixelNoise(noise.sigma, noise.views, pitch, 'hann'), unit: '1/mm' },
  noiseShare: { value: (100 * pixelNoise(noise.sigma, noise.views, pitch)) / attenuation, unit: '%' },
  hannDose: { value: 100 * gain('hann') ** 2, unit: '%' },
} satisfies Record<string, { value: number; unit: string }>;
