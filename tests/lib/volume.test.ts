import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  cameraAround, cameraFrame, castRays, castRaysSteps, checkVolumeGrid, cut, cutSteps, finish, fitGrid, gridOfCut, histogramOf, memoryLimit, normalOf, planeAcross, planeThrough,
  pixelPosition, pointOnPlane, polygonOfCut, suggestThreshold, thresholdBetween, linearAttenuation, valueInVolume, volumeMemory, volumeStatistics, voxelAt, voxelPosition,
  type Camera, type Point3, type Steps, type Volume, type VolumeGrid,
} from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

function volumeOf(grid: VolumeGrid, value: (x: number, y: number, z: number) => number): Volume {
  const { width, height, depth } = grid;
  const data = new Float32Array(width * height * depth);
  for (let i = 0; i < data.length; i++) data[i] = value(...voxelPosition(grid, i % width, Math.floor(i / width) % height, Math.floor(i / (width * height))));
  return { ...grid, data };
}

const grid: VolumeGrid = { width: 7, height: 6, depth: 5, voxelSize: 0.4, centre: [1.3, -2.1, 0.7] };
const noise = volumeOf(grid, (x, y, z) => Math.sin(91.7 * x + 17.3 * y - 53.9 * z) * 3);
/** Linear in all three directions, so that interpolation between voxels is exact. */
const slope = volumeOf(grid, (x, y, z) => 1 + 0.5 * x - 0.3 * y + 0.2 * z);
const slopeAt = ([x, y, z]: Point3) => 1 + 0.5 * x - 0.3 * y + 0.2 * z;

/** A point inside the outermost voxels' middles. */
const inside = fc.tuple(fc.double({ min: -1.2, max: 1.2, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -0.8, max: 0.8, noNaN: true }))
  .map(([x, y, z]): Point3 => [1.3 + x, -2.1 + y, 0.7 + z]);
const direction = fc.tuple(fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: -1, max: 1, noNaN: true }))
  .filter((d) => Math.hypot(...d) > 0.1).map((d): Point3 => d);

describe('voxelPosition and voxelAt', () => {
  test('the first voxel is at the left, the top (+y) and the bottom slice', () => {
    expect(voxelPosition({ width: 4, height: 3, depth: 2, voxelSize: 2 }, 0, 0, 0)).toEqual([-3, 2, -1]);
    expect(voxelPosition({ width: 4, height: 3, depth: 2, voxelSize: 2, centre: [10, 20, 30] }, 3, 2, 1)).toEqual([13, 18, 31]);
  });
  test('one undoes the other', () => {
    fc.assert(fc.property(inside, (point) => voxelPosition(grid, ...voxelAt(grid, point)).forEach((value, k) => expect(value).toBeCloseTo(point[k], 12))), { seed: 1 });
  });
});

describe('valueInVolume(volume, point)', () => {
  test('a voxel’s middle gives that voxel’s very number, whatever stands beside it', () => {
    const holed = { ...noise, data: noise.data.map((value, i) => (i % 2 === 0 ? NaN : value)) };
    for (let i = 1; i < holed.data.length; i += 2) expect(valueInVolume(holed, voxelPosition(grid, i % 7, Math.floor(i / 7) % 6, Math.floor(i / 42)))).toBe(noise.data[i]);
  });
  test('a linear field comes back everywhere between the middles', () => {
    fc.assert(fc.property(inside, (point) => { expect(valueInVolume(slope, point)).toBeCloseTo(slopeAt(point), 6); }), { seed: 2 });
  });
  test('the outermost half voxel holds the value of its middle, beyond is nothing', () => {
    const [x, y, z] = voxelPosition(grid, 0, 0, 0);
    expect(valueInVolume(noise, [x - 0.199, y + 0.199, z - 0.199])).toBe(noise.data[0]);
    expect(valueInVolume(noise, [x - 0.2, y + 0.2, z - 0.2]), 'the corner itself belongs to the volume').toBe(noise.data[0]);
    for (const out of [[x - 0.201, y, z], [x, y + 0.201, z], [x, y, z - 0.201]] as const) expect(valueInVolume(noise, out)).toBeNaN();
  });
  test('a volume of a single voxel is that value all through', () => {
    expect(valueInVolume({ width: 1, height: 1, depth: 1, voxelSize: 2, data: Float32Array.of(5) }, [0.9, -0.9, 0.3])).toBe(5);
  });
});

