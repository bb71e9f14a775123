import { expect, test } from 'vitest';
import { criticalAngle, reflected } from '../../src/widgets/light/refraction.ts';
import { values as light } from '../../src/widgets/values/practising-with-visible-light.ts';
import { values as rehearsing } from '../../src/widgets/values/rehearse-your-scan.ts';
import { values as shadows } from '../../src/widgets/values/shadows.ts';
import { values as smearing } from '../../src/widgets/values/smearing-back.ts';
import { values as spreading } from '../../src/widgets/values/the-beam-spreads.ts';
import { values as turning } from '../../src/widgets/values/turning.ts';

/** Numbers that chapters 1, 3, 4, 7 and 12 and the page on visible light print, against figures that were not worked out with this library. */

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

// By hand, with a pocket calculator: S/R, squares and roots, π·D/d (Crowther, DeRosier & Klug 1970), e^(−2) (Grodzins 1983, from memory), whole microsteps, kV · mA · s.
test('chapter 12 prints what its plan gives by hand', () => {
  printed('magnification', rehearsing.magnification, 500 / 350, 1e-12);
  printed('the screen’s part of the blur, mm', rehearsing.screenPart, 0.2968, 1e-4);
  printed('the spot’s part, mm', rehearsing.spotPart, 0.1413, 1e-4);
  printed('blur, mm', rehearsing.blur, Math.sqrt(0.2968 ** 2 + 0.1413 ** 2 + 0.21 ** 2), 1e-4);
  printed('best magnification', rehearsing.best, 1 + (0.09 + 0.179776) / 0.221841, 1e-4);
  printed('largest magnification by height, r + h·S/H', rehearsing.nearest, 500 / (29.8 + (72 * 500) / 115.2), 1e-9);
  printed('views for the wall, next odd number', rehearsing.enoughViews, 79, 0); // π · 59.6/2.4 = 78.02
  printed('the same spacing over a whole turn', rehearsing.wholeViews, 157, 0); // 2π · 59.6/2.4 = 156.03
  printed('period that 45 views keep, mm', rehearsing.kept, 4.161, 1e-3);
  printed('light at the best, %', rehearsing.bestLight, 13.53, 0.01);
  printed('microsteps for a view', rehearsing.perView, 71.1111, 1e-4);
  printed('after nine steps', rehearsing.fourth, 640, 0);
  printed('equal steps are short by, degrees', rehearsing.equalOff, (5 * 360) / 3200, 1e-9);
  printed('position of frame 20', rehearsing.upsetPosition, 1351, 0); // 19 · 3200/45 = 1351.1
  printed('energy, J', rehearsing.energy, 225, 1e-9);
  printed('most heat, J', rehearsing.peak, 5 * 300 * (1 - Math.exp(-45 / 300)), 1e-6);
  printed('four times the frames, twice the contrast over noise', rehearsing.longer.bead, 2 * rehearsing.asPlanned.bead.value, 0.01);
});

// Textbooks of optics (Hecht, from memory): water's critical angle 48.6°, that of glass with n = 1.5 41.8°, 2 % thrown back by a face of water and 4 % by one of glass.
test('the page on visible light bends light as textbooks do', () => {
  printed('critical angle of water, degrees', light.critical, 48.6, 0.05);
  printed('critical angle of glass, degrees', { value: (criticalAngle(1.5, 1) * 180) / Math.PI }, 41.8, 0.05);
  printed('thrown back by water, %', { value: 100 * reflected(1, 1.333) }, 2, 0.1);
  printed('thrown back by glass, %', { value: 100 * reflected(1, 1.5) }, 4, 0.05);
  // By hand: sin t = 0.5/1.3537 is 21.68°, and the ray is turned by twice the difference from 30°.
  printed('angle in the gelatine, degrees', light.inside, 21.68, 0.01);
  printed('turned by, degrees', light.bend, 16.65, 0.02);
  printed('acrylic in glycerol passes at, mm', light.nearestGlycerol, (12.5 * 1.473) / 1.491, 1e-9);
  printed('from the axis to where the lens seems to be, mm', light.apex, 1.333 * 1000 + 60, 1e-9);
  printed('45 views of 50 mm keep, mm', light.kept, 3.491, 1e-3);
});
