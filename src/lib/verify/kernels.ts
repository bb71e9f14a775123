import { filterKernel } from '../filter/filter-kernel.ts';
import { filterResponse } from '../filter/filter-response.ts';
import { filterViews } from '../filter/filter-views.ts';
import type { Filter, WindowName } from '../filter/filter.ts';
import { rampKernel } from '../filter/ramp-kernel.ts';
import { parallelBeam } from '../geometry/beams.ts';
import { discMask } from '../measure/disc-mask.ts';
import { statistics } from '../measure/statistics.ts';
import { projectPhantom } from '../phantom/project-phantom.ts';
import { disc } from '../phantom/shapes.ts';
import { fbp } from '../reconstruct/fbp.ts';
import type { Check } from './check.ts';

/** Reconstruction filters for a pitch of 1, unless said otherwise: check values D1 to D14. */

const kakSlaney = 'Kak & Slaney (1988), ch. 3, eq. (61)';
const integral = (what: string) => `quadrature of ∫|f|·${what}·e^(2πifn) df over |f| ≤ ½`;
/** Long enough for the windowed kernels to lie within 1e-9 of the pure ones; see filterResponse. */
const long = 65536;

const sum = (list: ArrayLike<number>, of: (value: number) => number = (value) => value) =>
  Array.from(list).reduce((total, value) => total + of(value), 0);

/** The kernels of the named windows, worked out once. */
const kernels = new Map<WindowName, Float64Array>();
function kernel(window: WindowName): Float64Array {
  const known = kernels.get(window) ?? filterKernel({ window }, long, 1);
  kernels.set(window, known);
  return known;
}

const kernelValues = (id: string, name: string, window: WindowName, source: string, expected: readonly number[]): Check[] =>
  expected.map((value, n) => ({
    id: `${id}.${n}`, what: `${name} kernel at n = ${n}`, expected: value, tolerance: 1e-9, kind: 'absolute', source,
    ours: () => kernel(window)[n],
  }));

/** ∫H² df, which is also the sum of the squared kernel, and with it the noise that white noise leaves. */
const energy = (window: WindowName) => sum(kernel(window), (value) => value * value);
const energyRow = (id: string, name: string, window: WindowName, expected: number): Check => ({
  id, what: `∫H² df of the ${name} filter`, expected, tolerance: 1e-8, kind: 'absolute', source: 'quadrature', ours: () => energy(window),
});
const noiseRow = (id: string, name: string, window: WindowName, expected: number): Check => ({
  id, what: `noise after the ${name} filter, as a share of that after the ramp`, expected, tolerance: 1e-5, kind: 'absolute',
  source: 'square root of the ratio of the integrals ∫H² df, by quadrature', ours: () => Math.sqrt(energy(window) / energy('ramp')),
});

/** The views of a disc of radius 1 and value 1, filtered, at t; pitch 0.002. */
function filteredDisc(t: number): number {
  const pitch = 0.002, detectors = 4001;
  const view = projectPhantom([disc(0, 0, 1, 1)], parallelBeam({ angles: [0], detectors, pitch }));
  return filterViews(view, pitch, { window: 'ramp' }).data[Math.round(t / pitch) + (detectors - 1) / 2];
}

/** Mean within 20 pixels of the middle of a reconstructed disc of 40 pixels, value 1, on 128² from 180 views. */
function discMean(window: Filter['window']): number {
  const geometry = parallelBeam({ views: 180, detectors: 185, pitch: 1 }); // as many as Octave takes for 128²
  const grid = { width: 128, height: 128, pixelSize: 1 };
  return statistics(fbp(projectPhantom([disc(0, 0, 40, 1)], geometry), geometry, { window, grid }), discMask(grid, 0, 0, 20)).mean;
}
/** The window that turns the kernel's response back into |f| sampled at the frequencies of a transform of 512, which is what 185 cells are padded to. */
function sampledRamp(): Filter['window'] {
  const response = filterResponse({ window: 'ramp' }, 512, 1);
  return (f) => f / response[Math.round(512 * f)];
}

const check = (id: string, what: string, expected: number, tolerance: number, source: string, ours: () => number, kind: Check['kind'] = 'absolute'): Check =>
  ({ id, what, expected, tolerance, kind, source, ours });

