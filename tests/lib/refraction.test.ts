/** Light that is bent: what the page "Practising with visible light" says of it. */
import { expect, test } from 'vitest';
import { fanBeam, pointOnDetector, sourcePosition } from '../../src/lib/index.ts';
import { criticalAngle, reflected, refracted, throughCylinder, virtualDistance } from '../../src/widgets/light/refraction.ts';
import { values } from '../../src/widgets/values/practising-with-visible-light.ts';

const degrees = (angle: number) => (angle * 180) / Math.PI;
const radians = (angle: number) => (angle * Math.PI) / 180;

test('a ray goes the same way back, and straight on where nothing changes', () => {
  for (const incidence of [0, 0.3, 0.8]) {
    expect(refracted(refracted(incidence, 1, 1.4), 1.4, 1)).toBeCloseTo(incidence, 12);
    expect(refracted(incidence, 1.3, 1.3)).toBeCloseTo(incidence, 12);
  }
});

test('beyond the critical angle there is a sentence and no number', () => {
  const critical = criticalAngle(1.333, 1);
  expect(degrees(refracted(critical * (1 - 1e-9), 1.333, 1))).toBeGreaterThan(89.99);
  expect(() => refracted(critical * 1.01, 1.333, 1)).toThrow(/thrown back/);
  expect(() => criticalAngle(1, 1.333)).toThrow(/never/);
  expect(() => throughCylinder(30, 25, 1, 1.5)).toThrow(/should meet/);
});

test('a cylinder bends as ray by ray through two faces', () => {
  const [place, radius, outside, inside] = [12, 25, 1, 1.37];
  const first = refracted(Math.asin(place / radius), outside, inside);
  // Inside, the ray meets the far face at the same angle; turned by i − t twice.
  const out = refracted(first, inside, outside);
  expect(out).toBeCloseTo(Math.asin(place / radius), 12);
  const { nearest, bend } = throughCylinder(place, radius, outside, inside);
  expect(bend).toBeCloseTo(Math.asin(place / radius) - first + (out - first), 12);
  expect(nearest).toBeCloseTo((place * outside) / inside, 12);
  expect(throughCylinder(place, radius, 1.333, 1.333)).toEqual({ nearest: expect.closeTo(place, 12), bend: expect.closeTo(0, 12) });
  expect(throughCylinder(place, radius, 1.473, 1.333).bend, 'a bath too dense bends outwards').toBeLessThan(0);
});

test('seen from the tank the lens is n times as far from the wall, to the second order of the angle', () => {
  const [a, w, n] = [1000, 60, 1.333];
  for (const angle of [0.5, 1, 2].map(radians)) {
    const inside = refracted(angle, 1, n);
    const reach = a * Math.tan(angle) + w * Math.tan(inside); // off the middle, at the axis
    const from = reach / Math.tan(inside); // where a straight ray with this slope would come from
    expect(Math.abs(from / virtualDistance(a, w, n) - 1)).toBeLessThan(0.5 * angle * angle);
  }
});

test('a camera that stands where the source would sees the columns run the other way', () => {
  const beam = fanBeam({ angles: [0.7], detectors: 3, pitch: 1, sourceToAxis: 300, sourceToDetector: 300 });
  const [sx, sy] = sourcePosition(beam, 0);
  // Right of somebody at the source who looks at the axis: the direction of view turned clockwise.
  const [lookX, lookY] = [-sx / 300, -sy / 300];
  const right: [number, number] = [lookY, -lookX];
  expect(pointOnDetector(beam, 0, 10 * right[0], 10 * right[1]), 'what is right for it has the lower column').toBeCloseTo(-10, 9);
});

test('a face between like stuffs throws nothing back', () => {
  expect(reflected(1.4, 1.4)).toBe(0);
  expect(reflected(1, 1.5)).toBeCloseTo(reflected(1.5, 1), 15);
});

test('the recipe’s colours: the wider the band, the more it bends; stray light makes a ceiling', () => {
  const sags = [values.narrow.sag, values.green.sag, values.white.sag].map(({ value }) => value);
  expect(sags[0]).toBeLessThan(0.1);
  expect(sags[1]).toBeGreaterThan(5);
  expect(sags[2]).toBeGreaterThan(2 * sags[1]);
  expect(values.veiled.d50.value).toBeLessThan(values.narrow.d50.value);
  expect(values.ceiling.value).toBeCloseTo(-Math.log(0.02), 12);
});