describe('cut(volume, plane)', () => {
  const { width, height, depth, data } = noise;
  test('across z: slice by slice, the very numbers, in the volume’s own coordinates', () => {
    for (let slice = 0; slice < depth; slice++) {
      const image = cut(noise, planeAcross('z', voxelPosition(grid, 0, 0, slice)[2]));
      expect([image.width, image.height, image.pixelSize]).toEqual([width, height, 0.4]);
      expect(Array.from(image.data)).toEqual(Array.from(data.subarray(slice * width * height, (slice + 1) * width * height)));
      pixelPosition(image, 2, 1).forEach((value, k) => expect(value, 'its pixels lie where the voxels lie').toBeCloseTo(voxelPosition(grid, 2, 1, slice)[k], 12));
    }
  });
  test('across y: x to the right, z up; across x: y to the right, z up', () => {
    for (let row = 0; row < height; row++) {
      const image = cut(noise, planeAcross('y', voxelPosition(grid, 0, row, 0)[1]));
      expect([image.width, image.height]).toEqual([width, depth]);
      image.data.forEach((value, i) => expect(value).toBe(data[((depth - 1 - Math.floor(i / width)) * height + row) * width + (i % width)]));
    }
    for (let column = 0; column < width; column++) {
      const image = cut(noise, planeAcross('x', voxelPosition(grid, column, 0, 0)[0]));
      expect([image.width, image.height]).toEqual([height, depth]);
      image.data.forEach((value, i) => expect(value).toBe(data[((depth - 1 - Math.floor(i / height)) * height + (height - 1 - (i % height))) * width + column]));
    }
  });
  test('any plane shows a linear field as it is, pixel by pixel, and nothing outside', () => {
    fc.assert(fc.property(inside, direction, (point, normal) => {
      const plane = planeThrough(point, normal);
      const image = cut(slope, plane);
      let seen = 0;
      image.data.forEach((value, i) => {
        const place = pointOnPlane(plane, ...pixelPosition(image, i % image.width, Math.floor(i / image.width)));
        const within = voxelAt(grid, place);
        const middle = within.every((v, k) => v >= 0 && v <= [6, 5, 4][k]);
        if (middle) expect(value).toBeCloseTo(slopeAt(place), 5);
        if (within.some((v, k) => v < -0.5001 || v > [6, 5, 4][k] + 0.5001)) expect(value).toBeNaN();
        else if (within.every((v, k) => v > -0.4999 && v < [6, 5, 4][k] + 0.4999)) {
          expect(value, `inside the volume at (${place.join(', ')})`).not.toBeNaN();
          seen++;
        }
      });
      expect(seen, 'pixels that show the volume').toBeGreaterThan(0);
    }), { seed: 3, numRuns: 60 });
  });
  test('the picture reaches as far as the volume does', () => {
    fc.assert(fc.property(inside, direction, (point, normal) => {
      const plane = planeThrough(point, normal);
      const { width: w, height: h, pixelSize, centre } = gridOfCut(grid, plane);
      for (const [u, v] of polygonOfCut(grid, plane)) {
        expect(Math.abs(u - centre![0]), 'a corner beyond the side').toBeLessThanOrEqual((w * pixelSize) / 2 + 1e-9);
        expect(Math.abs(v - centre![1]), 'a corner beyond top or bottom').toBeLessThanOrEqual((h * pixelSize) / 2 + 1e-9);
        voxelAt(grid, pointOnPlane(plane, u, v)).forEach((value, k) => expect(Math.abs(value - [3, 2.5, 2][k])).toBeLessThanOrEqual([3.5, 3, 2.5][k] + 1e-6));
      }
    }), { seed: 4 });
  });

  test('a slab of three slices: their mean, and the greatest of them', () => {
    const plane = planeAcross('z', voxelPosition(grid, 0, 0, 2)[2]);
    const three = (i: number) => [1, 2, 3].map((slice) => data[slice * width * height + i]);
    cut(noise, plane, { thickness: 3 * 0.4 }).data.forEach((value, i) => expect(value).toBe(Math.fround(three(i).reduce((a, b) => a + b) / 3)));
    cut(noise, plane, { thickness: 3 * 0.4, slab: 'maximum' }).data.forEach((value, i) => expect(value).toBe(Math.max(...three(i))));
  });
  test('layers of a slab that leave the volume, or hold no number, are left out', () => {
    const plane = planeAcross('z', voxelPosition(grid, 0, 0, 0)[2]);
    cut(noise, plane, { thickness: 3 * 0.4 }).data.forEach((value, i) => expect(value, 'the lowest two slices').toBe(Math.fround((data[i] + data[width * height + i]) / 2)));
    const holed = { ...noise, data: data.map((value, i) => (i === 0 || i === width * height ? NaN : value)) };
    expect(cut(holed, plane, { thickness: 3 * 0.4 }).data[0]).toBeNaN();
    expect(cut(holed, planeAcross('z', voxelPosition(grid, 0, 0, 1)[2]), { thickness: 3 * 0.4 }).data[0]).toBe(data[2 * width * height]);
  });
  test('the mean of a slab of any plane through a linear field is the plane itself, away from the faces', () => {
    const plane = planeThrough(grid.centre!, [1, 0.4, -0.7]);
    const small = { width: 5, height: 5, pixelSize: 0.1 };
    const thin = cut(slope, plane, { grid: small }).data, thick = cut(slope, plane, { grid: small, thickness: 0.7 }).data;
    thick.forEach((value, i) => expect(value).toBeCloseTo(thin[i], 6));
  });
  test('what cannot be is refused', async () => {
    expect(() => cut(noise, planeAcross('z', 99))).toThrow('The plane misses the volume');
    expect(() => cut(noise, planeAcross('z', 0.7), { thickness: -1 })).toThrow('thickness of the slab is -1');
    expect(await refusal(() => cut(noise, planeAcross('z', 0.7), { grid: { width: 0, height: 3, pixelSize: 1 } }))).toContain('0 × 3 pixels');
    expect(() => planeThrough([0, 0, 0], [0, 0, 0])).toThrow('normal of the plane');
    expect(() => planeThrough([0, 0, 0], [0, 1, 0], [0, -2, 0])).toThrow('up that lies in the plane');
  });
});

