import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  angleAt, circleThrough, distanceBetween, fitCircle, linearAttenuation, materials, materialsNear, regionStatistics, voxelPosition,
  type Image, type Material, type Point3, type Volume,
} from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const number = fc.double({ min: -50, max: 50, noNaN: true });
const point = fc.tuple(number, number, number).map((p): Point3 => p);
const dot = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const minus = (a: Point3, b: Point3): Point3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];

describe('distanceBetween and angleAt', () => {
  test('by hand, on a picture and in space', () => {
    expect(distanceBetween([1, 2], [4, 6])).toBe(5);
    expect(distanceBetween([1, 2, 3], [3, 5, 9])).toBe(7);
    expect(angleAt([1, 0], [0, 0], [0, 3])).toBeCloseTo(Math.PI / 2, 15);
    expect(angleAt([2, 0, 0], [0, 0, 0], [1, Math.sqrt(3), 0])).toBeCloseTo(Math.PI / 3, 12);
    expect(angleAt([1, 0], [0, 0], [-1, 1e-9]), 'near π nothing is lost').toBeCloseTo(Math.PI - 1e-9, 15);
    expect(() => angleAt([1, 0], [1, 0], [0, 3])).toThrow('first side of the angle');
  });
  test('the angles of any triangle make π, and its sides obey the law of cosines', () => {
    fc.assert(fc.property(point, point, point, (a, b, c) => {
      const sides = [distanceBetween(b, c), distanceBetween(a, c), distanceBetween(a, b)];
      if (Math.min(...sides) < 1e-3) return;
      expect(angleAt(a, b, c) + angleAt(b, c, a) + angleAt(c, a, b)).toBeCloseTo(Math.PI, 8);
      expect(sides[1] ** 2).toBeCloseTo(sides[0] ** 2 + sides[2] ** 2 - 2 * sides[0] * sides[2] * Math.cos(angleAt(a, b, c)), 6);
    }), { seed: 1 });
  });
});

describe('circleThrough and fitCircle', () => {
  test('three points of a known circle, counter-clockwise seen from its normal', () => {
    const { centre, radius, normal } = circleThrough([3, 1], [1, 3], [-1, 1]);
    [1, 1, 0].forEach((value, k) => expect(centre[k]).toBeCloseTo(value, 12));
    expect(radius).toBeCloseTo(2, 12);
    expect(normal.map((v) => v + 0)).toEqual([0, 0, 1]);
    expect(circleThrough([-1, 1], [1, 3], [3, 1]).normal[2], 'the other way round').toBe(-1);
  });
  test('any three points in space lie on their circle', () => {
    fc.assert(fc.property(point, point, point, (a, b, c) => {
      const sides = [distanceBetween(b, c), distanceBetween(a, c), distanceBetween(a, b)];
      if (Math.min(...sides) < 1 || Math.min(angleAt(a, b, c), angleAt(b, c, a), angleAt(c, a, b)) < 0.02) return;
      const { centre, radius, normal } = circleThrough(a, b, c);
      for (const p of [a, b, c]) {
        expect(distanceBetween(p, centre) / radius).toBeCloseTo(1, 8);
        expect(dot(minus(p, centre), normal) / radius).toBeCloseTo(0, 8);
      }
    }), { seed: 2 });
  });
  test('many points of one circle, in any plane and order, give it back; three give what circleThrough gives', () => {
    fc.assert(fc.property(point, fc.tuple(number, number, number).filter((n) => Math.hypot(...n) > 1), fc.double({ min: 0.5, max: 40, noNaN: true }), fc.integer({ min: 3, max: 30 }), fc.double({ min: 0, max: 6, noNaN: true }), (middle, n, r, count, start) => {
      const length = Math.hypot(...n);
      const normal = n.map((v) => v / length) as unknown as Point3;
      const other: Point3 = Math.abs(normal[0]) < 0.5 ? [1, 0, 0] : [0, 1, 0];
      const raw = minus(other, normal.map((v) => v * dot(other, normal)) as unknown as Point3);
      const across = raw.map((v) => v / Math.hypot(...raw)) as unknown as Point3;
      const up: Point3 = [normal[1] * across[2] - normal[2] * across[1], normal[2] * across[0] - normal[0] * across[2], normal[0] * across[1] - normal[1] * across[0]];
      const points = Array.from({ length: count }, (_, i): Point3 => {
        const angle = start + (2 * Math.PI * i) / count;
        return [0, 1, 2].map((k) => middle[k] + r * (Math.cos(angle) * across[k] + Math.sin(angle) * up[k])) as unknown as Point3;
      });
      const found = fitCircle(points);
      expect(found.radius).toBeCloseTo(r, 6);
      middle.forEach((value, k) => expect(found.centre[k]).toBeCloseTo(value, 6));
      expect(dot(found.normal, normal), 'normal: the points run counter-clockwise').toBeCloseTo(1, 8);
      expect(found.rms).toBeLessThan(1e-6);
      if (count === 3) expect(circleThrough(points[0], points[1], points[2]).radius).toBeCloseTo(found.radius, 6);
    }), { seed: 3 });
  });
  test('the scatter about the circle: its spread in the plane and out of it', () => {
    const points = Array.from({ length: 400 }, (_, i): Point3 => {
      const angle = (2 * Math.PI * i) / 400;
      const r = 10 + (i % 2 === 0 ? 0.3 : -0.3);
      return [r * Math.cos(angle), r * Math.sin(angle), i % 4 < 2 ? 0.4 : -0.4];
    });
    expect(fitCircle(points).rms).toBeCloseTo(0.5, 3);
    expect(fitCircle(points).radius).toBeCloseTo(10, 3);
  });
  test('points on one line, or too few, are refused', async () => {
    expect(await refusal(() => circleThrough([0, 0], [1, 1], [2, 2]))).toContain('lie on one line');
    expect(await refusal(() => circleThrough([1, 2], [1, 2], [3, 4]))).toContain('two of them in one place');
    expect(await refusal(() => fitCircle([[0, 0], [1, 1], [2, 2], [7, 7]]))).toContain('lie on one line');
    expect(await refusal(() => fitCircle([[0, 0], [1, 1]]))).toContain('There are 2 points');
  });
});

