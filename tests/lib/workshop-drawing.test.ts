import { expect, test } from 'vitest';
import { fanBeam, parallelBeam } from '../../src/lib/index.ts';
import { drawScan } from '../../src/workshop/scan/drawing.ts';

const grid = { width: 100, height: 100, pixelSize: 0.5 };
const fan = fanBeam({ views: 90, turn: Math.PI / 2, detectors: 500, pitch: 0.2, axisOffset: 3, sourceToAxis: 400, sourceToDetector: 550 });

test('drawScan: source, axis and detector lie in a row at their true distances, the detector off by the offset of the axis', () => {
  const { source, detector, rays } = drawScan(fan, grid);
  expect(source).toEqual([-400, 0]);
  expect(detector).toEqual([[150, -53], [150, 47]]); // 500 cells of 0.2 mm, middle 3 mm below the axis
  expect(rays).toEqual([[[-400, 0], [150, -53]], [[-400, 0], [150, 47]]]);
});

test('drawScan: the circle of the field just touches the ray to the nearer end', () => {
  const { field, rays: [, [from, to]] } = drawScan(fan, grid);
  const length = Math.hypot(to[0] - from[0], to[1] - from[1]);
  const distance = Math.abs(from[0] * to[1] - to[0] * from[1]) / length; // of the axis from that ray
  expect(field).toBeLessThan(distance); // the ray ends at the edge of the last cell, the field at its middle
  expect(field).toBeGreaterThan(distance - 0.2);
});

test('drawScan: the way round begins at the source and runs counter-clockwise for rising angles', () => {
  const { path } = drawScan(fan, grid);
  expect(path.span).toBeCloseTo((Math.PI / 2) * (89 / 90), 9);
  expect(path.points[0][0]).toBeCloseTo(-path.radius, 9);
  expect(path.points.at(-1)![1]).toBeLessThan(-0.99 * path.radius); // from the left, counter-clockwise: to the bottom
  const back = drawScan({ ...fan, angles: fan.angles.map((angle) => -angle) }, grid).path;
  expect(back.points.at(-1)![1]).toBeGreaterThan(0.99 * back.radius);
});

test('drawScan: the picture stands where it is asked for, as the first view sees it', () => {
  const at = { ...grid, centre: [10, 20] as const };
  const middle = (picture: readonly (readonly [number, number])[]) => [0, 1].map((k) => picture.reduce((sum, point) => sum + point[k], 0) / 4);
  const [x, y] = middle(drawScan(fan, at).picture);
  expect([x, y]).toEqual([-20, 10]); // +y is towards the first view's source, on the left; +x is up the detector
  const turnedBy = parallelBeam({ views: 10, start: Math.PI / 2, detectors: 100, pitch: 1 });
  const [u, v] = middle(drawScan(turnedBy, at).picture);
  expect(u).toBeCloseTo(10, 9); // the source now stands at −x, so +x is away from it
  expect(v).toBeCloseTo(20, 9);
});

test('drawScan: everything fits into the box', () => {
  for (const geometry of [fan, parallelBeam({ views: 4, detectors: 64, pitch: 1, axisOffset: -10 })]) {
    const { box, detector, picture, path, rays } = drawScan(geometry, grid);
    for (const [x, y] of [...detector, ...picture, ...path.points, ...rays.flat()]) {
      expect(x).toBeGreaterThan(box.x);
      expect(x).toBeLessThan(box.x + box.width);
      expect(y).toBeGreaterThan(box.y);
      expect(y).toBeLessThan(box.y + box.height);
    }
  }
});