test('a plane’s directions are square, of length 1, and its normal points to the viewer', () => {
  fc.assert(fc.property(direction, (normal) => {
    const { across, up } = planeThrough([0, 0, 0], normal);
    const dot = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
    expect(Math.hypot(...across)).toBeCloseTo(1, 12);
    expect(Math.hypot(...up)).toBeCloseTo(1, 12);
    expect(dot(across, up)).toBeCloseTo(0, 12);
    expect(dot(normalOf({ origin: [0, 0, 0], across, up }), normal)).toBeCloseTo(Math.hypot(...normal), 12);
    expect(up[2], 'z is never downwards').toBeGreaterThanOrEqual(-1e-12);
  }), { seed: 5 });
  for (const [axis, normal] of [['z', [0, 0, 1]], ['y', [0, -1, 0]], ['x', [1, 0, 0]]] as const) {
    expect(planeThrough([0, 0, 0], normal).across.map((v) => v + 0), `across ${axis}, as planeAcross has it`).toEqual(planeAcross(axis, 0).across);
    expect(planeThrough([0, 0, 0], normal).up.map((v) => v + 0)).toEqual(planeAcross(axis, 0).up);
  }
});

describe('castRays(volume, camera, transfer)', () => {
  /** A block of one value, 8 × 6 × 4 mm, in the middle of the room. */
  const block = volumeOf({ width: 16, height: 12, depth: 8, voxelSize: 0.5 }, () => 0.05);
  const front: Camera = { projection: 'orthographic', eye: [0, -50, 0], target: [0, 0, 0], width: 20, height: 10, field: 10 };

  test('from the front: x to the right, z up; through 6 mm of 0.05/mm; beside it nothing', () => {
    const { data, opacity, pixelSize } = castRays(block, front, { kind: 'integral' });
    expect(pixelSize).toBe(1);
    data.forEach((value, i) => {
      const [x, z] = [(i % 20) - 9.5, 4.5 - Math.floor(i / 20)];
      const hit = Math.abs(x) < 4 && Math.abs(z) < 2;
      expect(value, `at x ${x}, z ${z}`).toBeCloseTo(hit ? 0.3 : 0, 6);
      expect(opacity[i]).toBe(hit ? 1 : 0);
    });
  });
  test('mean and maximum are the block’s value; a bright voxel is found wherever it lies', () => {
    expect(castRays(block, front, { kind: 'mean' }).data[4 * 20 + 9]).toBeCloseTo(0.05, 7);
    const bright = { ...block, data: block.data.slice() };
    bright.data[(3 * 12 + 5) * 16 + 10] = 2;
    const [x, , z] = voxelPosition(block, 10, 5, 3);
    const { data } = castRays(bright, { ...front, target: [x, 0, z], eye: [x, -50, z], width: 1, height: 1, field: 0.1 }, { kind: 'maximum' }, { step: 0.01 });
    expect(data[0], 'the ray passes through its middle').toBeGreaterThan(1.9);
    expect(castRays(bright, { ...front, target: [x + 1.1, 0, z], eye: [x + 1.1, -50, z], width: 1, height: 1, field: 0.1 }, { kind: 'maximum' }).data[0]).toBeCloseTo(0.05, 6);
  });
  test('the same from any side and by either projection: what goes in along a diagonal', () => {
    const eye: Point3 = [30, -40, 21];
    const straight = castRays(block, { ...front, eye, width: 1, height: 1 }, { kind: 'integral' }).data[0];
    const length = Math.min(8 / 30, 6 / 40, 4 / 21) * Math.hypot(...eye);
    expect(straight, 'the ray through the middle leaves by the nearest faces').toBeCloseTo(0.05 * length, 5);
    expect(castRays(block, { ...front, projection: 'perspective', eye, width: 1, height: 1 }, { kind: 'integral' }).data[0]).toBeCloseTo(straight, 7);
  });
  test('perspective: what is nearer is larger', () => {
    const covered = (projection: Camera['projection'], y: number) => castRays(block, { projection, eye: [0, y, 0], target: [0, 0, 0], width: 60, height: 60, field: 12 }, { kind: 'integral' }).opacity.reduce((a, b) => a + b, 0);
    expect(covered('orthographic', -9)).toBe(covered('orthographic', -90));
    expect(covered('perspective', -9)).toBeGreaterThan(1.5 * covered('orthographic', -9));
    // The front face, 3 mm before the target, is 9/6 and 90/87 times as large.
    expect(covered('perspective', -9) / covered('orthographic', -9)).toBeCloseTo((9 / 6) ** 2, 0.5);
    expect(covered('perspective', -90) / covered('orthographic', -90)).toBeCloseTo((90 / 87) ** 2, 0.7);
  });
  test('an eye inside the block sees what lies before it', () => {
    const { data } = castRays(block, { projection: 'perspective', eye: [0, -1, 0], target: [0, 0, 0], width: 1, height: 1, field: 0.01 }, { kind: 'integral' });
    expect(data[0]).toBeCloseTo(0.05 * 4, 6);
  });
  test('opacity: a depth t of σ hides 1 − e^(−σt), and is as bright as that', () => {
    for (const sigma of [0.01, 0.3, 2]) {
      const seen = castRays(block, front, { kind: 'opacity', points: [{ value: 0, opacity: sigma, brightness: 0.8 }] });
      expect(seen.opacity[4 * 20 + 9]).toBeCloseTo(1 - Math.exp(-sigma * 6), 2.5);
      expect(seen.data[4 * 20 + 9]).toBeCloseTo(0.8 * (1 - Math.exp(-sigma * 6)), 2.5);
      expect(seen.data[0]).toBe(0);
    }
  });
  test('opacity is linear between its points, and holds beyond them', () => {
    const see = (value: number) => castRays(volumeOf(block, () => value), front, { kind: 'opacity', points: [{ value: 0, opacity: 0, brightness: 0 }, { value: 0.1, opacity: 0.02, brightness: 1 }, { value: 0.2, opacity: 0.04, brightness: 0 }] });
    const at = 4 * 20 + 9;
    expect(see(-1).opacity[at]).toBe(0);
    expect(see(0.05).opacity[at]).toBeCloseTo(1 - Math.exp(-0.01 * 6), 5);
    expect(see(0.15).data[at]).toBeCloseTo(0.5 * (1 - Math.exp(-0.03 * 6)), 5);
    expect(see(9).opacity[at]).toBeCloseTo(1 - Math.exp(-0.04 * 6), 5);
    expect(see(9).data[at]).toBe(0);
  });
  test('what is in front hides what is behind', () => {
    const two = volumeOf({ width: 16, height: 16, depth: 16, voxelSize: 0.5 }, (_x, y) => (y < 0 ? 0.1 : 0.2));
    const points = [{ value: 0.1, opacity: 8, brightness: 0.2 }, { value: 0.2, opacity: 8, brightness: 0.9 }];
    const from = (y: number) => castRays(two, { ...front, eye: [0, y, 0], width: 1, height: 1 }, { kind: 'opacity', points }).data[0];
    expect(from(-50)).toBeCloseTo(0.2, 2);
    expect(from(50)).toBeCloseTo(0.9, 2);
  });
  test('shading: a ball is brightest in the middle, and darkens to its rim by the cosine', () => {
    const ball = volumeOf({ width: 40, height: 40, depth: 40, voxelSize: 0.5 }, (x, y, z) => Math.min(1, Math.max(0, (8 - Math.hypot(x, y, z)) / 2)));
    const points = [{ value: 0.45, opacity: 0, brightness: 1 }, { value: 0.5, opacity: 40, brightness: 1 }];
    const look = (shading: number) => castRays(ball, { ...front, width: 41, height: 41, field: 20.5 }, { kind: 'opacity', points, shading });
    const [flat, shaded] = [look(0).data, look(1).data];
    for (const column of [20, 24, 28]) {
      expect(flat[20 * 41 + column], 'flat').toBeCloseTo(1, 1.5);
      const x = (column - 20) * 0.5;
      expect(shaded[20 * 41 + column], `cosine at ${x} mm from the middle of a ball of 7 mm`).toBeCloseTo(Math.sqrt(1 - (x / 7) ** 2), 1);
    }
  });
  test('clip planes cut away', () => {
    const half = castRays(block, front, { kind: 'integral' }, { clip: [{ point: [0, 1, 0], normal: [0, 3, 0] }] }).data;
    expect(half[4 * 20 + 9], 'from y = −3 to 1').toBeCloseTo(0.05 * 4, 6);
    const side = castRays(block, front, { kind: 'integral' }, { clip: [{ point: [1, 0, 0], normal: [1, 0, 0] }] }).data;
    expect(side[4 * 20 + 9]).toBeCloseTo(0.3, 6);
    expect(side[4 * 20 + 12]).toBe(0);
    expect(Math.max(...castRays(block, front, { kind: 'integral' }, { clip: [{ point: [0, 9, 0], normal: [0, -1, 0] }] }).data), 'all of it').toBe(0);
  });
  test('voxels that are no number are empty', () => {
    const holed = volumeOf(block, (_x, y) => (y > 0 ? NaN : 0.05));
    expect(castRays(holed, front, { kind: 'integral' }).data[4 * 20 + 9]).toBeGreaterThan(0.05 * 2);
    expect(castRays(holed, front, { kind: 'integral' }).data[4 * 20 + 9]).toBeLessThanOrEqual(0.05 * 3 + 1e-6);
    expect(castRays(volumeOf(block, () => NaN), front, { kind: 'mean' }).opacity[4 * 20 + 9]).toBe(0);
  });
  test('cameraAround sees all of the volume from everywhere', () => {
    fc.assert(fc.property(fc.double({ min: -4, max: 4, noNaN: true }), fc.double({ min: -1.5, max: 1.5, noNaN: true }), fc.constantFrom('orthographic' as const, 'perspective' as const), (azimuth, elevation, projection) => {
      const camera = cameraAround(grid, { azimuth, elevation, projection, width: 30, height: 20 });
      const { right, up, forward, distance } = cameraFrame(camera);
      for (let corner = 0; corner < 8; corner++) {
        const place = voxelPosition(grid, corner & 1 ? 6.5 : -0.5, corner & 2 ? 5.5 : -0.5, corner & 4 ? 4.5 : -0.5);
        const from = place.map((value, k) => value - camera.target[k]);
        const along = (axis: Point3) => from.reduce((sum, value, k) => sum + value * axis[k], 0);
        const size = projection === 'perspective' ? distance / (distance + along(forward)) : 1;
        expect(Math.abs(along(up)) * size).toBeLessThanOrEqual(camera.field / 2 + 1e-9);
        expect(Math.abs(along(right)) * size).toBeLessThanOrEqual((camera.field / 2) * 1.5 + 1e-9);
      }
    }), { seed: 6 });
    expect(cameraFrame(cameraAround(grid, {})).right.map((v) => v + 0), 'azimuth 0: x to the right').toEqual([1, 0, 0]);
    cameraFrame(cameraAround(grid, { azimuth: Math.PI / 2 })).right.forEach((v, k) => expect(v, 'azimuth 90°: y to the right, as planeAcross x').toBeCloseTo([0, 1, 0][k], 12));
  });
  test('what cannot be is refused', () => {
    expect(() => castRays(block, { ...front, eye: [0, 0, 0] }, { kind: 'mean' })).toThrow('from the eye to the target');
    expect(() => castRays(block, { ...front, up: [0, 1, 0] }, { kind: 'mean' })).toThrow('square to the line of sight');
    expect(() => castRays(block, front, { kind: 'mean' }, { step: 0 })).toThrow('step along a ray is 0');
    expect(() => castRays(block, front, { kind: 'opacity', points: [] })).toThrow('no point');
    expect(() => castRays(block, front, { kind: 'opacity', points: [{ value: 1, opacity: 0, brightness: 0 }, { value: 1, opacity: 0, brightness: 0 }] })).toThrow('Point 1');
  });
});

