/**
 * The planner's sums against figures that were not worked out with this library. The check values H, I, L and M themselves are checks of
 * `slices verify` (src/lib/verify/{sampling,magnification,dose,stage}.ts); here the functions that a plan goes through are held against them.
 */
import { expect, test } from 'vitest';
import {
  airKerma, archerTransmission, barrierRange, blurBudget, coneBeam, doseEstimate, evenViews, fieldOfView, halfValueTransmission, largestMagnification, planToScan, readPlan, restNeeded, scanGeometry, stageTable,
  transmissionAllowed, tubeHeat, tubeOutput, tubeSpectrum, viewsByRule,
} from '../../src/lib/index.ts';
import { readFileSync } from 'node:fs';

const degree = Math.PI / 180;

/** Names the sentence that would be wrong. */
function holds(what: string, ours: number, expected: number, tolerance: number): void {
  expect(Math.abs(ours - expected), `${what}: ours ${ours}, the source has ${expected}`).toBeLessThanOrEqual(tolerance);
}

// Crowther, DeRosier & Klug, Proc. R. Soc. A 317:319 (1970), as cited in an open-access Optics Letters article (2018); Joseph & Schulz, Med. Phys. 7:692 (1980), formula from memory.
test('H: the numbers of views by their conventions', () => {
  const counts = ([64, 128, 200, 256, 512, 1024] as const).map((n) => viewsByRule({ diameter: n, pitch: 1 })[0].views);
  expect(counts).toEqual([101, 202, 315, 403, 805, 1609]);
  const [pitch, pixel, fan] = viewsByRule({ diameter: 100, pitch: 0.5, fanAngle: 30 * degree });
  holds('πD/d, d = 1', pitch.exact, 314.159, 0.0005);
  holds('the variant that calls a pixel a detail', pixel.exact, 628.3, 0.05);
  holds('a full fan of 30°', fan.exact, 847.73, 0.005);
  // H6: the step of 315 views over 180° at the rim of a diameter of 100.
  holds('arc at the rim', blurBudget({ magnification: 1, pitch: 0.5, spot: 0, radius: 50, step: Math.PI / 315 }).arc, 0.49867, 5e-6);
});

// ASTM E1441 (formula from memory), its values and minimum from NumPy and SciPy; ASTM E94, Ug = F·t/d₀, from a handbook of reference data.
test('I: the budget of blur at a magnification, and the best one', () => {
  const budget = blurBudget({ magnification: 4, pitch: 0.2, spot: 1 });
  holds('effective pixel of a pitch of 0.2 mm, a spot of 1 mm, magnified 4 times, mm', budget.total, 0.751665, 1e-6);
  holds('unsharpness at the object, mm', budget.parts.spot, 0.75, 1e-12);
  holds('pitch at the object, mm', budget.parts.pitch, 0.05, 1e-12);
  holds('best magnification', budget.bestMagnification, 1.04, 1e-12);
  holds('best magnification of 0.1 mm and 0.4 mm', blurBudget({ magnification: 1, pitch: 0.1, spot: 0.4 }).bestMagnification, 1.0625, 1e-12);
  holds('a point has none', blurBudget({ magnification: 9, pitch: 0.2, spot: 0 }).parts.spot, 0, 0);
});

// Check values F5 and F7, worked out with NumPy: half fans and half widths of a flat detector on the axis, 500 mm from the source.
test('F: what fits a detector, turned round', () => {
  for (const [radius, halfWidth] of [[50, 50.2519], [100, 102.0621], [150, 157.2427], [200, 218.2179]] as const) {
    const geometry = coneBeam({ views: 1, detectors: 3, rows: 3, pitch: halfWidth, sourceToAxis: 500, sourceToDetector: 500 });
    holds(`radius that a half width of ${halfWidth} mm sees`, fieldOfView(geometry).radius, radius, 1e-4);
    const sourceToDetector = 1000; // twice as far, twice as wide
    holds(`nearest axis for a radius of ${radius} mm`, largestMagnification({ radius, height: 0 }, { width: 4 * halfWidth, height: 0 }, sourceToDetector).sourceToAxis, 500, 5e-4);
  }
});

// Solved by hand from dQ/dt = P − Q/τ: τ ln 2 is the half-time, and a train of equal doses q every T comes to q/(1 − e^(−T/τ)), as for a repeated dose of a drug.
test('heat: the half-time, and the steady state of many exposures', () => {
  const tube = { limit: 1000, coolingTime: 100 };
  const { heat } = tubeHeat({ power: 1e-9, seconds: 1e-6, frames: 2, rest: 69.3147, startHeat: 800 }, tube);
  holds('heat after a half-time, J', heat[2], 400, 0.001);
  // Short exposures of 50 J, every 100 ln 2 = 69.31 s: in the end 50/(1 − ½) = 100 J.
  holds('peak of the train, J', tubeHeat({ power: 50_000, seconds: 0.001, frames: 60, rest: 69.3137 }, tube).peak, 100, 0.01);
  holds('rest for that peak, s', restNeeded({ power: 50_000, seconds: 0.001, frames: 1000 }, tube, 0.1).rest, 69.3, 0.15);
});

