import { linearFit } from '../measure/linear-fit.ts';
import type { Pixels } from '../measure/pixels.ts';
import { psnr, rmse } from '../measure/rmse.ts';
import { ssim, type SsimSettings } from '../measure/ssim.ts';
import type { Check, LoadFixture } from './check.ts';
import { float32OfBase64 } from './fixture.ts';

/** Measures between two pictures: check values N1 to N9. */

const scikitImage = 'scikit-image 0.19.3';
const own = 'NumPy 1.24.2, from the definition';

interface Pair {
  readonly a: Pixels;
  readonly b: Pixels;
  readonly range: number;
}
type PairName = 'A' | 'B' | 'C' | 'D';

/** A: the 64² head against itself with a ripple. B: against itself blurred. C, D: whole numbers by formula, 16². */
async function pair(load: LoadFixture, name: PairName): Promise<Pair> {
  if (name === 'C') return byFormula((i, j) => (7 * i + 13 * j) % 64, (i, j) => (7 * i + 13 * j + ((i * j) % 5)) % 64, 63);
  if (name === 'D') return byFormula((i) => 16 * i, (i) => 16 * i + 8, 255);
  const { shape, data_range, image1_base64_f32, image2_base64_f32 } = ((await load('metrics_skimage')) as Record<PairName, StoredPair>)[name];
  const [height, width] = shape;
  return { a: { width, height, data: float32OfBase64(image1_base64_f32) }, b: { width, height, data: float32OfBase64(image2_base64_f32) }, range: data_range };
}
interface StoredPair {
  readonly shape: readonly [number, number];
  readonly data_range: number;
  readonly image1_base64_f32: string;
  readonly image2_base64_f32: string;
}
function byFormula(first: (i: number, j: number) => number, second: (i: number, j: number) => number, range: number): Pair {
  const picture = (of: (i: number, j: number) => number): Pixels =>
    ({ width: 16, height: 16, data: Array.from({ length: 256 }, (_, k) => of(Math.floor(k / 16), k % 16)) });
  return { a: picture(first), b: picture(second), range };
}

/** A and B are read from copies rounded to 32 bits; C and D are exact, and expected to more digits. */
function rows(id: string, what: string, source: string, expected: Record<PairName, number>, ours: (pair: Pair) => number, unit?: string): Check[] {
  return (['A', 'B', 'C', 'D'] as const).map((name) => ({
    id: `${id}.${name}`, what: `${what}, pair ${name}`, expected: expected[name], tolerance: name === 'A' || name === 'B' ? 1e-6 : 1e-9,
    kind: 'absolute', unit, source, ours: async (load) => ours(await pair(load, name)),
  }));
}

const similarity = (kind: SsimSettings['kind']) => ({ a, b, range }: Pair) => ssim(a, b, range, { kind });
const flat = (value: number): Pixels => ({ width: 12, height: 12, data: new Float64Array(144).fill(value) });

export const metricChecks: readonly Check[] = [
  ...rows('N1', 'mean squared error', scikitImage, { A: 6.25148433e-4, B: 8.13488372e-3, C: 133.21875, D: 64 }, ({ a, b }) => rmse(a, b) ** 2),
  ...rows('N2', 'root mean squared error', own, { A: 0.02500297, B: 0.09019359, C: 11.542042713489, D: 8 }, ({ a, b }) => rmse(a, b)),
  ...rows('N3', 'peak signal to noise ratio', scikitImage, { A: 32.0401685, B: 20.8964865, C: 14.741157445799, D: 30.069003868840 }, ({ a, b, range }) => psnr(a, b, range), 'dB'),
  ...rows('N4', 'structural similarity, 7 × 7 even window, covariance over N − 1, border of 3 left out', scikitImage, { A: 0.82916755, B: 0.81405603, C: 0.818554963030, D: 0.996496352253 }, similarity('uniform7')),
  ...rows('N5', 'structural similarity, 11 × 11 Gaussian window of 1.5, covariance over N, border of 5 left out', `${scikitImage} and ${own}`, { A: 0.82970537, B: 0.79876854, C: 0.839341507183, D: 0.997570923710 }, similarity('wang2004')),
  ...rows('N6', 'structural similarity, 7 × 7 even window, covariance over N', scikitImage, { A: 0.83062176, B: 0.81444542, C: 0.818574345785, D: 0.996496352253 }, similarity('uniform7-population')),
  ...rows('N7', 'structural similarity, one window as large as the picture', own, { A: 0.99140399, B: 0.86100589, C: 0.804566875521, D: 0.997921436976 }, similarity('one-window')),
  { id: 'N8.1', what: 'structural similarity of a picture with itself', expected: 1, tolerance: 1e-12, kind: 'absolute', source: 'Wang et al. (2004), from the definition',
    ours: async (load) => { const { a, range } = await pair(load, 'B'); return ssim(a, a, range); } },
  { id: 'N8.2', what: 'peak signal to noise ratio of a picture with itself is infinite (1: it is)', expected: 1, tolerance: 0, kind: 'absolute', source: 'from the definition',
    ours: async (load) => { const { a, range } = await pair(load, 'B'); return Number(psnr(a, a, range) === Infinity); } },
  { id: 'N8.3', what: 'slope of a straight line through the pixels of D against themselves plus 8', expected: 1, tolerance: 1e-12, kind: 'absolute', source: 'by hand',
    ours: async (load) => { const { a, b } = await pair(load, 'D'); return linearFit(a, b).slope; } },
  { id: 'N9.1', what: 'peak signal to noise ratio for an error of 0.05 everywhere, range 1', expected: 26.0205999, tolerance: 1e-6, kind: 'absolute', unit: 'dB', source: '20·log₁₀ 20, by hand', ours: () => psnr(flat(0), flat(0.05), 1) },
  { id: 'N9.2', what: 'peak signal to noise ratio for a mean squared error of 100, range 255', expected: 28.1308036, tolerance: 1e-6, kind: 'absolute', unit: 'dB', source: '20·log₁₀ 25.5, by hand', ours: () => psnr(flat(0), flat(10), 255) },
];
