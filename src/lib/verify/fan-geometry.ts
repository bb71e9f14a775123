import { fanBeam } from '../geometry/beams.ts';
import { conjugateRay, detectorReach, halfFanAngle, shortScanTurn } from '../geometry/fan.ts';
import { parkerWeight } from '../geometry/parker-weight.ts';
import { pointInFan } from '../geometry/point-on-detector.ts';
import { rayOf } from '../geometry/ray-of.ts';
import { lineIntegral } from '../phantom/line-integral.ts';
import { disc } from '../phantom/shapes.ts';
import type { FanBeam } from '../types.ts';
import type { Check } from './check.ts';
import { computed, degrees, radians, series } from './series.ts';

/**
 * The fan: check values F1 to F13. Source at (−D sin β, D cos β), γ counter-clockwise positive. Our γ is the same: it grows with s
 * along (cos β, sin β), which is counter-clockwise seen from the source. The detector lies on the axis, sourceToDetector = D.
 */

const kak = `${computed}; Kak & Slaney (1988), section 3.4 (citation from memory)`;
const parker = `${computed}; Parker, Med. Phys. 9:254 (1982) (citation from memory)`;
const D = 500;

/** A fan of one cell, which looks along γ (or lies at s = D tan γ). */
function oneRay(beta: number, gamma: number): FanBeam {
  return fanBeam({ angles: [radians(beta)], detectors: 1, pitch: 1, axisOffset: -D * Math.tan(radians(gamma)), sourceToAxis: D, sourceToDetector: D });
}

const straight = oneRay(0, 0);
/** γ of the point s on the detector, and its cos γ, the weight of fan reconstruction. */
const onAxis = (s: number) => pointInFan(straight, 0, s, 0);
const weight = (s: number) => onAxis(s).depth / onAxis(s).distance;
/** t of the parallel ray to s. */
const rayTo = (s: number) => rayOf(oneRay(0, degrees(onAxis(s).gamma)), 0, 0).s;

const radii = [50, 100, 150, 200];
const halfFans = [5.73917, 11.536959, 17.457603, 23.578178];
const turns = [191.478341, 203.073918, 214.915206, 227.156357];
const halfWidths = [50.2519, 102.0621, 157.2427, 218.2179];

const point = () => pointInFan(oneRay(50, 0), 0, 80 * Math.cos(radians(20)), 80 * Math.sin(radians(20)));

const delta = radians(15);
const parkerAt = (beta: number, gamma: number) => parkerWeight(radians(beta), radians(gamma), delta);
const parkerValues = [
  [0, 0, 0], [10, 5, 0.5], [5, 5, 0.146446609], [15, 0, 0.5], [30, 0, 1], [20, 5, 1], [100, 5, 1], [195, -5, 0.853553391],
  [200, -5, 0.5], [185, 10, 0.5], [210, 0, 0], [12, -10, 0.135515686],
] as const;

/** The largest |w(ray) + w(conjugate) − 1| over rays of the short scan: a ray's other self may come later or have come before. */
function parkerPairsApart(): number {
  let most = 0;
  for (let gamma = -14.5; gamma < 15; gamma += 0.5) {
    for (let beta = 0.25; beta < 210; beta += 0.5) {
      const other = conjugateRay(radians(beta), radians(gamma));
      const both = parkerAt(beta, gamma) + parkerWeight(other.beta, other.gamma, delta) + parkerWeight(other.beta - 2 * Math.PI, other.gamma, delta);
      most = Math.max(most, Math.abs(both - 1));
    }
  }
  return most;
}

/** ∫ w dβ at fixed γ over the scan of 210°, in degrees. */
function parkerIntegral(gamma: number): number {
  const steps = 210_000;
  let sum = 0;
  for (let k = 0; k < steps; k++) sum += parkerAt(((k + 0.5) / steps) * 210, gamma);
  return (sum * 210) / steps;
}

