/** The volume sheet's pure parts: what may happen to a view, where the cuts lie, how the cross-hair moves, greys, measurements, the graphics card's numbers. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { castRays, cut, normalOf, planeAcross, voxelAt, voxelPosition, type Point3, type Volume, type VolumeGrid } from '../../src/lib/index.ts';
import { endMoved, endNear, fittedGreys, roundedGreys, usualThreshold } from '../../src/workshop/volume/greys.ts';
import { cameraOf, clipMoved, clipPlanes, lookOf, transferOf, wholeClip } from '../../src/workshop/volume/look.ts';
import { drawn, figuresOf, inWords, measuresAsCsv } from '../../src/workshop/volume/measures.ts';
import * as model from '../../src/workshop/volume/model.ts';
import { cutNames, type SavedView } from '../../src/workshop/volume/model.ts';
import { openPace } from '../../src/workshop/volume/pace.ts';
import { directions, endsOf, held, lineOn, mostOffset, offsetOf, onFreePlane, onPlane, planeOf, pressed, reach, shownGrid, snapped, stepped, walked, wholeGrid } from '../../src/workshop/volume/planes.ts';
import { coarseness, half, textureOf } from '../../src/workshop/volume/texture.ts';

const grid: VolumeGrid = { width: 10, height: 8, depth: 6, voxelSize: 0.5, centre: [1, -2, 3] };
const view = model.usualView(grid);
const volumeOf = (value: (x: number, y: number, z: number) => number, shape: VolumeGrid = grid): Volume => ({
  ...shape,
  data: Float32Array.from({ length: shape.width * shape.height * shape.depth }, (_, i) => {
    const column = i % shape.width, row = Math.floor(i / shape.width) % shape.height, slice = Math.floor(i / shape.width / shape.height);
    return value(...voxelPosition(shape, column, row, slice));
  }),
});
const dot = (a: Point3, b: Point3) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const facings = fc.record({ turn: fc.double({ min: -180, max: 180, noNaN: true }), tilt: fc.double({ min: -90, max: 90, noNaN: true }) });
const points = fc.tuple(...[0, 1, 2].map((axis) => fc.double({ min: endsOf(grid, axis as 0)[0], max: endsOf(grid, axis as 0)[1], noNaN: true }))) as unknown as fc.Arbitrary<Point3>;

describe('the cross-hair', () => {
  test('begins in the middle of a voxel, and its sliders run from the first voxel’s middle to the last one’s', () => {
    for (const at of voxelAt(grid, view.cross)) expect(at, 'a whole number of voxels').toBeCloseTo(Math.round(at), 9);
    expect(endsOf(grid, 0)).toEqual([-1.25, 3.25]);
    expect(endsOf(grid, 2)).toEqual([1.75, 4.25]);
  });

  test('arrow keys go from voxel to voxel along the two directions of the cut, Page Up and Page Down through it', () => {
    const at = (point: Point3) => voxelAt(grid, point).map((each) => Number(each.toFixed(6)));
    const start = voxelPosition(grid, 4, 3, 2);
    const from = { ...view, cross: start };
    expect(at(walked(grid, from, 'z', 1, 0, 0)), 'right on the cut across z').toEqual([5, 3, 2]);
    expect(at(walked(grid, from, 'z', 0, 1, 0)), 'up is +y, so a row less').toEqual([4, 2, 2]);
    expect(at(walked(grid, from, 'z', 0, 0, -1)), 'Page Down: a slice lower').toEqual([4, 3, 1]);
    expect(at(walked(grid, from, 'y', 0, 1, 0)), 'up on the cut across y is +z').toEqual([4, 3, 3]);
    expect(at(walked(grid, from, 'x', 1, 0, 0)), 'right on the cut across x is +y').toEqual([4, 2, 2]);
    expect(at(walked(grid, from, 'x', -10, 0, 0)), 'ten at once stop at the last voxel').toEqual([4, 7, 2]);
  });

  test('from between two voxels a step goes to the next one in its direction, and never two', () => {
    const [x, y, z] = voxelPosition(grid, 4.3, 3, 2);
    expect(voxelAt(grid, stepped(grid, [x, y, z], 0, 1))[0]).toBeCloseTo(5, 9);
    expect(voxelAt(grid, stepped(grid, [x, y, z], 0, -1))[0]).toBeCloseTo(4, 9);
  });

  test('a press on a cut lands on the voxel under it and leaves the cut where it is; marking is not held to voxels', () => {
    const from = { ...view, cross: voxelPosition(grid, 4, 3, 2) };
    const to = pressed(grid, from, 'z', from.cross[0] + 0.7, from.cross[1] + 0.2);
    expect(voxelAt(grid, to).map((each) => Number(each.toFixed(6)))).toEqual([5, 3, 2]);
    expect(pressed(grid, from, 'z', from.cross[0] + 0.7, from.cross[1] + 0.2, true)).toEqual([from.cross[0] + 0.7, from.cross[1] + 0.2, from.cross[2]]);
  });

  test('never leaves the volume, and all four planes go through it', () => {
    fc.assert(fc.property(points, facings, fc.double({ min: -9, max: 9, noNaN: true }), fc.double({ min: -9, max: 9, noNaN: true }), fc.constantFrom(...cutNames), (cross, free, u, v, name) => {
      const from: SavedView = { ...view, cross, free };
      const next = model.moveCross(from, grid, pressed(grid, from, name, u, v));
      expect(held(grid, next.cross), 'inside').toEqual(next.cross);
      for (const each of cutNames) {
        const plane = planeOf(grid, next, each);
        expect(Math.abs(dot([0, 1, 2].map((i) => next.cross[i] - plane.origin[i]) as unknown as Point3, normalOf(plane))), `on the plane ${each}`).toBeLessThan(1e-9);
      }
    }));
  });

  test('a press on the free plane keeps the plane where it is', () => {
    fc.assert(fc.property(points, facings, fc.double({ min: -9, max: 9, noNaN: true }), fc.double({ min: -9, max: 9, noNaN: true }), (cross, free, u, v) => {
      const from: SavedView = { ...view, cross, free };
      const next = { ...from, cross: pressed(grid, from, 'free', u, v) };
      expect(Math.abs(offsetOf(grid, next) - offsetOf(grid, from))).toBeLessThan(1e-6 * grid.voxelSize);
    }));
  });

  test('the offset slider reaches both of its ends', () => {
    fc.assert(fc.property(points, facings, fc.double({ min: -1, max: 1, noNaN: true }), (cross, free, share) => {
      const wanted = share * mostOffset(grid, free);
      const moved = onFreePlane(grid, free, wanted, cross);
      expect(held(grid, moved)).toEqual(moved);
      expect(Math.abs(offsetOf(grid, { cross: moved, free }) - wanted)).toBeLessThan(0.02 * grid.voxelSize);
    }));
  });
});

describe('the cuts', () => {
  test('the free plane at turn 0, tilt 0 is the cut across y; at tilt 90 the cut across z; at turn 90 the cut across x', () => {
    const same = (free: model.Facing, axis: 'x' | 'y' | 'z') => {
      const { across, up } = planeOf(grid, { cross: view.cross, free }, 'free');
      const other = planeAcross(axis, 0);
      for (const [a, b] of [[across, other.across], [up, other.up]]) a.forEach((each, i) => expect(each).toBeCloseTo(b[i], 9));
    };
    same({ turn: 0, tilt: 0 }, 'y');
    same({ turn: 0, tilt: 90 }, 'z');
    same({ turn: 90, tilt: 0 }, 'x');
  });

  test('the directions of a facing are square and of length 1', () => {
    fc.assert(fc.property(facings, (facing) => {
      const { normal, up } = directions(facing);
      expect(Math.hypot(...normal)).toBeCloseTo(1, 12);
      expect(Math.hypot(...up)).toBeCloseTo(1, 12);
      expect(dot(normal, up)).toBeCloseTo(0, 12);
    }));
  });

  test('each cut shows all of the volume that it meets, and the value under the cross-hair is that of its voxel', () => {
    const volume = volumeOf((x, y, z) => x + 10 * y + 100 * z);
    const from = { ...view, cross: voxelPosition(grid, 7, 2, 4) };
    for (const name of ['x', 'y', 'z'] as const) {
      const plane = planeOf(volume, from, name);
      const image = cut(volume, plane, { grid: wholeGrid(volume, plane, name) });
      const [u, v] = onPlane(plane, from.cross);
      const column = Math.round((u - image.centre![0]) / image.pixelSize + (image.width - 1) / 2), row = Math.round((image.centre![1] - v) / image.pixelSize + (image.height - 1) / 2);
      expect(image.data[row * image.width + column], name).toBeCloseTo(from.cross[0] + 10 * from.cross[1] + 100 * from.cross[2], 3);
      expect([...image.data].every(Number.isFinite), `${name}: no pixel outside`).toBe(true);
    }
  });

  test('the free plane’s picture keeps its scale for the cylinder about the axis, and no corner is cut off', () => {
    fc.assert(fc.property(points, facings, (cross, free) => {
      const plane = planeOf(grid, { cross, free }, 'free');
      const whole = wholeGrid(grid, plane, 'free');
      const [x, y, z] = reach(grid);
      expect(whole.width * whole.pixelSize).toBeGreaterThanOrEqual(2 * Math.hypot(Math.max(x, y), z) - 1e-9);
      for (const corner of [0, 1, 2, 3, 4, 5, 6, 7]) {
        const place = [0, 1, 2].map((i) => grid.centre![i] + (corner & (1 << i) ? 1 : -1) * reach(grid)[i]) as unknown as Point3;
        if (Math.abs(dot([0, 1, 2].map((i) => place[i] - plane.origin[i]) as unknown as Point3, normalOf(plane))) > 1e-9) continue;
        for (const each of onPlane(plane, place)) expect(Math.abs(each)).toBeLessThanOrEqual((whole.width * whole.pixelSize) / 2 + 1e-9);
      }
    }));
  });

  test('magnified, a cut shows fewer of the very same pixels, with the cross-hair among them', () => {
    fc.assert(fc.property(points, facings, fc.double({ min: 1, max: 8, noNaN: true }), points, fc.constantFrom(...cutNames), (cross, free, zoom, middle, name) => {
      const from: SavedView = { ...view, cross, free, zoom, middle };
      const plane = planeOf(grid, from, name);
      const whole = wholeGrid(grid, plane, name), shown = shownGrid(whole, plane, from);
      expect(shown.pixelSize).toBe(whole.pixelSize);
      for (const axis of [0, 1] as const) {
        const size = axis === 0 ? 'width' : 'height';
        const edge = (of: typeof whole) => of.centre![axis] / of.pixelSize - of[size] / 2;
        expect(edge(shown) - edge(whole), 'moved by whole pixels').toBeCloseTo(Math.round(edge(shown) - edge(whole)), 6);
        expect(edge(shown)).toBeGreaterThanOrEqual(edge(whole) - 1e-6);
        expect(edge(shown) + shown[size]).toBeLessThanOrEqual(edge(whole) + whole[size] + 1e-6);
        const at = onPlane(plane, cross)[axis] / shown.pixelSize;
        expect(at, 'cross-hair in the picture').toBeGreaterThanOrEqual(edge(shown) - 1e-6);
        expect(at).toBeLessThanOrEqual(edge(shown) + shown[size] + 1e-6);
      }
    }));
  });

  test('where the cuts are magnified, a cross-hair moved inside the picture does not move the picture', () => {
    const near = model.magnify({ ...view, cross: voxelPosition(grid, 4, 3, 2) }, grid, 2);
    expect(model.moveCross(near, grid, voxelPosition(grid, 5, 3, 2)).middle).toEqual(near.middle);
    expect(model.moveCross(near, grid, voxelPosition(grid, 9, 3, 2)).middle, 'but one at the edge does').not.toEqual(near.middle);
  });

  test('the line in which the free plane meets a cut lies in both', () => {
    fc.assert(fc.property(points, facings, fc.constantFrom('x', 'y', 'z' as const), (cross, free, name) => {
      const plane = planeOf(grid, { cross, free }, name), other = planeOf(grid, { cross, free }, 'free');
      const line = lineOn(plane, other);
      if (!line) return;
      const along = [0, 1, 2].map((i) => line[0] * plane.across[i] + line[1] * plane.up[i]) as unknown as Point3;
      expect(Math.abs(dot(along, normalOf(other)))).toBeLessThan(1e-6);
      expect(Math.hypot(...line)).toBeCloseTo(1, 9);
    }));
  });

  test('a snapped point is a voxel’s middle along the axes asked for, and stays as it was along the others', () => {
    expect(snapped(grid, [0.9, -2.1, 2.9], [0, 2])).toEqual([0.75, -2.1, 2.75]);
    expect(snapped(grid, [99, 99, -99])).toEqual([3.25, -0.25, 1.75]);
  });
});

describe('measurements', () => {
  const mark = (from: SavedView, ...places: Point3[]) => places.reduce((now, place) => model.mark(now, place, [0, 0, 1]), from);

  test('two points make a distance, three an angle or a circle, one a region; the marks are then gone', () => {
    const two = mark(view, [0, 0, 0]);
    expect([two.marks.length, two.measures.length]).toEqual([1, 0]);
    const made = mark(two, [3, 4, 0]);
    expect(made.marks).toEqual([]);
    expect(made.measures).toMatchObject([{ id: 1, name: 'Distance 1', kind: 'distance' }]);
    const circle = mark(model.measure(made, 'circle'), [1, 0, 0], [0, 1, 0], [-1, 0, 0]);
    expect(circle.measures[1]).toMatchObject({ id: 2, name: 'Circle 1', kind: 'circle' });
    const region = mark(model.measure(circle, 'region'), [1, -2, 3]);
    expect(region.measures[2]).toMatchObject({ kind: 'region', radius: view.radius, facing: [0, 0, 1] });
  });

  test('marked points stay when another kind is chosen, as far as it can use them', () => {
    const angle = mark(model.measure(view, 'angle'), [0, 0, 0], [1, 0, 0]);
    expect(model.measure(angle, 'distance').marks).toEqual([[0, 0, 0]]);
    expect(model.measure(angle, 'circle').marks.length).toBe(2);
  });

  test('undo takes back marks first, then deleting, naming and making, one by one; redo brings them again', () => {
    let now = mark(view, [0, 0, 0], [3, 4, 0]);
    now = model.rename(now, 1, 'wall');
    now = mark(now, [0, 0, 0], [1, 0, 0]);
    now = model.remove(now, 1);
    now = mark(now, [5, 5, 5]);
    const names = (of: SavedView) => of.measures.map(({ name }) => name);
    expect(names(now)).toEqual(['Distance 1']);
    now = model.undo(now);
    expect(now.marks, 'the mark').toEqual([]);
    now = model.undo(now);
    expect(names(now), 'the deleted one is back').toEqual(['wall', 'Distance 1']);
    now = model.undo(model.undo(now));
    expect(names(now), 'and has its first name').toEqual(['Distance 1']);
    now = model.undo(now);
    expect(names(now)).toEqual([]);
    expect(model.undo(now), 'nothing further back').toEqual(now);
    now = model.redo(model.redo(now));
    expect(names(now)).toEqual(['wall']);
    expect(model.redo(mark(now, [0, 0, 0], [2, 0, 0])).after, 'a new one ends the way forward').toEqual([]);
  });

  test('deleted names and numbers are not given to others that are there', () => {
    let now = mark(view, [0, 0, 0], [1, 0, 0], [0, 0, 0], [2, 0, 0]);
    now = mark(model.remove(now, 1), [0, 0, 0], [3, 0, 0]);
    expect(now.measures.map(({ id, name }) => `${id} ${name}`)).toEqual(['2 Distance 2', '3 Distance 1']);
  });

  test('their figures: 3–4–5, a right angle, a circle of known radius, mean and spread of a region', () => {
    const volume = volumeOf((x) => (x > 1 ? 0.03 : 0.01));
    const of = (kind: model.MeasureKind, ...places: Point3[]) => figuresOf({ id: 1, name: '', kind, points: places, radius: 1.3, facing: [0, 0, 1] }, volume);
    expect(of('distance', [0, 0, 0], [3, 4, 0])).toEqual({ value: 5, unit: 'mm' });
    expect(of('angle', [2, 0, 0], [0, 0, 0], [0, 0, 3]).value).toBeCloseTo(90, 9);
    expect(of('circle', [3, 0, 1], [0, 3, 1], [-3, 0, 1])).toMatchObject({ unit: 'mm' });
    expect(of('circle', [3, 0, 1], [0, 3, 1], [-3, 0, 1]).value, 'across').toBeCloseTo(6, 9);
    const region = of('region', [1, -2, 3.25]);
    expect(region.value, 'half of the disc in each').toBeCloseTo(0.02, 6);
    expect(region.deviation).toBeCloseTo(0.01 * Math.sqrt(region.count! / (region.count! - 1)), 6);
    expect(inWords(region).chief).toMatch(/^0\.02 ± 0\.01 \/mm$/);
    expect(() => of('circle', [0, 0, 0], [1, 0, 0], [2, 0, 0])).toThrow(/one line/);
  });

  test('what is drawn of a circle and of a region goes through its points, or round its middle', () => {
    const ring = drawn({ id: 1, name: '', kind: 'circle', points: [[3, 0, 1], [0, 3, 1], [-3, 0, 1]] }).lines[0];
    for (const [x, y, z] of ring) { expect(Math.hypot(x, y)).toBeCloseTo(3, 9); expect(z).toBeCloseTo(1, 9); }
    const disc = drawn({ id: 1, name: '', kind: 'region', points: [[1, 1, 1]], radius: 2, facing: [1, 0, 0] }).lines[0];
    for (const [x, y, z] of disc) { expect(x).toBeCloseTo(1, 9); expect(Math.hypot(y - 1, z - 1)).toBeCloseTo(2, 9); }
    expect(drawn({ id: 1, name: '', kind: 'circle', points: [[0, 0, 0], [1, 0, 0], [2, 0, 0]] }).dots.length, 'no circle: its points all the same').toBe(3);
  });

  test('the table: one row each, names with commas and quotes survive, a measurement without a figure has empty cells', () => {
    const volume = volumeOf(() => 0.02);
    const csv = measuresAsCsv([
      { id: 1, name: 'wall, "left"', kind: 'distance', points: [[0, 0, 0], [3, 4, 0]] },
      { id: 2, name: 'flat', kind: 'circle', points: [[0, 0, 0], [1, 0, 0], [2, 0, 0]] },
      { id: 3, name: 'oil', kind: 'region', points: [[1, -2, 3.25]], radius: 1, facing: [0, 0, 1] },
    ], volume);
    const rows = csv.trim().split('\r\n');
    expect(rows[0]).toBe('name,kind,value,unit,standard deviation,voxels,radius (mm),x1 (mm),y1 (mm),z1 (mm),x2 (mm),y2 (mm),z2 (mm),x3 (mm),y3 (mm),z3 (mm)');
    expect(rows[1]).toBe('"wall, ""left""",distance,5,mm,,,,0,0,0,3,4,0');
    expect(rows[2]).toBe('flat,circle,,,,,,0,0,0,1,0,0,2,0,0');
    expect(rows[3]).toMatch(/^oil,region,0\.02,1\/mm,0,\d+,1,1,-2,3\.25$/);
  });
});

describe('a view that was kept', () => {
  test('comes back as it was, through JSON', () => {
    let now = model.mark(model.mark(view, [1, -2, 3], [0, 0, 1]), [2, -2, 3], [0, 0, 1]);
    now = model.changeSolid(model.change(now, { greys: { low: 0, high: 0.05 }, large: 'x', press: 'mark', keV: 62 }), { threshold: 0.01, clip: [[-1, 3], [-3, -1], [2, 4]], shows: 'surface' });
    expect(model.restoredView(JSON.parse(JSON.stringify(now)), grid)).toEqual({ ...now });
  });

  test('of another volume: its cross-hair is brought inside', () => {
    const far = { ...view, cross: [100, 100, 100] };
    expect(model.restoredView(far, grid).cross).toEqual([3.25, -0.25, 4.25]);
  });

  test('whatever is given, there is a view in which everything is in range', () => {
    expect(model.restoredView(undefined, grid)).toEqual(view);
    expect(model.restoredView({ ...view, version: 2 }, grid)).toEqual(view);
    const keys = Object.keys(view) as (keyof SavedView)[];
    fc.assert(fc.property(fc.constantFrom(...keys, 'greys', 'large', 'keV'), fc.anything(), (key, nonsense) => {
      const now = model.restoredView({ ...view, [key]: nonsense }, grid);
      expect(held(grid, now.cross)).toEqual(now.cross);
      expect(now.zoom).toBeGreaterThanOrEqual(1);
      expect(cutNames).toContain(now.cut);
      expect(now.measures.every(({ kind, points: places }) => places.length === model.pointsOf[kind])).toBe(true);
      expect(() => planeOf(grid, now, 'free')).not.toThrow();
    }), { numRuns: 500 });
  });

  test('measurements that are none are left out', () => {
    const kept = { ...view, measures: [{ id: 1, name: 'a', kind: 'distance', points: [[0, 0, 0]] }, { id: 2, name: 'b', kind: 'region', points: [[0, 0, 0]] }, null, { id: 3, name: 'c', kind: 'angle', points: [[0, 0, 0], [1, 0, 0], [0, 1, 0]] }] };
    expect(model.restoredView(kept, grid).measures.map(({ name }) => name)).toEqual(['c']);
  });
});

describe('greys', () => {
  test('fitted to all but 1 % of the numbers; NaN does not count; of nothing, 0 to 1', () => {
    const data = Float32Array.from({ length: 1000 }, (_, i) => (i % 2 ? NaN : i / 1000));
    const { low, high } = fittedGreys({ data, width: 10 });
    expect(low).toBeCloseTo(0.005, 2);
    expect(high).toBeCloseTo(0.995, 2);
    expect(fittedGreys({ data: new Float32Array(10).fill(NaN), width: 10 })).toEqual({ low: 0, high: 1 });
  });

  test('of a large volume all columns are looked at, whatever its width', () => {
    // Bright in every 32nd column alone: a stride that divides the width would see only bright ones or none.
    const width = 64, data = Float32Array.from({ length: width ** 3 * 8 }, (_, i) => (i % 32 === 0 ? 1 : 0));
    expect(fittedGreys({ data, width })).toEqual({ low: 0, high: 1 });
  });

  test('the usual threshold parts an object from air, even where a quarter of a percent of it is steel', () => {
    const data = Float32Array.from({ length: 20000 }, (_, i) => (i % 400 === 0 ? 1.5 : i % 4 === 0 ? 0.06 : 0) + 0.001 * Math.sin(i));
    const volume = { data, width: 10 };
    expect(usualThreshold(volume, fittedGreys(volume))).toBeCloseTo(0.03, 2);
    expect(usualThreshold({ data: new Float32Array(8).fill(NaN), width: 2 }, { low: 0, high: 1 })).toBe(0);
  });

  test('a press on the histogram takes the nearer end, and black stays below white', () => {
    const greys = { low: 0, high: 0.1 };
    expect([endNear(greys, 0.01), endNear(greys, 0.09)]).toEqual(['low', 'high']);
    expect(endMoved(greys, 'low', 0.05, 0.1)).toEqual({ low: 0.05, high: 0.1 });
    const crossed = endMoved(greys, 'low', 0.5, 0.1);
    expect(crossed.low).toBeLessThan(crossed.high);
  });

  test('rounded to a thousandth of the window', () => {
    expect(roundedGreys({ low: 0.00123456, high: 0.0612345 })).toEqual({ low: 0.00123, high: 0.06123 });
  });
});

describe('the solid picture', () => {
  const facts = { least: 0, greatest: 0.1, threshold: 0.02, spread: 0.08 };

  test('cutting away: ends never pass one another, and back at the faces nothing is cut', () => {
    const [x] = wholeClip(grid);
    const cutAway = clipMoved(grid, undefined, 0, 0, 2);
    expect(cutAway?.[0]).toEqual([2, x[1]]);
    expect(clipMoved(grid, cutAway, 0, 1, -99)?.[0], 'the upper end stops at the lower').toEqual([2, 2]);
    expect(clipMoved(grid, cutAway, 0, 0, -99)).toBeUndefined();
    expect(clipPlanes(grid, { clip: wholeClip(grid) })).toEqual([]);
    expect(clipPlanes(grid, { clip: cutAway! })).toEqual([{ point: [2, 0, 0], normal: [-1, 0, 0] }]);
  });

  test('rays cast through what is left see nothing of what was cut away', () => {
    const volume = volumeOf((x) => (x < 1 ? 0.1 : 0));
    const solid = { ...view.solid, clip: clipMoved(volume, undefined, 0, 0, 1.5) };
    const look = lookOf(volume, facts, solid);
    const seen = (clip: typeof look.clip) => castRays(volume, cameraOf(volume, solid, 16, 12), transferOf('solid', look, { low: 0, high: 0.1 }), { clip: clipPlanes(volume, { clip }) }).data.reduce((a, b) => Math.max(a, b));
    expect(seen(wholeClip(volume))).toBeGreaterThan(0.1);
    expect(seen(look.clip)).toBe(0);
  });

  test('the transfer function is empty below the threshold, full above the haze, and its stops rise', () => {
    const look = lookOf(grid, facts, { ...view.solid, ramp: 0.01, opacity: 3 });
    const transfer = transferOf('solid', look, { low: 0.025, high: 0.08 });
    if (transfer.kind !== 'opacity') throw new Error('not seen through');
    expect(transfer.points.map(({ value, opacity }) => [value, Number(opacity.toFixed(9))])).toEqual([[0.02, 0], [0.025, 1.5], [0.03, 3], [0.08, 3]]);
    expect(transfer.points.at(-1)!.brightness).toBe(1);
  });

  test('straight from above and from below there is a picture too', () => {
    for (const tilt of [90, -90]) {
      const { eye, target } = cameraOf(grid, { ...view.solid, facing: { turn: 0, tilt } }, 40, 30);
      expect(Math.sign(eye[2] - target[2])).toBe(Math.sign(tilt));
      expect(() => castRays(volumeOf(() => 1), cameraOf(grid, { ...view.solid, facing: { turn: 0, tilt } }, 4, 3), { kind: 'maximum' })).not.toThrow();
    }
  });
});

describe('what the graphics card is given', () => {
  /** IEEE 754: sign, five bits of exponent, ten of fraction. */
  const value = (bits: number) => {
    const sign = bits & 0x8000 ? -1 : 1, exponent = (bits >> 10) & 31, fraction = bits & 1023;
    if (exponent === 31) return fraction ? NaN : sign * Infinity;
    return sign * (exponent === 0 ? fraction * 2 ** -24 : (1 + fraction / 1024) * 2 ** (exponent - 15));
  };

  test('halves: known bits, and every half is its own half', () => {
    for (const [number, bits] of [[0, 0], [1, 0x3c00], [-2, 0xc000], [0.5, 0x3800], [65504, 0x7bff], [2 ** -14, 0x0400], [2 ** -24, 1], [1e9, 0x7bff]]) expect(half(number), String(number)).toBe(bits);
    expect(value(half(NaN))).toBeNaN();
    for (let bits = 0; bits < 0x7c00; bits++) expect(half(value(bits))).toBe(bits);
  });

  test('halves: the nearest one, to half a step', () => {
    fc.assert(fc.property(fc.float({ min: 0, max: 1, noNaN: true }), (number) => {
      expect(Math.abs(value(half(number)) - number)).toBeLessThanOrEqual(Math.max(2 ** -25, number * 2 ** -11));
    }));
  });

  test('a texture holds the volume as shares of its greatest value, NaN as 0', () => {
    const volume = volumeOf((x) => Math.max(0, x));
    volume.data[0] = NaN;
    const { data, unit, ...shape } = textureOf(volume, 1);
    expect(shape).toEqual({ width: 10, height: 8, depth: 6, every: 1 });
    expect(unit).toBe(3.25);
    expect(value(data[9])).toBe(1);
    expect(data[0]).toBe(0);
    for (let i = 1; i < data.length; i++) expect(value(data[i]) * unit).toBeCloseTo(volume.data[i], 2);
  });

  test('one that is too large is made coarser by the mean of whole cubes', () => {
    expect(coarseness({ width: 100, height: 100, depth: 100 }, 2048, 1e6)).toBe(1);
    expect(coarseness({ width: 100, height: 100, depth: 100 }, 64, 1e9)).toBe(2);
    expect(coarseness({ width: 100, height: 100, depth: 100 }, 2048, 1e5)).toBe(3);
    const { width, height, depth, data, unit } = textureOf(volumeOf((x, y, z) => (z > 4 ? 2 : 1), { ...grid, depth: 5, centre: [1, -2, 2.75] }), 2);
    expect([width, height, depth, unit]).toEqual([5, 4, 3, 1]);
    expect([...data].every((bits) => value(bits) === 1)).toBe(true);
  });
});