describe('volumeStatistics and histogramOf', () => {
  test('are those of the numbers, slice by slice or not', () => {
    const far = volumeOf(grid, (x, y, z) => 1e4 + Math.sin(5 * x + 3 * y + z));
    const values = Array.from(far.data);
    const mean = values.reduce((a, b) => a + b) / values.length;
    const { count, missing, deviation, ...rest } = volumeStatistics(far);
    expect([count, missing]).toEqual([210, 0]);
    expect(rest.mean).toBeCloseTo(mean, 8);
    expect(deviation, 'kept although the mean is ten thousand times as large').toBeCloseTo(Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / 210), 8);
    expect(rest.total).toBeCloseTo(mean * 210 * 0.4 ** 3, 6);
    expect([rest.least, rest.greatest]).toEqual([Math.min(...values), Math.max(...values)]);
  });
  test('NaN is counted apart; of nothing but NaN all is NaN', () => {
    const holed = { ...noise, data: noise.data.map((value, i) => (i < 42 || i % 5 === 0 ? NaN : value)) };
    const { count, missing } = volumeStatistics(holed);
    expect(count + missing).toBe(210);
    expect(missing).toBe(holed.data.filter((value) => Number.isNaN(value)).length);
    expect(volumeStatistics({ ...noise, data: noise.data.map(() => NaN) })).toEqual({ count: 0, mean: NaN, deviation: NaN, least: NaN, greatest: NaN, missing: 210, total: NaN });
  });
  test('every voxel is in a bin, from the least to the greatest', () => {
    const { counts, edges } = histogramOf(noise, 16);
    expect(counts.reduce((a, b) => a + b)).toBe(210);
    expect([edges[0], edges[16]]).toEqual([Math.min(...noise.data), Math.max(...noise.data)]);
    expect(histogramOf(noise, 4, [0, 1]).counts.reduce((a, b) => a + b)).toBe(noise.data.filter((v) => v >= 0 && v <= 1).length);
    expect(() => histogramOf(noise, 0)).toThrow('number of bins is 0');
  });
});

