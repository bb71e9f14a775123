/** Plate 11.1: the plane stands where its settings say, and the parts on it are those of the exact solids. */
import { beforeAll, describe, expect, it } from 'vitest';
import { finish, insideSolid, normalOf, pointOnPlane, solidAt, type Point3, type Steps } from '../../src/lib/index.ts';
import { gridOf, middle, solids } from '../../src/widgets/any-cut/capsule-volume.ts';
import { anyCut, fixedAt, normalFor, offsetThrough, planeOf, type AnyCutResult, type AnyCutState } from '../../src/widgets/any-cut/model.ts';
import { capsuleParts, solidHere, type Part } from '../../src/widgets/any-cut/parts.ts';

const show = (change: Partial<AnyCutState> = {}) => finish(anyCut.compute({ ...anyCut.initial, ...change }, undefined as never) as Steps<AnyCutResult>);

describe('the free plane', () => {
  it.each([[0, 0, [0, -1, 0]], [90, 0, [1, 0, 0]], [0, 90, [0, 0, 1]], [180, 0, [0, 1, 0]]] as const)('turned %d° and tipped %d° looks back along %j', (turn, tip, expected) => {
    normalOf(planeOf({ turn, tip, offset: 0 })).forEach((value, k) => expect(value).toBeCloseTo(expected[k], 12));
  });
  it('keeps up upwards when it is upright, and its picture keeps turning with it when it is level', () => {
    expect(planeOf({ turn: 70, tip: 0, offset: 3 }).up[2]).toBeCloseTo(1, 12);
    const [low, high] = [planeOf({ turn: 70, tip: 90, offset: 0 }), planeOf({ turn: 70, tip: 89.999, offset: 0 })];
    low.up.forEach((value, k) => expect(value, 'the picture jumps as the plane becomes level').toBeCloseTo(high.up[k], 4));
  });
  it('lies at its offset from the middle', () => {
    const { origin } = planeOf({ turn: 33, tip: -20, offset: 7 });
    expect(Math.hypot(...origin.map((value, k) => value - middle[k]))).toBeCloseTo(7, 12);
  });
  it('goes through the point of a fixed cut at which it is dragged', () => {
    const offset = offsetThrough({ axis: 'y', position: fixedAt[1] }, 10, -20, 40, 30);
    const normal = normalFor(40, 30);
    expect([10, fixedAt[1], -20].reduce((sum, value, k) => sum + (value - middle[k]) * normal[k], 0)).toBeCloseTo(offset, 12);
  });
});

describe('the parts', () => {
  let parts: readonly Part[];
  beforeAll(() => { parts = finish(capsuleParts()); });
  it('are found at a point as the library finds them', () => {
    let seed = 5, met = 0;
    const lot = () => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;
    for (let i = 0; i < 3000; i++) {
      const point: Point3 = [middle[0] + 60 * (lot() - 0.5), middle[1] + 60 * (lot() - 0.5), 76 * (lot() - 0.5)];
      const here = solidHere(parts, point);
      expect(here, `at ${point.join(', ')}`).toBe(solidAt(solids, point));
      if (here >= 0) met++;
    }
    expect(met).toBeGreaterThan(1000);
  });
  it('have the areas of the solids: the egg on its widest level is 28 mm in radius, with a wall of 3', () => {
    const { parts } = show({ turn: 0, tip: 90, offset: -3 }); // z = −3, where nothing but the shell, the marble, the vial and the bead is
    expect(parts.map(({ name }) => name)).toEqual(expect.arrayContaining(['shell', 'marble', 'vial']));
    const shell = parts.find(({ name }) => name === 'shell')!.area;
    expect(Math.abs(shell / (Math.PI * (28 ** 2 - 25 ** 2)) - 1), `shell: ${shell} mm²`).toBeLessThan(0.02);
    const marble = parts.find(({ name }) => name === 'marble')!.area; // centre at z = −5, so 2 mm off its middle
    expect(Math.abs(marble / (Math.PI * (8 ** 2 - 2 ** 2)) - 1), `marble: ${marble} mm²`).toBeLessThan(0.03);
  });
});

describe('the plate any-cut', () => {
  it('shows a voxel-sized blur of the solids, the worse the coarser the voxels', () => {
    const errors = ([1, 1.5, 2, 3] as const).map((voxel) => show({ shows: 'difference', voxel }).error!);
    errors.slice(1).forEach((error, k) => expect(error, 'coarser voxels come out nearer to the solids').toBeGreaterThan(errors[k]));
  });
  it('has the difference of the two others in its third picture', () => {
    const [volume, exact, difference] = (['volume', 'solids', 'difference'] as const).map((shows) => show({ shows }).picture.data);
    difference.forEach((value, i) => expect(value).toBeCloseTo(volume[i] - exact[i], 6));
  });
  it('shows at the greatest value of a slab never less than the plane, at the mean never more than the greatest', () => {
    const [mean, most] = (['mean', 'maximum'] as const).map((slab) => show({ thickness: 9, slab }).picture.data);
    const plane = show().picture.data;
    plane.forEach((value, i) => expect(most[i]).toBeGreaterThanOrEqual(value - 1e-6));
    mean.forEach((value, i) => expect(value).toBeLessThanOrEqual(most[i] + 1e-6));
  });
  it('draws its line on a fixed cut where the plane crosses it, and none where both lie level', () => {
    const plane = planeOf(anyCut.initial);
    const { fixed } = show();
    for (const { axis, position, line } of fixed) {
      const [u, v] = [(line!.from[0] + line!.to[0]) / 2, (line!.from[1] + line!.to[1]) / 2];
      const point = axis === 'z' ? [u, v, position] : axis === 'y' ? [u, position, v] : [position, u, v];
      const normal = normalOf(plane);
      expect(point.reduce((sum, value, k) => sum + (value - plane.origin[k]) * normal[k], 0), `${axis}-cut`).toBeCloseTo(0, 9);
    }
    expect(show({ tip: 90 }).fixed.find(({ axis }) => axis === 'z')!.line).toBeUndefined();
  });
  it('says what the plane goes through, the voxels and their memory', () => {
    const words = (change: Partial<AnyCutState>) => anyCut.describe({ ...anyCut.initial, ...change }, show(change), undefined as never);
    expect(words({})).toContain('the shell, the nut');
    expect(words({ offset: 36, tip: 0, turn: 0 })).toContain('It misses the capsule.');
    const { width, height, depth } = gridOf(2);
    expect(words({ voxel: 2 })).toContain(`${width} × ${height} × ${depth}, 0.12 MB`);
  });
  it('holds the whole capsule on every grid', () => {
    for (const voxel of [1, 1.5, 2, 3]) {
      const grid = gridOf(voxel);
      const half = [grid.width, grid.height, grid.depth].map((count) => (count * voxel) / 2);
      for (let i = 0; i < 3; i++) for (const sign of [-1, 1]) {
        const face = middle.map((value, k) => value + (k === i ? sign * half[k] : 0)) as unknown as Point3;
        expect(insideSolid(solids[0], face)).toBe(false);
      }
    }
    expect(pointOnPlane(planeOf({ turn: 0, tip: 0, offset: 0 }), 0, 0)).toEqual(middle);
  });
});
