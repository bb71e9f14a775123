import { describe, expect, test } from 'vitest';
import { computeNow, firstSpecimen } from '../../src/widgets/frame/compute.ts';
import { ray, type RayResult } from '../../src/widgets/ray/model.ts';

const at = (change: Partial<typeof ray.initial>) => computeNow(ray, { ...ray.initial, ...change }, firstSpecimen(ray)) as RayResult;

// NISTIR 5632 at 60 keV: acrylic 0.1924 cm²/g · 1.19 g/cm³, aluminium 0.2778 · 2.699, in 1/mm: four digits.
const acrylic = (0.1924 * 1.19) / 10;
const aluminium = (0.2778 * 2.699) / 10;

describe('plate ray', () => {
  test('through the middle of the bore: chords by Pythagoras, brightness by Beer and Lambert', () => {
    const { crossings, integral, brightness } = at({ offset: 11 });
    const whole = 2 * Math.sqrt(30 ** 2 - 11 ** 2);
    expect(crossings[0].chord).toBeCloseTo(whole - 14, 4);
    expect(crossings[1].chord).toBeCloseTo(14, 4);
    expect(integral).toBeCloseTo((whole - 14) * acrylic + 14 * aluminium, 3);
    expect(brightness).toBeCloseTo(Math.exp(-((whole - 14) * acrylic + 14 * aluminium)), 4);
    expect(brightness).toBeCloseTo(Math.exp(-integral), 12);
  });

  test('seen from 90°, the bore lies where its y is', () => {
    expect(at({ angle: 90, offset: 6 }).crossings[1].chord).toBeCloseTo(14, 4);
    expect(at({ angle: 180, offset: -11 }).crossings[1].chord).toBeCloseTo(14, 4);
  });

  test('past the disc everything arrives', () => {
    expect(at({ offset: 35 })).toMatchObject({ integral: 0, brightness: 1 });
    expect(ray.describe({ ...ray.initial, offset: 35 }, at({ offset: 35 }), firstSpecimen(ray))).toContain('misses the disc');
  });

  test('the shadow under the disc has the ray in it, and its brightness is its line integral’s', () => {
    const { position, integrals, brightnesses, integral } = at({ offset: 9 });
    const j = position.indexOf(9);
    expect(integrals[j]).toBeCloseTo(integral, 5);
    brightnesses.forEach((value, i) => expect(value).toBeCloseTo(Math.exp(-integrals[i]), 6));
  });

  test('the picture is in 1/mm: acrylic and aluminium as the table has them', () => {
    const { image } = at({});
    const value = (x: number, y: number) => image.data[Math.floor(64 - y / image.pixelSize) * 128 + Math.floor(64 + x / image.pixelSize)];
    expect(value(-10, -10)).toBeCloseTo(acrylic, 5);
    expect(value(11, 6)).toBeCloseTo(aluminium, 4);
    expect(value(38, 38)).toBe(0);
  });
});
