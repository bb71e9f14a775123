import { parallelBeam } from '../geometry/beams.ts';
import { pointOnDetector } from '../geometry/point-on-detector.ts';
import { lineIntegral } from '../phantom/line-integral.ts';
import { disc, ellipse, gaussian } from '../phantom/shapes.ts';
import { sheppLogan } from '../phantom/shepp-logan.ts';
import type { Check } from './check.ts';
import { computed, radians, series } from './series.ts';

/** Exact line integrals of phantoms: check values B1 to B15. Rays are x cos θ + y sin θ = t. */

const chord = `${computed}, also by solving the chord’s quadratic; the formula: Kak & Slaney (1988), chapter 3 (citation from memory)`;
const original = sheppLogan({ variant: '1974', size: 2, scale: 1 });
const highContrast = sheppLogan({ variant: 'high-contrast', size: 2, scale: 1 });
const centred = [ellipse(0, 0, 3, 2, 0, 1)];
const turned = [ellipse(1, 0.5, 3, 2, radians(30), 2)];

const ray = (theta: number, t: number) => `the ray θ = ${theta}°, t = ${t}`;

/** The head's values: θ in degrees, t, the expected integral. */
function head(id: string, source: string, phantom: typeof original, name: string, rays: readonly (readonly [theta: number, t: number, p: number])[]): Check[] {
  return series(id, { tolerance: 1e-7, kind: 'absolute', source }, rays.map(([theta, t, p]) => [
    `${name} along ${ray(theta, t)}`, p, () => lineIntegral(phantom, t, radians(theta)),
  ]));
}

/** The largest difference between opposite views of the head, at places off the shapes' edges, where a square root magnifies rounding. */
function oppositeViewsApart(): number {
  let most = 0;
  for (let theta = 0.1; theta < Math.PI; theta += 0.37) {
    for (let t = -0.93; t < 1; t += 0.11) {
      most = Math.max(most, Math.abs(lineIntegral(original, t, theta + Math.PI) - lineIntegral(original, -t, theta)));
    }
  }
  return most;
}

/** ∫ p(t) cos(2πρt) dt of the unit disc with t = sin φ, where the sum over equal steps of φ converges faster than any power. */
function discTransform(frequency: number): number {
  const steps = 400;
  let sum = 0;
  for (let k = 0; k < steps; k++) {
    const phi = ((k + 0.5) / steps - 0.5) * Math.PI;
    sum += lineIntegral([disc(0, 0, 1, 1)], Math.sin(phi), 0.3) * Math.cos(phi) * Math.cos(2 * Math.PI * frequency * Math.sin(phi));
  }
  return (sum * Math.PI) / steps;
}

const sinusoid = [[0, 3], [30, 4.598076], [53.130102, 5], [90, 4], [143.130102, 0], [180, -3]] as const;
const transform = [[0, 3.141592654], [0.25, 2.267296356], [0.5, 0.569230686], [1, -0.21238253]] as const;

const ellipseOne = 'ellipse a = 3, b = 2 of density 1';
const ellipseTurned = 'ellipse a = 3, b = 2 of density 2 at (1, 0.5) tilted 30°';

export const projectionChecks: Check[] = [
  ...series('B1', { tolerance: 1e-12, kind: 'relative', source: chord }, [[`${ellipseOne} along ${ray(0, 0)}`, 4, () => lineIntegral(centred, 0, 0)]]),
  ...series('B2', { tolerance: 1e-12, kind: 'relative', source: chord }, [[`${ellipseOne} along ${ray(90, 0)}`, 6, () => lineIntegral(centred, 0, radians(90))]]),
  ...series('B3', { tolerance: 1e-9, kind: 'relative', source: chord }, [[`${ellipseOne} along ${ray(45, 0)}`, 4.706787243, () => lineIntegral(centred, 0, radians(45))]]),
  ...series('B4', { tolerance: 1e-9, kind: 'relative', source: chord }, [[`${ellipseOne} along ${ray(45, 1)}`, 4.329614548, () => lineIntegral(centred, 1, radians(45))]]),
  ...series('B5', { tolerance: 1e-9, kind: 'relative', source: chord }, [[`${ellipseTurned} along ${ray(60, 1)}`, 8.618558314, () => lineIntegral(turned, 1, radians(60))]]),
  ...series('B6', { tolerance: 1e-9, kind: 'relative', source: chord }, [[`${ellipseTurned} along ${ray(0, 2.5)}`, 7.262579241, () => lineIntegral(turned, 2.5, 0)]]),
  ...series('B7', { tolerance: 1e-12, kind: 'relative', source: chord }, [['disc of radius 5, 3 from its middle, at θ = 77°', 8, () => lineIntegral([disc(0, 0, 5, 1)], 3, radians(77))]]),
  ...head('B8', computed, original, 'the original head', [
    [0, -0.6, 1.09141557], [0, -0.2, 1.87726871], [0, 0, 1.97426], [0, 0.05, 1.96785731], [0, 0.22, 1.86251936], [0, 0.5, 1.41238239],
  ]),
  ...head('B9', `${computed}, also by a brute-force sum along the line`, original, 'the original head', [[30, 0.05, 1.7918251]]),
  ...head('B10', computed, original, 'the original head', [[90, 0, 1.45071185], [135, 0.22, 1.60803498]]),
  ...head('B11', computed, highContrast, 'the high-contrast head', [
    [0, 0, 0.5146], [0, 0.22, 0.32878908], [30, 0.05, 0.40223835], [45, 0, 0.24274703], [90, 0.5, 0.3387237], [135, -0.2, 0.25625418],
  ]),
  ...series('B12', { tolerance: 1e-6, kind: 'absolute', source: computed }, sinusoid.map(([theta, t]) => [
    `where the point (3, 4) falls at θ = ${theta}°`, t, () => pointOnDetector(parallelBeam({ angles: [radians(theta)], detectors: 1, pitch: 1 }), 0, 3, 4),
  ])),
  ...series('B13', { tolerance: 1e-12, kind: 'absolute', source: computed }, [['opposite views of the original head, p(t, θ + 180°) − p(−t, θ): the largest of 162', 0, oppositeViewsApart]]),
  ...series('B14', { tolerance: 1e-5, kind: 'relative', source: computed }, [['Gaussian of height 1 and σ = 0.16 through its middle, σ√(2π)', 0.40106, () => lineIntegral([gaussian(0, 0, 0.16, 1)], 0, 1)]]),
  ...series('B15', { tolerance: 1e-8, kind: 'absolute', source: `${computed}: quadrature and SciPy’s J₁ agree` }, transform.map(([frequency, value]) => [
    `Fourier transform of a view of the unit disc at ${frequency} cycles per unit, J₁(2πρ)/ρ`, value, () => discTransform(frequency),
  ])),
];
