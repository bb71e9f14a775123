import { contrastPerNoise, countNoise, lineIntegralNoise, logOfCounts, reconstructionNoise } from '../physics/noise.ts';
import type { Check } from './check.ts';
import { computed, series } from './series.ts';

/** Quantum noise: check values K1 to K8. */

const poisson = "Poisson's distribution: the deviation of a count is its root";
const monteCarlo = 'two million seeded draws with NumPy, apart from this library';

/** Where a function is greatest among 0, 0.0001, … 8. */
function greatest(f: (x: number) => number): number {
  let best = 0;
  for (let k = 0; k <= 80_000; k++) if (f(k / 10_000) > f(best)) best = k / 10_000;
  return best;
}

/** Noise of a slice, the pixel's width by `factor` and as many photons through the object: those of a pixel's beam go with its width and its height. */
const slice = (factor: number) => reconstructionNoise(countNoise(1e4 * factor * factor), 180, factor);

export const noiseChecks: readonly Check[] = [
  ...series('K1', { tolerance: 1e-12, kind: 'relative', source: poisson }, ([[100, 0.1], [1e4, 0.01], [1e6, 0.001]] as const).map(([mean, expected]) => [
    `how much ${mean} quanta vary, as a share`, expected, () => countNoise(mean),
  ])),
  ...series('K2', { tolerance: 1e-6, kind: 'relative', source: computed }, [['deviation of a line integral of 2, 100,000 quanta in the open beam', 0.00859596, () => lineIntegralNoise(1e5, 2)]]),
  ...series('K3', { tolerance: 0.01, kind: 'relative', source: monteCarlo }, [['deviation of the logarithm of a count of 100', 0.10082, () => logOfCounts(100).deviation]]),
  ...series('K3b', { tolerance: 0.05, kind: 'relative', source: monteCarlo }, [['how much too high a line integral is on average, for a count of 100', 0.00509, () => logOfCounts(100).bias]]),
  ...series('K4', { tolerance: 1e-6, kind: 'relative', unit: '1/mm', source: `${computed}: π·σ/(√(12N)·a)` }, [
    ['noise of a pixel, 180 views, pitch 1 mm, deviation of a line integral 0.01, ramp', 6.759631e-4, () => reconstructionNoise(0.01, 180, 1)],
  ]),
  ...series('K5', { tolerance: 1e-6, kind: 'absolute', source: computed }, [
    ['noise with a Hann window as a share of that with the ramp alone', 0.300057, () => reconstructionNoise(0.01, 180, 1, { window: 'hann' }) / reconstructionNoise(0.01, 180, 1)],
  ]),
  ...series('K6', { tolerance: 2e-4, kind: 'absolute', source: `${computed}; Grodzins, Nucl. Instrum. Methods 206:541 (1983) (citation from memory)` }, [
    ['line integral at which a small change shows best, found by trying', 2, () => greatest(contrastPerNoise)],
    ['share of the light that arrives there, e⁻²', 0.135335, () => Math.exp(-greatest(contrastPerNoise))],
  ]),
  ...series('K7', { tolerance: 1e-12, kind: 'relative', source: poisson }, [['noise with four times the photons, as a share', 0.5, () => lineIntegralNoise(4e4, 1) / lineIntegralNoise(1e4, 1)]]),
  ...series('K8', { tolerance: 1e-9, kind: 'relative', source: 'Brooks & Di Chiro, Med. Phys. 3:237 (1976), abstract: noise goes with the inverse square of the cell; read as a cube (from memory)' }, [
    ['noise with half the pixel, each way, and as much dose: times', 4, () => slice(0.5) / slice(1)],
  ]),
];
