import { parallelBeam } from '../geometry/beams.ts';
import { coverage } from '../geometry/coverage.ts';
import { detectorIndex } from '../geometry/detector-position.ts';
import { equalAngles } from '../geometry/equal-angles.ts';
import { pointOnDetector } from '../geometry/point-on-detector.ts';
import { viewWeights } from '../geometry/view-weights.ts';
import { detailKept, viewsNeeded } from '../geometry/views-needed.ts';
import type { Check } from './check.ts';
import { computed, degrees, radians, series, type Figure } from './series.ts';

/**
 * Rules for the number of views: check values H1 to H9. These have no tolerance of their own: a figure is held to half a unit of its
 * last printed digit, a number of views exactly.
 */

const crowther = 'Crowther, DeRosier & Klug, Proc. R. Soc. A 317:319 (1970), section 6.2, as cited in an open-access Optics Letters article (2018)';
const kak = `${computed}; Kak & Slaney (1988), views ≈ (π/2) · rays (citation from memory)`;
const natterer = 'Natterer, p ≥ π·q for 2q + 1 rays (value from memory)';
const joseph = 'Joseph & Schulz, Med. Phys. 7:692 (1980) (formula from memory; no public copy found)';

const samples = [64, 128, 200, 256, 512, 1024];
const views = [101, 202, 315, 403, 805, 1609];
const inPitch = (n: number) => viewsNeeded({ rule: 'pitch', diameter: n, pitch: 1 });
const parallelTurn = (count: number) => parallelBeam({ views: count, turn: 2 * Math.PI, detectors: 1, pitch: 1 });

/** Where a point falls in a view and, in the opposite view laid mirrored over it, how far beside that, in cells; the axis `offset` cells beside the middle. */
function besideItself(offset: number, x: number, y: number): number {
  const geometry = parallelBeam({ angles: [0.3, 0.3 + Math.PI], detectors: 201, pitch: 1, axisOffset: offset });
  const [straight, opposite] = [0, 1].map((view) => detectorIndex(geometry, pointOnDetector(geometry, view, x, y)));
  return straight - (geometry.detectors - 1 - opposite);
}

/** A figure held to half a unit of its last digit, and a count held exactly. */
const printed = (id: string, halfDigit: number, source: string, figures: readonly Figure[]) => series(id, { tolerance: halfDigit, kind: 'absolute', source }, figures);

export const samplingChecks: Check[] = [
  ...printed('H1a', 0.0005, crowther, [['views over 180° for a diameter of 100 and a period of 1, πD/d', 314.159, () => viewsNeeded({ diameter: 100, detail: 1 }).exact]]),
  ...printed('H1b', 0, crowther, [['views over 180° for a diameter of 100 and a period of 1, rounded up', 315, () => viewsNeeded({ diameter: 100, detail: 1 }).views]]),
  ...printed('H2', 0, kak, samples.map((n, k) => [`views over 180° for ${n} samples a view, (π/2)n rounded up`, views[k]!, () => inPitch(n).views])),
  ...printed('H3a', 0.05, `${computed}: the variant that calls one pixel a detail`, [
    ['views over 180° for 200 samples a view, πn', 628.3, () => viewsNeeded({ rule: 'one-pixel', diameter: 200, pitch: 1 }).exact],
  ]),
  ...printed('H3b', 0, `${computed}: the variant that calls one pixel a detail`, [
    ['views over 180° for 200 samples a view, πn rounded up', 629, () => viewsNeeded({ rule: 'one-pixel', diameter: 200, pitch: 1 }).views],
    ['times the number that H2 gives', 2, () => viewsNeeded({ rule: 'one-pixel', diameter: 200, pitch: 1 }).exact / inPitch(200).exact],
  ]),
  ...printed('H4', 0.005, natterer, [['views over 180° for 201 rays a view', 314.16, () => viewsNeeded({ rule: 'rays', rays: 201 }).exact]]),
  ...printed('H5', 0.005, joseph, [
    ['views of a fan over 360°: radius 50, period 1, full fan 30°', 847.73, () => viewsNeeded({ rule: 'fan', diameter: 100, detail: 1, fanAngle: radians(30) }).exact],
  ]),
  ...printed('H6a', 5e-7, computed, [['step of 315 views over 180°, degrees', 0.571429, () => degrees(equalAngles(315, Math.PI)[1]!)]]),
  ...printed('H6b', 5e-6, computed, [['arc of that step at the rim of a diameter of 100', 0.49867, () => 50 * equalAngles(315, Math.PI)[1]!]]),
  ...printed('H7', 0.005, computed, ([[45, 28.65], [90, 57.3], [180, 114.59]] as const).map(([count, n]) => [
    `samples a view that ${count} views over 180° serve, 2N/π`, n, () => 1 / (detailKept(1, count) / 2),
  ])),
  ...printed('H8', 0, computed, [
    ['different directions of 45 parallel views over 360°', 45, () => coverage(parallelTurn(45)).directions],
    ['different directions of 44 parallel views over 360°', 22, () => coverage(parallelTurn(44)).directions],
  ]),
  ...printed('H8.3', 1e-9, `${computed}: exact, to the rounding of degrees`, [
    ['distance between neighbouring directions of the 45, degrees', 4, () => degrees(viewWeights(parallelTurn(45))[7]!)],
  ]),
  ...printed('H9', 1e-9, `${computed}: an axis δ beside the middle parts a view and its mirrored opposite by 2δ`, [
    ['distance of a bead in a view from itself in the opposite view, mirrored: axis 1.75 cells off', 3.5, () => besideItself(1.75, 31, -12)],
    ['the same for an axis 4 cells off on the other side', -8, () => besideItself(-4, 7, 55)],
  ]),
];