export const fanGeometryChecks: Check[] = [
  ...series('F1', { tolerance: 1e-6, kind: 'absolute', source: kak }, [
    ['a fan ray as a parallel ray: t for D = 500, γ = 10°, β = 30°', 86.824089, () => rayOf(oneRay(30, 10), 0, 0).s],
    ['the angle of that parallel ray, θ, degrees, for γ = 10°, β = 30°', 40, () => degrees(rayOf(oneRay(30, 10), 0, 0).theta)],
  ]),
  ...series('F2', { tolerance: 1e-6, kind: 'absolute', source: kak }, [
    ['a fan ray as a parallel ray: t for D = 500, γ = −5°, β = 90°', -43.577871, () => rayOf(oneRay(90, -5), 0, 0).s],
    ['the angle of that parallel ray, θ, degrees, for γ = −5°, β = 90°', 85, () => degrees(rayOf(oneRay(90, -5), 0, 0).theta)],
  ]),
  ...series('F3', { tolerance: 1e-6, kind: 'absolute', source: kak }, [
    ['flat detector through the axis, s = 100, D = 500: γ, degrees', 11.309932, () => degrees(onAxis(100).gamma)],
    ['flat detector through the axis, s = 100, D = 500: t', 98.058068, () => rayTo(100)],
    ['flat detector through the axis, s = 100, D = 500: weight, cos γ', 0.980580676, () => weight(100)],
  ]),
  ...series('F4', { tolerance: 1e-6, kind: 'absolute', source: kak }, [
    ['flat detector through the axis, s = 50, D = 500: t', 49.75186, () => rayTo(50)],
    ['flat detector through the axis, s = 50, D = 500: weight, cos γ', 0.99503719, () => weight(50)],
    ['flat detector through the axis, s = −25, D = 500: t', -24.968808, () => rayTo(-25)],
    ['flat detector through the axis, s = −25, D = 500: weight, cos γ', 0.998752339, () => weight(-25)],
  ]),
  ...series('F5', { tolerance: 1e-6, kind: 'absolute', unit: '°', source: computed }, radii.map((radius, k) => [
    `half the fan that takes in radius ${radius} at D = 500`, halfFans[k]!, () => degrees(halfFanAngle(radius, D)),
  ])),
  ...series('F6', { tolerance: 1e-6, kind: 'absolute', unit: '°', source: computed }, radii.map((radius, k) => [
    `short scan for radius ${radius}: 180° and the full fan`, turns[k]!, () => degrees(shortScanTurn(halfFanAngle(radius, D))),
  ])),
  ...series('F7', { tolerance: 1e-4, kind: 'absolute', source: computed }, radii.map((radius, k) => [
    `half width of a detector at the axis for radius ${radius}`, halfWidths[k]!, () => detectorReach(radius, straight),
  ])),
  ...series('F8', { tolerance: 1e-12, kind: 'absolute', unit: '°', source: `${computed}: exact, to the rounding of degrees` }, [
    ['the ray (β, γ) = (5°, 5°) from its other end: β', 195, () => degrees(conjugateRay(radians(5), radians(5)).beta)],
    ['the ray (β, γ) = (5°, 5°) from its other end: γ', -5, () => degrees(conjugateRay(radians(5), radians(5)).gamma)],
  ]),
  ...series('F9', { tolerance: 1e-5, kind: 'absolute', source: computed }, [
    ['the point r = 80, φ = 20° at β = 50°, D = 500: distance from the source', 544.426304, () => point().distance],
    ['the point r = 80, φ = 20° at β = 50°: U, its depth below the source over D', 1.08, () => point().depth / D],
    ['the point r = 80, φ = 20° at β = 50°: γ, degrees', 7.311111, () => degrees(point().gamma)],
    ['the point r = 80, φ = 20° at β = 50°: s on a detector through the axis', 64.15003, () => point().s],
  ]),
  ...series('F10', { tolerance: 1e-5, kind: 'absolute', source: computed }, [
    ['chord of a disc of radius 100 along γ = 5°, D = 500', 180.010768, () => {
      const { s, theta } = rayOf(oneRay(0, 5), 0, 0);
      return lineIntegral([disc(0, 0, 100, 1)], s, theta);
    }],
  ]),
  ...series('F11', { tolerance: 1e-9, kind: 'absolute', source: parker }, parkerValues.map(([beta, gamma, value]) => [
    `Parker’s weight at β = ${beta}°, γ = ${gamma}°, half fan 15°`, value, () => parkerAt(beta, gamma),
  ])),
  ...series('F12', { tolerance: 1e-12, kind: 'absolute', source: parker }, [
    ['Parker’s weights of a ray and its conjugate: their sum’s largest difference from 1, over 24,780 rays', 0, parkerPairsApart],
  ]),
  ...series('F13', { tolerance: 1e-4, kind: 'absolute', unit: '°', source: parker }, [-15, -10, 0, 5, 14.9].map((gamma) => [
    `Parker’s weights at γ = ${gamma}° over the whole scan`, 180, () => parkerIntegral(gamma),
  ])),
];
