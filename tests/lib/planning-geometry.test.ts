import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { blurBudget, coneBeam, detectorReach, effectivePixel, fanBeam, fieldOfView, fieldRadius, largestMagnification, magnification, parallelBeam, pointInCone, viewsByRule } from '../../src/lib/index.ts';

const seed = { seed: 20250314 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });

describe('fieldOfView(geometry)', () => {
  test('the whole of its cylinder falls on the detector in every view, and its top rim on the outermost rows', () => {
    fc.assert(fc.property(real(100, 500), real(1.05, 4), fc.integer({ min: 10, max: 300 }), fc.integer({ min: 3, max: 300 }), real(-10, 10), real(-3, 3), (sourceToAxis, m, detectors, rows, axisOffset, rowOffset) => {
      const geometry = coneBeam({ views: 12, detectors, rows, pitch: 0.5, axisOffset, rowOffset, sourceToAxis, sourceToDetector: m * sourceToAxis });
      const { radius, topOfCylinder, bottomOfCylinder } = fieldOfView(geometry);
      fc.pre(radius > 1 && Math.abs(rowOffset) < ((rows - 1) / 2) * 0.5);
      let [left, right, lowest, highest] = [Infinity, -Infinity, Infinity, -Infinity];
      for (let k = 0; k < 360; k++) {
        for (const z of [topOfCylinder, bottomOfCylinder]) {
          const { u, row } = pointInCone(geometry, 0, radius * Math.cos((k * Math.PI) / 180), radius * Math.sin((k * Math.PI) / 180), z);
          [left, right, lowest, highest] = [Math.min(left, u), Math.max(right, u), Math.min(lowest, row), Math.max(highest, row)];
        }
      }
      expect(lowest).toBeCloseTo(0, 6);
      expect(highest).toBeCloseTo(rows - 1, 6);
      const reach = ((detectors - 1) / 2) * 0.5 - Math.abs(axisOffset);
      expect(Math.max(-left, right)).toBeLessThanOrEqual(reach * (1 + 1e-9));
      expect(Math.max(-left, right)).toBeGreaterThan(reach * 0.999);
    }), { ...seed, numRuns: 60 });
  });
  test('the axis is seen higher than the cylinder, and the cone angle is that of the top row', () => {
    const field = fieldOfView(coneBeam({ views: 1, detectors: 101, rows: 101, pitch: 1, sourceToAxis: 300, sourceToDetector: 600 }));
    expect(field.top).toBeCloseTo(25, 12);
    expect(field.bottom).toBeCloseTo(-25, 12);
    expect(field.topOfCylinder).toBeCloseTo((50 * (300 - field.radius)) / 600, 12);
    expect(field.coneAngle).toBeCloseTo(Math.atan(50 / 600), 12);
  });
  test('a fan and a parallel beam see one layer', () => {
    const fan = fanBeam({ views: 1, detectors: 101, pitch: 1, sourceToAxis: 300, sourceToDetector: 600 });
    for (const geometry of [fan, parallelBeam({ views: 1, detectors: 101, pitch: 1 })]) expect(fieldOfView(geometry)).toEqual({ radius: fieldRadius(geometry), top: 0, bottom: 0, topOfCylinder: 0, bottomOfCylinder: 0, coneAngle: 0 });
  });
});

describe('largestMagnification(object, detector, sourceToDetector)', () => {
  test('at it the object just fits: its sides by detectorReach, its near top corner by similar triangles', () => {
    fc.assert(fc.property(real(1, 30), real(0, 80), real(60, 300), real(60, 300), real(300, 1500), (radius, height, width, tall, sourceToDetector) => {
      let found;
      try {
        found = largestMagnification({ radius, height }, { width, height: tall }, sourceToDetector);
      } catch (error) {
        expect((error as Error).message).toContain('The object is too large for the detector');
        return;
      }
      const { sourceToAxis, limit } = found;
      expect(found.magnification).toBeCloseTo(sourceToDetector / sourceToAxis, 12);
      const across = detectorReach(radius, { sourceToAxis, sourceToDetector }) / (width / 2);
      const up = (height * sourceToDetector) / (sourceToAxis - radius) / tall;
      expect(Math.max(across, up)).toBeCloseTo(1, 9);
      expect(limit === 'width' ? across : up).toBeCloseTo(1, 9);
    }), seed);
  });
});

