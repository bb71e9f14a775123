import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { bestMagnification, effectivePixel, leastSourceDistance, unsharpness } from '../../src/lib/geometry/unsharpness.ts';

const seed = { seed: 20240711 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('unsharpness(spot, magnification)', () => {
  test('is where the rays from the two ends of the spot through one point meet the detector', () => {
    fc.assert(fc.property(real(0, 5), real(50, 900), real(1, 900), (spot, toObject, beyond) => {
      const across = (y: number) => y - (y * (toObject + beyond)) / toObject; // from y at the source through (toObject, 0)
      expect(unsharpness(spot, (toObject + beyond) / toObject)).toBeCloseTo(Math.abs(across(spot / 2) - across(-spot / 2)), 9);
    }), seed);
  });
  test('is less than the spot, seen at the object, at any magnification', () => {
    fc.assert(fc.property(real(0.01, 5), real(1, 1000), (spot, m) => {
      expect(unsharpness(spot, m) / m).toBeLessThan(spot);
    }), seed);
  });
});

describe('effectivePixel(pitch, spot, magnification)', () => {
  test('is the pitch at the object for a point, and the pitch itself with the object on the detector', () => {
    expect(effectivePixel(0.2, 0, 4)).toBeCloseTo(0.05, 12);
    expect(effectivePixel(0.2, 3, 1)).toBeCloseTo(0.2, 12);
  });
  test('is nowhere less than at bestMagnification, where it is finer than pitch and spot alike', () => {
    fc.assert(fc.property(real(0.01, 2), real(0.01, 5), real(1, 50), (pitch, spot, m) => {
      const least = effectivePixel(pitch, spot, bestMagnification(pitch, spot));
      expect(least).toBeLessThanOrEqual(effectivePixel(pitch, spot, m) * (1 + 1e-12));
      expect(least).toBeLessThan(Math.min(pitch, spot));
      expect(least).toBeCloseTo((pitch * spot) / Math.hypot(pitch, spot), 9);
    }), seed);
  });
});

test('bestMagnification(pitch, 0) has no end', () => expect(bestMagnification(0.2, 0)).toBe(Infinity));

test('leastSourceDistance: class B asks for twice the distance of class A, and eight times the thickness for four times', () => {
  expect(leastSourceDistance(1.3, 12, 'B')).toBeCloseTo(2 * leastSourceDistance(1.3, 12, 'A'), 9);
  expect(leastSourceDistance(1.3, 96, 'A')).toBeCloseTo(4 * leastSourceDistance(1.3, 12, 'A'), 9);
});

test.each<[what: string, call: () => number, says: string]>([
  ['a spot of negative width', () => unsharpness(-1, 2), 'The width of the spot is -1 and should be a length in mm, 0 or more.'],
  ['a detector before the object', () => unsharpness(1, 0.5), 'The magnification is 0.5 and should be 1 or more: the detector lies behind the object.'],
  ['a pitch that is no number', () => effectivePixel(NaN, 1, 2), 'The distance between detector cells (pitch) is NaN'],
  ['an endless thickness', () => leastSourceDistance(1, Infinity, 'A'), 'The distance from the object to the film is Infinity'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));