export const kernelChecks: readonly Check[] = [
  ...[1 / 4, -0.101321184, 0, -0.011257909, 0, -0.004052847].map((value, n) =>
    check(`D1.${n}`, `ramp kernel at n = ${n}`, value, 1e-9, kakSlaney, () => rampKernel(64, 1)[n])),
  check('D1.n', 'ramp kernel at n = −5, five from the end of the list', -0.004052847, 1e-9, kakSlaney, () => rampKernel(64, 1)[64 - 5]),
  check('D2.0', 'ramp kernel at n = 0 for a pitch of 0.5', 1, 1e-9, kakSlaney, () => rampKernel(64, 0.5)[0], 'relative'),
  check('D2.1', 'ramp kernel at n = 1 for a pitch of 0.5', -0.40528473457, 1e-9, kakSlaney, () => rampKernel(64, 0.5)[1], 'relative'),
  check('D3', 'sum of the ramp kernel over |n| ≤ 200 (over all n it is 0)', 0.0005066, 1e-6, 'summed in Python', () => sum(rampKernel(401, 1))),
  check('D4', 'sum of the squares of the ramp kernel, 1/12', 1 / 12, 1e-9, 'Parseval: ∫f² df over |f| ≤ ½', () => sum(rampKernel(long, 1), (value) => value * value)),
  ...([[64, 0.003165258], [256, 0.000791556], [1024, 0.000197893]] as const).map(([length, expected], i) =>
    check(`D5.${i + 1}`, `the ramp's response at frequency 0, length ${length}: not 0`, expected, 1e-8, 'NumPy 1.24.2; half of what scikit-image 0.19.3 has, whose filter is doubled',
      () => filterResponse({ window: 'ramp' }, length, 1)[0])),
  check('D6', "the ramp's response at the Nyquist frequency, length 64", 0.496834742, 1e-8, 'NumPy 1.24.2; half of what scikit-image 0.19.3 has', () => filterResponse({ window: 'ramp' }, 64, 1)[32]),
  ...kernelValues('D7', 'Shepp–Logan', 'shepp-logan', `2/(π²(1 − 4n²)), Shepp & Logan (1974), cited from memory; ${integral('sinc f')}`,
    [0.202642367, -0.067547456, -0.013509491, -0.005789782, -0.003216546]),
  ...kernelValues('D8', 'Hann', 'hann', integral('(½ + ½ cos 2πf)'), [0.074339408, 0.011839408, -0.028144773, -0.005628955, -0.003827689, -0.002026424]),
  // D9 is the Hamming window's; typed as a formula it would be 0.54 + 0.46*cos(pi*f/fc).
  ...[0.088392256, 0.002786561, -0.025893191, -0.006079271, -0.003521474].map((value, n) =>
    check(`D9.${n}`, `kernel at n = ${n} of a window of one's own, 0.54 + 0.46 cos(πf/fc) (Hamming)`, value, 1e-9, integral('(0.54 + 0.46 cos 2πf)'),
      () => filterKernel({ window: (f, fc) => 0.54 + 0.46 * Math.cos((Math.PI * f) / fc) }, long, 1)[n])),
  ...kernelValues('D10', 'cosine', 'cosine', integral('cos πf'), [0.115667519, -0.006475798, -0.036531416, 0.002973942, -0.008371196]),
  energyRow('D11.1', 'ramp', 'ramp', 0.083333333),
  energyRow('D11.2', 'Shepp–Logan', 'shepp-logan', 0.050660592),
  energyRow('D11.3', 'cosine', 'cosine', 0.016336371),
  energyRow('D11.4', 'Hann', 'hann', 0.007502848),
  noiseRow('D12.1', 'Shepp–Logan', 'shepp-logan', 0.779697),
  noiseRow('D12.2', 'cosine', 'cosine', 0.44276),
  noiseRow('D12.3', 'Hann', 'hann', 0.300057),
  ...([[0, 0.31831], [0.5, 0.31831], [-0.5, 0.31831], [1.5, -0.108748], [2, -0.049243], [3, -0.019309]] as const).map(([t, expected], i) =>
    check(`D13.${i + 1}`, `ramp-filtered view of a disc of radius 1 and value 1, at t = ${t}`, expected, 1e-4, '1/π inside, (1 − |t|/√(t² − 1))/π outside', () => filteredDisc(t))),
  check('D14.1', 'middle of a reconstructed disc of 40 pixels and value 1 (128², 180 views), filtered with the kernel', 0.99994, 0.002, 'scikit-image 0.19.3', () => discMean('ramp')),
  check('D14.2', 'middle of a reconstructed disc of 40 pixels and value 1 (128², 180 views), filtered with |f| sampled: 1 % too low', 0.98993, 0.002, 'GNU Octave 7.3.0; the effect: G. L. Zeng, IEEE Trans. Nucl. Sci. 62 (2015) 131, abstract', () => discMean(sampledRamp())),
];