describe('suggestThreshold(volume)', () => {
  test('a ball of 0.03/mm in air, blurred, noisy, and in 5 % of the volume: halfway is its edge', () => {
    let seed = 7;
    const random = () => ((seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0) / 2 ** 32) + ((seed = (Math.imul(seed, 1664525) + 1013904223) >>> 0) / 2 ** 32) - 1;
    const volume = volumeOf({ width: 48, height: 48, depth: 48, voxelSize: 0.5 }, (x, y, z) => 0.03 / (1 + Math.exp((Math.hypot(x, y, z) - 5.5) / 0.35)) + 0.002 * random());
    const { halfway, lower, upper, otsu } = suggestThreshold(volume);
    // The noise of a voxel is 0.0008/mm; the edge rises by 0.021/mm in a millimetre.
    expect(Math.abs(lower), 'air').toBeLessThan(0.0004);
    expect(Math.abs(upper - 0.03), 'the ball').toBeLessThan(0.0006);
    expect(Math.abs(halfway - 0.015) / 0.0214, 'distance of the surface from the edge, mm').toBeLessThan(0.02);
    expect(otsu).toBeGreaterThan(0.01);
    expect(otsu).toBeLessThan(0.02);
  });
  test('two values: their middle; one value: that value', () => {
    const { lower, upper } = suggestThreshold({ data: Float32Array.from([0, 0, 0, 0, 8, 8]) });
    expect(lower).toBeLessThan(0.1);
    expect(upper).toBeGreaterThan(7.8);
    expect(suggestThreshold({ data: Float32Array.of(4, 4) })).toEqual({ otsu: 4, halfway: 4, lower: 4, upper: 4 });
  });
  test('thresholdBetween two materials of the table', () => {
    expect(thresholdBetween('nothing', 'aluminium', 60)).toBeCloseTo(linearAttenuation('aluminium', 60) / 2, 12);
    expect(thresholdBetween('polyethylene', 'aluminium', 60)).toBe(thresholdBetween('aluminium', 'polyethylene', 60));
  });
});