describe('regionStatistics(volume, region)', () => {
  const grid = { width: 20, height: 18, depth: 16, voxelSize: 0.5, centre: [2, -1, 3] as const };
  const data = Float32Array.from({ length: 20 * 18 * 16 }, (_, i) => Math.fround(0.02 + ((i * 7919) % 101) / 5000));
  const volume: Volume = { ...grid, data };
  const all = Array.from(data, (value, i) => ({ value, at: voxelPosition(grid, i % 20, Math.floor(i / 20) % 18, Math.floor(i / 360)) }));
  const byHand = (chosen: number[]) => {
    const mean = chosen.reduce((a, b) => a + b, 0) / chosen.length;
    return { count: chosen.length, mean, deviation: Math.sqrt(chosen.reduce((sum, v) => sum + (v - mean) ** 2, 0) / (chosen.length - 1)) };
  };

  test('a ball anywhere, over the rim too: the voxels whose middles it holds', () => {
    fc.assert(fc.property(fc.tuple(fc.double({ min: -2, max: 6, noNaN: true }), fc.double({ min: -4, max: 2, noNaN: true }), fc.double({ min: 0, max: 6, noNaN: true })), fc.double({ min: 0.8, max: 4, noNaN: true }), (centre, radius) => {
      const expected = byHand(all.filter(({ at }) => distanceBetween(at, centre) <= radius).map(({ value }) => value));
      const found = regionStatistics(volume, { centre, radius });
      expect(found.count).toBe(expected.count);
      expect(found.mean).toBeCloseTo(expected.mean, 10);
      expect(found.deviation).toBeCloseTo(expected.deviation, 10);
      expect(found.standardError).toBeCloseTo(expected.deviation / Math.sqrt(expected.count), 10);
    }), { seed: 4, numRuns: 60 });
  });
  test('a disc of any direction, a voxel thick: the voxels whose middles it holds', () => {
    fc.assert(fc.property(fc.tuple(number, number, number).filter((n) => Math.hypot(...n) > 1), (normal) => {
      const centre: Point3 = [2, -1, 3];
      const { count } = regionStatistics(volume, { centre, radius: 3.3, normal });
      const length = Math.hypot(...normal);
      const within = (slack: number) => all.filter(({ at }) => {
        const along = dot(minus(at, centre), normal) / length;
        return Math.abs(along) <= 0.25 + slack && Math.sqrt(Math.max(0, distanceBetween(at, centre) ** 2 - along ** 2)) <= 3.3 + slack;
      }).length;
      expect(count, 'all that lie well inside').toBeGreaterThanOrEqual(within(-1e-6));
      expect(count, 'none that lies outside').toBeLessThanOrEqual(within(1e-6));
      expect(count).toBeGreaterThan(80);
    }), { seed: 5, numRuns: 60 });
  });
  test('a disc between two layers takes one of them', () => {
    const between = regionStatistics(volume, { centre: [2, -1, 3], radius: 2, normal: [0, 0, 1] }), on = regionStatistics(volume, { centre: [2, -1, 3.25], radius: 2, normal: [0, 0, 1] });
    expect(between.count).toBe(on.count);
    expect(regionStatistics(volume, { centre: [2, -1, 3], radius: 2, normal: [0, 0, 1], thickness: 1 }).count).toBe(2 * on.count);
  });
  test('a box between its corners, in any order; all of the volume', () => {
    const box = regionStatistics(volume, { from: [3, -2, 4.1], to: [0.6, 0.4, 1.9] });
    expect(box.count).toBe(all.filter(({ at: [x, y, z] }) => x >= 0.6 && x <= 3 && y >= -2 && y <= 0.4 && z >= 1.9 && z <= 4.1).length);
    expect(regionStatistics(volume, { centre: [2, -1, 3], radius: 99 }).count).toBe(5760);
  });
  test('numbers that are none are left out; a single voxel has no deviation', () => {
    const holed = { ...volume, data: data.map((value, i) => (i % 3 === 0 ? NaN : value)) };
    expect(regionStatistics(holed, { centre: [2, -1, 3], radius: 99 }).count).toBe(5760 - 1920);
    const one = regionStatistics(volume, { centre: voxelPosition(grid, 4, 5, 6), radius: 0.1 });
    expect([one.count, one.mean, one.least, one.greatest]).toEqual([1, ...new Array<number>(3).fill(data[6 * 360 + 5 * 20 + 4])]);
    expect(one.deviation).toBeNaN();
  });
  test('pictures: a disc and a rectangle', () => {
    const image: Image = { width: 9, height: 7, pixelSize: 0.2, centre: [5, 6], data: Float32Array.from({ length: 63 }, (_, i) => i) };
    const disc = regionStatistics(image, { centre: [5, 6], radius: 0.45 });
    expect(disc.mean).toBe(31);
    expect(disc.count).toBe([...image.data].filter((_, i) => Math.hypot((i % 9) - 4, 3 - Math.floor(i / 9)) <= 2.25).length);
    const top = regionStatistics(image, { from: [0, 6.5], to: [9, 9] });
    expect([top.count, top.least, top.greatest], 'its top row').toEqual([9, 0, 8]);
  });
  test('a region that holds nothing, or cannot be, is refused', async () => {
    expect(await refusal(() => regionStatistics(volume, { centre: [99, 0, 0], radius: 1 }))).toContain('The region holds no voxel with a number');
    expect(await refusal(() => regionStatistics(volume, { centre: [2, -1, 3], radius: 0.05 }))).toContain('make it larger than 0.5 mm');
    expect(() => regionStatistics(volume, { centre: [2, -1, 3], radius: 0 })).toThrow('radius of the region is 0');
    expect(() => regionStatistics(volume, { centre: [2, -1, 3], radius: 1, normal: [0, 0, 0] })).toThrow('normal of the region');
    expect(() => regionStatistics(volume, { centre: [2, -1, 3], radius: 1, normal: [0, 0, 1], thickness: 0 })).toThrow('thickness of the region is 0');
  });
});

