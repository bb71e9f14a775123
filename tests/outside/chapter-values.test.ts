import { expect, test } from 'vitest';
import { values as shadows } from '../../src/widgets/values/shadows.ts';
import { values as smearing } from '../../src/widgets/values/smearing-back.ts';
import { values as spreading } from '../../src/widgets/values/the-beam-spreads.ts';
import { values as turning } from '../../src/widgets/values/turning.ts';

/** Numbers that chapters 1, 3, 4 and 7 print, against figures that were not worked out with this library. */

/** Names the sentence that would be wrong. */
function printed(what: string, { value }: { value: number }, expected: number, tolerance: number): void {
  expect(Math.abs(value - expected), `${what}: the book prints ${value}, the source has ${expected}`).toBeLessThanOrEqual(tolerance);
}

// Attenuation: NISTIR 5632 (Hubbell & Seltzer 1995), μ/ρ times density, worked out by numpy.
test('chapter 1 prints what the attenuation table gives', () => {
  printed('water at 60 keV, 1/mm', shadows.waterMu, 0.02059, 1e-5);
  printed('10 mm of water at 60 keV let through', shadows.waterTransmission, 0.813914, 1e-4);
  printed('−ln of 200 mm of water at 60 keV', shadows.bathIntegral, 4.118, 4e-3);
  printed('2 mm of aluminium at 30 keV let through, %', shadows.foilTransmission, 54.3952, 0.05);
  printed('50 mm of acrylic and 5 mm of aluminium at 60 keV let through', shadows.middleTransmission, 0.218784, 2e-4);
  printed('1 mm of lead at 80 keV lets through, %', shadows.leadBelow, 6.4212, 0.03);
  printed('1 mm of lead at 100 keV lets through, %', shadows.leadAbove, 0.18398, 0.001);
  printed('the K edge of lead, keV (xraylib 4.0)', shadows.leadEdge, 88.0045, 0.001);
  printed('half-value layer of water at 60 keV, mm', shadows.waterHalf, 33.66, 0.17);
  printed('half-value layer of aluminium at 60 keV, mm', shadows.aluminiumHalf, 9.245, 0.046);
  printed('half-value layer of lead at 60 keV, mm', shadows.leadHalf, 0.1216, 0.0006);
  printed('half-value layer of air at 60 keV, m', shadows.airHalf, 30.68, 0.15);
  printed('half-value layer of aluminium at 40 keV, mm (exercise)', shadows.ask.halfValue, 4.517, 0.023);
});

// A point's trace and an ellipse's moments: worked out by numpy and scipy's quadrature (the oval is theirs five times larger).
test('chapter 3 prints the trace of a bead and the moments of an oval', () => {
  const trace = [turning.stop0, turning.stop1, turning.stop2, turning.stop3, turning.stop4, turning.stop5];
  [3, 4.598076, 5, 4, 0, -3].forEach((s, k) => printed(`the bead in row ${k + 1} of the table, mm`, trace[k], s, 1e-5));
  const centres = [turning.centre0, turning.centre1, turning.centre2, turning.centre3];
  [1, 1.1160254, 0.5, -0.3535534].forEach((s, k) => printed(`centre of mass in row ${k + 1}, mm`, centres[k], 5 * s, 1e-5));
  const masses = [turning.mass0, turning.mass1, turning.mass2, turning.mass3];
  masses.forEach((mass, k) => printed(`mass in row ${k + 1}, mm`, mass, 0.01 * 25 * 37.69911184, 1e-5));
});

// Fan to parallel, D = 500, γ = 10°, β = 30°, and the other end of the same ray: worked out by numpy.
test('chapter 3 names the rays of a fan', () => {
  printed('s of the ray, mm', turning.fanS, 86.824089, 1e-4);
  printed('θ of the ray, degrees', turning.fanTheta, 40, 1e-6);
  printed('s from the other end, mm', turning.metS, -86.824089, 1e-4);
  printed('θ from the other end, degrees', turning.metTheta, 220, 1e-6);
});

// By hand: a disc smeared back is 2πRμ in its middle and 4Rμ on its rim; a point of mass m is m/r. GNU Octave and scikit-image,
// which count half of the turn's integral, give 125.658 and 125.642 for the middle of a disc of 1/mm and 40 mm: 2π·40/2 = 125.664.
test('chapter 4 prints what smearing back gives by hand', () => {
  printed('middle of the disc', smearing.middle, (2 * 125.658 * 20 * 0.02) / 40, 2e-4);
  printed('rim of the disc', smearing.rimDisc, 1.6, 2e-3);
  printed('5 mm from the bead', smearing.around0, (0.2 * Math.PI * 0.25) / 5, 1e-4);
  printed('slope around the bead', smearing.power, -1, 0.005);
  printed('bore of the tube', smearing.hole, 2 * Math.PI * 0.02 * 12, 5e-4);
});

// By hand: S/R, a(M − 1), the legs of a triangle. The best magnification and the least distances: worked out by numpy (formulas of ASTM E1441
// and ISO 17636-1, from memory). Parker's weights and the ball in the cone: numpy, the ball twenty times smaller.
test('chapter 7 prints what the rig, the fan and the cone give elsewhere', () => {
  printed('magnification', spreading.magnification, 600 / 400, 1e-12);
  printed('penumbra on the screen, mm', spreading.unsharp, 0.5, 1e-12);
  printed('effective pixel, mm', spreading.effective, Math.sqrt(0.2 ** 2 + 0.5 ** 2) / 1.5, 1e-9);
  printed('best magnification', spreading.best, 1.04, 1e-9);
  printed('effective pixel there, mm', spreading.bestEffective, 0.196116, 1e-6);
  printed('least distance, class A, mm', spreading.filmA, 135, 1e-3);
  printed('least distance, class B, mm', spreading.filmB, 270, 1e-3);
  printed('Parker’s weight, first time', spreading.parkerFirst, 0.146446609, 1e-9);
  printed('Parker’s weight, second time', spreading.parkerSecond, 0.853553391, 1e-9);
  printed('middle of the ball, %', spreading.ballMiddle, 99.989, 0.3);
  printed('off the middle of the ball, %', spreading.ballThere, 99.46, 0.3);
  printed('short scan for 60 mm at 200 mm, degrees (exercise)', spreading.ask.wideTurn, 214.915206, 1e-6);
  printed('screen for 60 mm at 200 mm, 500 mm away (exercise)', spreading.ask.wideScreen, 2 * 157.2427, 2e-4);
});