describe('blurBudget(options)', () => {
  test('without screen, turning and motion is effectivePixel', () => {
    fc.assert(fc.property(real(0.01, 2), real(0, 2), real(1, 10), (pitch, spot, m) => {
      expect(blurBudget({ pitch, spot, magnification: m }).total).toBeCloseTo(effectivePixel(pitch, spot, m), 12);
    }), seed);
  });
  test('is at least its largest part, at most the sum of all, and nowhere less than at its best magnification', () => {
    fc.assert(fc.property(real(0.01, 1), real(0.01, 2), real(0, 1), real(0, 0.01), real(0, 60), real(1, 10), (pitch, spot, screen, turning, radius, m) => {
      const options = { pitch, spot, screen, turning, radius, motion: 0.05 };
      const { parts, total, largest, bestMagnification } = blurBudget({ ...options, magnification: m });
      expect(total).toBeGreaterThanOrEqual(parts[largest]);
      expect(total).toBeLessThanOrEqual(Object.values(parts).reduce((sum, part) => sum + part, 0) * (1 + 1e-12));
      expect(Math.max(...Object.values(parts))).toBe(parts[largest]);
      expect(blurBudget({ ...options, magnification: bestMagnification }).total).toBeLessThanOrEqual(total * (1 + 1e-12));
    }), seed);
  });
  test('by hand: a table that turns 0.2° during a view moves the rim at 30 mm by 0.105 mm, and 4° between views is 2.09 mm', () => {
    const { parts, arc } = blurBudget({ magnification: 1.5, pitch: 0.3, spot: 0.5, turning: (0.2 * Math.PI) / 180, radius: 30, step: (4 * Math.PI) / 180 });
    expect(parts.turning).toBeCloseTo(0.10472, 5);
    expect(arc).toBeCloseTo(2.0944, 4);
    expect(parts.spot).toBeCloseTo(0.5 / 3, 12);
    expect(parts.pitch).toBeCloseTo(0.2, 12);
  });
});

describe('viewsByRule', () => {
  test('names each convention, and they stand in the ratio of their conventions', () => {
    const [pitch, pixel, fan] = viewsByRule({ diameter: 100, pitch: 0.5, fanAngle: Math.PI / 6 });
    expect([pitch.views, pixel.views, fan.views]).toEqual([315, 629, 848]);
    expect([pitch.wholeTurn, pixel.wholeTurn]).toEqual([629, 1257]);
    for (const { convention, turn } of [pitch, pixel, fan]) expect(convention).toContain(turn > 4 ? 'over 360°' : 'over 180°');
    expect(viewsByRule({ diameter: 100, pitch: 0.5 })).toHaveLength(2);
  });
});

test.each<[what: string, call: () => unknown, says: string]>([
  ['an object without size', () => largestMagnification({ radius: 0, height: 1 }, { width: 1, height: 1 }, 1), 'The radius of the object is 0'],
  ['a negative height', () => largestMagnification({ radius: 1, height: -1 }, { width: 1, height: 1 }, 1), 'The height of the object is -1'],
  ['a negative screen', () => blurBudget({ magnification: 2, pitch: 1, spot: 1, screen: -1 }), 'The screen of a blur budget is -1'],
  ['a magnification below 1', () => blurBudget({ magnification: 0.5, pitch: 1, spot: 1 }), 'The magnification is 0.5'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));

test('magnification of the demo rig is 10/7', () => expect(magnification(fanBeam({ views: 1, detectors: 2, pitch: 1, sourceToAxis: 350, sourceToDetector: 500 }))).toBeCloseTo(10 / 7, 12));