describe('volumeMemory, fitGrid and checkVolumeGrid', () => {
  test('4 bytes a voxel', () => expect(volumeMemory({ width: 160, height: 160, depth: 160 })).toBe(16_384_000));
  test('a grid that fits is left as it is', () => expect(fitGrid(grid, 840)).toBe(grid));
  test('fitGrid covers the same, fits, and is not much coarser than it has to be', () => {
    fc.assert(fc.property(fc.integer({ min: 40, max: 900 }), fc.integer({ min: 40, max: 900 }), fc.integer({ min: 40, max: 900 }), fc.double({ min: 0.05, max: 0.9, noNaN: true }), (width, height, depth, share) => {
      const whole: VolumeGrid = { width, height, depth, voxelSize: 0.2, centre: [1, 2, 3] };
      const bytes = volumeMemory(whole) * share;
      const fits = fitGrid(whole, bytes);
      expect(volumeMemory(fits), 'fits').toBeLessThanOrEqual(bytes);
      expect(fits.centre).toEqual([1, 2, 3]);
      for (const side of ['width', 'height', 'depth'] as const) expect(fits[side] * fits.voxelSize, `covers the ${side}`).toBeGreaterThanOrEqual(whole[side] * 0.2 - 1e-6);
      const ideal = 0.2 * Math.cbrt(1 / share);
      expect(fits.voxelSize / ideal, 'coarser than cubes that fill the memory').toBeLessThan(1.1);
    }), { seed: 8 });
    expect(fitGrid({ width: 1000, height: 1, depth: 1, voxelSize: 1 }, 4)).toMatchObject({ width: 1, height: 1, depth: 1 });
    expect(() => fitGrid(grid, 3)).toThrow('cannot fit into 3 bytes');
  });
  test('a volume too large is refused with its memory and a size that would fit', async () => {
    const sentence = await refusal(() => checkVolumeGrid({ width: 1024, height: 1024, depth: 1024, voxelSize: 0.05 }));
    expect(sentence).toContain('A volume of 1,024 × 1,024 × 1,024 voxels of 0.05 mm would take 4.3 GB of memory and at most 500 MB are allowed for');
    const [, size, voxel] = /(\d+) × \d+ × \d+ voxels of (\S+) mm would fit/.exec(sentence) ?? [];
    expect(4 * Number(size) ** 3).toBeLessThanOrEqual(memoryLimit);
    expect(4 * Number(size) ** 3).toBeGreaterThan(0.95 * memoryLimit);
    expect(Number(size) * Number(voxel)).toBeGreaterThan(0.99 * 51.2);
    expect(() => checkVolumeGrid({ width: 10, height: 10, depth: 10, voxelSize: 1 }, 4000)).not.toThrow();
    expect(await refusal(() => checkVolumeGrid({ width: 10, height: 10, depth: 10, voxelSize: 1 }, 3999))).toContain('4 kB of memory');
    expect(await refusal(() => checkVolumeGrid({ width: 10, height: 1.5, depth: 10, voxelSize: 1 }))).toContain('10 × 1.5 × 10 voxels');
    expect(await refusal(() => checkVolumeGrid({ width: 10, height: 10, depth: 10, voxelSize: 0 }))).toContain('voxel size is 0 mm');
  });
});

test.each<[string, () => Steps<unknown>]>([
  ['cutSteps', () => cutSteps(volumeOf({ width: 40, height: 40, depth: 4, voxelSize: 1 }, () => 1), planeAcross('z', 0), { thickness: 3 })],
  ['castRaysSteps', () => castRaysSteps(noise, cameraAround(grid, { width: 8, height: 8 }), { kind: 'mean' })],
])('%s reports its way, rising, and ends where the whole does', (_, begin) => {
  const heard: number[] = [];
  const steps = begin();
  let step = steps.next();
  for (; !step.done; step = steps.next()) heard.push(step.value as number);
  expect(heard.length).toBeGreaterThan(5);
  expect(heard.every((value, i) => value > (heard[i - 1] ?? 0) && value <= 1 + 1e-12)).toBe(true);
  expect(step.value).toEqual(finish(begin()));
});