describe('materialsNear(mu, keV, sd)', () => {
  test('a material measured as it is comes first, at no distance', () => {
    for (const material of Object.keys(materials) as Material[]) {
      for (const keV of [25, 60, 88]) {
        const [first] = materialsNear(linearAttenuation(material, keV), keV, 1e-6);
        expect(first.material, `${material} at ${keV} keV`).toBe(material);
        expect(first.deviations).toBe(0);
      }
    }
  });
  test('the distance is in standard deviations of measurement, density and energy together, by hand for aluminium at 60 keV', () => {
    const expected = linearAttenuation('aluminium', 60);
    expect(expected / (0.2778 * 0.2699), '0.2778 cm²/g · 2.699 g/cm³ / 10 (NIST)').toBeCloseTo(1, 3);
    const find = (sd: number, keVSd: number) => materialsNear(0.08, 60, sd, keVSd).find(({ material }) => material === 'aluminium')!;
    const slope = linearAttenuation('aluminium', 60.5) - linearAttenuation('aluminium', 59.5);
    for (const [sd, keVSd] of [[0.002, 0], [0, 0], [0.002, 5]]) {
      const { difference, deviations, expectedDeviation } = find(sd, keVSd);
      expect(difference).toBeCloseTo(0.08 - expected, 12);
      expect(expectedDeviation).toBeCloseTo(Math.hypot(expected * Math.hypot(0.005, 0.003), slope * keVSd), 9);
      expect(deviations).toBeCloseTo((0.08 - expected) / Math.hypot(sd, expectedDeviation), 9);
    }
    expect(Math.abs(find(0.002, 5).deviations), 'an energy known badly brings materials nearer').toBeLessThan(Math.abs(find(0.002, 0).deviations) / 2);
  });
  test('all materials are named, the nearest first; wood is forgiving, metal is not', () => {
    const list = materialsNear(0.012, 60, 0.0005);
    expect(list.map(({ material }) => material).sort()).toEqual(Object.keys(materials).sort());
    expect(list.every(({ deviations }, i) => i === 0 || Math.abs(deviations) >= Math.abs(list[i - 1].deviations))).toBe(true);
    expect(list.filter(({ deviations }) => Math.abs(deviations) < 2).map(({ material }) => material), '0.012/mm is within the spread of woods').toContain('wood');
    for (const metal of ['tungsten', 'lead', 'iron']) expect(list.find(({ material }) => material === metal)!.deviations, metal).toBeLessThan(-100);
  });
  test('an energy outside the table, or a measurement that is none, is refused', () => {
    expect(() => materialsNear(0.02, 4, 0.001)).toThrow('5 to 150 keV');
    expect(() => materialsNear(NaN, 60, 0.001)).toThrow('measured attenuation is NaN');
    expect(() => materialsNear(0.02, 60, -1)).toThrow('should be 0 or more');
    expect(() => materialsNear(0.02, 5, 0.001, 3), 'the end of the table').not.toThrow();
  });
});
