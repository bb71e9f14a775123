import { fanBeam } from '../geometry/beams.ts';
import { magnification } from '../geometry/magnification.ts';
import { bestMagnification, effectivePixel, leastSourceDistance, unsharpness } from '../geometry/unsharpness.ts';
import type { Check } from './check.ts';
import { computed, series, type Figure } from './series.ts';

/** Magnification and geometric unsharpness: check values I1 to I7. */

const e94 = 'ASTM E94, Ug = F·t/d₀, as printed in a handbook of reference data for non-destructive testing';
const e1441 = `${computed}; formula of ASTM E1441 (from memory)`;
const minimum = `${computed}: numerical minimum of the formula of ASTM E1441 (from memory)`;
const standards = `${computed}; EN 444:1994, ISO 5579, ISO 17636-1 (inequality from memory)`;

const enlarged = (sourceToAxis: number, sourceToDetector: number) => magnification(fanBeam({ views: 1, detectors: 1, pitch: 0.2, sourceToAxis, sourceToDetector }));
const best = (pitch: number, spot: number) => effectivePixel(pitch, spot, bestMagnification(pitch, spot));

const distances: readonly (readonly [b: number, classA: number, classB: number])[] = [[8, 60, 120], [10, 69.6238, 139.248], [27, 135, 270]];

/** The least of effectivePixel over magnifications from 1 to 2 in steps of 10⁻⁵, found by trying: where it lies. */
function triedOut(pitch: number, spot: number): number {
  const all = Array.from({ length: 100_001 }, (_, k) => 1 + k / 100_000);
  return all.reduce((least, m) => (effectivePixel(pitch, spot, m) < effectivePixel(pitch, spot, least) ? m : least));
}

const exact = (id: string, source: string, figures: readonly Figure[]) => series(id, { tolerance: 1e-12, kind: 'absolute', source }, figures);

export const magnificationChecks: readonly Check[] = [
  ...exact('I1', 'magnification = source to image / source to object, as printed in a paper on nuclear-medicine technology', [
    ['magnification, source to object 100 mm, source to detector 400 mm', 4, () => enlarged(100, 400)],
    ['a pitch of 0.2 mm as it appears at the object, magnified 4 times, mm', 0.05, () => 0.2 / enlarged(100, 400)],
  ]),
  ...exact('I2', e94, [
    ['unsharpness on the detector: spot 1 mm, source to object 100 mm, object to detector 300 mm, in mm', 3, () => unsharpness(1, enlarged(100, 400))],
    ['the same at the object, mm', 0.75, () => unsharpness(1, enlarged(100, 400)) / enlarged(100, 400)],
  ]),
  ...exact('I3', `${e94}; value ${computed}`, [
    ['unsharpness on the detector: spot 1.5 mm, source to object 600 mm, object to detector 25 mm, in mm', 0.0625, () => unsharpness(1.5, enlarged(600, 625))],
  ]),
  ...series('I4', { tolerance: 1e-6, kind: 'absolute', unit: 'mm', source: e1441 }, [
    ['effective pixel: pitch 0.2 mm, spot 1 mm, magnified 4 times', 0.751665, () => effectivePixel(0.2, 1, 4)],
  ]),
  ...series('I5', { tolerance: 1e-6, kind: 'absolute', source: minimum }, [
    ['best magnification: pitch 0.2 mm, spot 1 mm', 1.04, () => bestMagnification(0.2, 1)],
    ['effective pixel there, mm', 0.196116, () => best(0.2, 1)],
    ['best magnification: pitch 0.1 mm, spot 0.4 mm', 1.0625, () => bestMagnification(0.1, 0.4)],
    ['effective pixel there (pitch 0.1 mm, spot 0.4 mm), mm', 0.0970143, () => best(0.1, 0.4)],
  ]),
  ...series('I5b', { tolerance: 1e-5, kind: 'absolute', source: minimum }, [
    ['where the least effective pixel lies among 100,001 magnifications tried: pitch 0.1 mm, spot 0.4 mm', 1.0625, () => triedOut(0.1, 0.4)],
  ]),
  ...series('I6', { tolerance: 1e-3, kind: 'absolute', unit: 'mm', source: standards }, distances.flatMap(([b, classA, classB]): Figure[] => [
    [`least distance from source to object, class A: spot 2 mm, ${b} mm to the film`, classA, () => leastSourceDistance(2, b, 'A')],
    [`least distance from source to object, class B: spot 2 mm, ${b} mm to the film`, classB, () => leastSourceDistance(2, b, 'B')],
  ])),
  ...exact('I7', 'a point casts no penumbra', [
    ['unsharpness of a spot of no width, largest over magnifications of 1 to 40', 0, () => Math.max(...Array.from({ length: 40 }, (_, k) => unsharpness(0, k + 1)))],
  ]),
];