// NCRP 147, Table A.1, by two public transcriptions; Turner, Table 15.4; a worked barrier of the handbooks: 5 mSv a week at 1 m, 0.02 wanted at 3 m.
test('L: a barrier in the sum of a dose', () => {
  holds('1 mm of lead at 100 kVp', barrierRange({ material: 'lead', thickness: 1 }, 100).likely, 0.00735916, 1e-7);
  holds('113.4 mm of concrete at 100 kVp', barrierRange({ material: 'concrete', thickness: 113.404 }, 100).likely, 0.001, 1e-7);
  holds('the high figure at 100 kVp: 0.27 mm of lead halve it, NCRP 49', barrierRange({ material: 'lead', thickness: 0.27 }, 100).high, 0.5, 1e-12);
  const goal = transmissionAllowed({ value: 5, from: 1, to: 3, goal: 0.02 });
  holds('what the worked barrier lets through', goal, 0.036, 1e-12);
  holds('its 1.2949 mm of lead, by half-value layers', halfValueTransmission('NCRP 49', 'lead', 100, 1.2949), goal, 1e-5);
  expect(archerTransmission('lead', 100, 1.2949), 'the Archer fit says that the same sheet lets through less').toBeLessThan(goal);
});

// Inverse square (L1) and the limits of ICRP 103, through the estimate: nothing between, a rated housing, a measured output.
test('L: distance and limits in the sum of a dose', () => {
  const at = (distance: number) => doseEstimate({ kVp: 100, mAs: 10, seconds: 10, sourceToObject: 500, distance, housing: 'rated', output: { value: 80, basis: 'measured' } });
  holds('at 2.5 m against 1 m', at(2500).perScan.likely / at(1000).perScan.likely, 0.16, 1e-9);
  // NCRP 49's rule (from memory): 0.1 % of the air kerma at the object, a metre away. 80 · 10 µGy at 1 m is 3200 µGy at 0.5 m, so 3.2 µSv; and 10 s of 0.1 mGy/h, 0.278 µSv.
  holds('scattered at 1 m, µSv', at(1000).routes.scatter.likely, 3.2, 1e-9);
  holds('leaked at 1 m, µSv', at(1000).routes.leakage.likely, 0.27778, 1e-5);
  const share = at(1000).limits.find(({ who, part }) => who === 'public' && part === 'whole body')!.share.likely;
  holds('share of 1 mSv', share, 0.00347778, 1e-8);
});

// What a set gives at 1 m (common practice, no source) beside a calculation that was held against published half-value layers and outputs (tests/outside/spectra.test.ts).
test('the customary output of a tube takes in what its spectrum gives behind 1 to 3 mm of aluminium', () => {
  for (const kVp of [40, 60, 80, 100, 120]) {
    for (const thickness of [1, 2.5]) {
      const kerma = airKerma(tubeSpectrum({ kVp, filters: [{ material: 'aluminium', thickness }] }));
      const { low, high } = tubeOutput(kVp);
      expect(kerma, `${kVp} kVp behind ${thickness} mm: at most ${high}`).toBeLessThan(high);
      expect(kerma, `${kVp} kVp behind ${thickness} mm: at least ${low}`).toBeGreaterThan(low);
    }
  }
});

// Public calculators for stepper motors, 1.8° and sixteenth steps; the rest is arithmetic of whole numbers.
test('M: the table of the stage in the demo plan', () => {
  const plan = readPlan(readFileSync(new URL('../../datasets/capsule/plan.json', import.meta.url), 'utf8'));
  const table = stageTable(plan.stage!, plan.views.count);
  expect(table.rows.slice(0, 10).map(({ position }) => position)).toEqual([0, 71, 142, 213, 284, 356, 427, 498, 569, 640]);
  expect(table.end).toBe(3200);
  holds('largest error, degrees', table.worst / degree, 0.05, 1e-9);
  holds('45 equal moves of 71, degrees', table.offByEqualSteps / degree, -0.5625, 1e-9);
  expect(evenViews(plan.stage!, 45)).toMatchObject({ even: false, below: 40, above: 50 });
  const reached = scanGeometry(planToScan(plan, { reached: true })).angles;
  holds('view 1, 71 sixteenth steps, degrees', reached[1] / degree, 71 * 0.1125, 1e-8);
});