describe('the pace of the solid picture', () => {
  const soon = () => new Promise((resolve) => setTimeout(resolve));
  const until = async (done: () => boolean) => { for (let i = 0; i < 400 && !done(); i++) await new Promise((resolve) => setTimeout(resolve, 5)); };

  test('of many wishes during a drawing only the newest is drawn, and at rest it becomes fine', async () => {
    const drawnThings: [number, number][] = [];
    const pace = openPace<number>(async (what, fineness) => { drawnThings.push([what, fineness]); await new Promise((resolve) => setTimeout(resolve, 20)); }, () => {}, soon);
    pace.want(1);
    await until(() => drawnThings.length === 1);
    for (const what of [2, 3, 4]) pace.want(what);
    await until(() => drawnThings.at(-1)![1] === 1);
    expect(drawnThings.map(([what]) => what).filter((what, i, all) => what !== all[i - 1])).toEqual([1, 4]);
    expect(drawnThings[0][1], 'coarse at first').toBeLessThan(1);
    expect(drawnThings.at(-1), 'fine at last').toEqual([4, 1]);
    pace.close();
  });

  test('a drawing that fails is reported, and the next wish is drawn all the same', async () => {
    const failures: unknown[] = [], drawnThings: number[] = [];
    const pace = openPace<number>(async (what) => { if (what === 1) throw new Error('no'); drawnThings.push(what); }, (error) => failures.push(error), soon);
    pace.want(1);
    await until(() => failures.length === 1);
    pace.want(2);
    await until(() => drawnThings.includes(2));
    expect(failures).toEqual([new Error('no')]);
    pace.close();
  });
});
