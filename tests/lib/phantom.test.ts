import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { detectorPosition } from '../../src/lib/geometry/detector-position.ts';
import { fanBeam, parallelBeam } from '../../src/lib/geometry/beams.ts';
import { pixelPosition } from '../../src/lib/geometry/pixel-position.ts';
import { rayOf } from '../../src/lib/geometry/ray-of.ts';
import { erf } from '../../src/lib/phantom/erf.ts';
import { gaussLegendre } from '../../src/lib/phantom/gauss-legendre.ts';
import { lineIntegral } from '../../src/lib/phantom/line-integral.ts';
import { centreOfMass, mass } from '../../src/lib/phantom/mass.ts';
import { projectPhantom } from '../../src/lib/phantom/project-phantom.ts';
import { rasterize } from '../../src/lib/phantom/rasterize.ts';
import { fanShadow, parallelShadow } from '../../src/lib/phantom/shadow.ts';
import { bead, disc, ellipse, gaussian, type Phantom, type Shape } from '../../src/lib/phantom/shapes.ts';
import { sheppLogan } from '../../src/lib/phantom/shepp-logan.ts';
import { valueAt } from '../../src/lib/phantom/value-at.ts';

const seed = { seed: 20240607 };

/** Shapes within 100 mm of the axis. */
const coordinate = fc.double({ min: -40, max: 40, noNaN: true });
const axis = fc.double({ min: 0.5, max: 40, noNaN: true });
const value = fc.double({ min: -2, max: 2, noNaN: true });
const direction = fc.double({ min: -7, max: 7, noNaN: true });
const anEllipse = fc.tuple(coordinate, coordinate, axis, axis, direction, value).map((figures) => ellipse(...figures));
const aGaussian = fc.tuple(coordinate, coordinate, fc.double({ min: 0.3, max: 5, noNaN: true }), value).map((figures) => gaussian(...figures));
const aShape: fc.Arbitrary<Shape> = fc.oneof(anEllipse, aGaussian);
const aPhantom: fc.Arbitrary<Phantom> = fc.array(aShape, { minLength: 1, maxLength: 4 });

/** The mean over [s0, s1] the slow way: very many points. Good to about 10⁻⁷ of the height, the edges being square roots. */
function bruteMean(f: (s: number) => number, s0: number, s1: number, points = 20_000): number {
  let sum = 0;
  for (let k = 0; k < points; k++) sum += f(s0 + ((k + 0.5) / points) * (s1 - s0));
  return sum / points;
}

describe('shapes', () => {
  test.each([
    ['the middle of a disc', [disc(3, 4, 2, 0.5)], 3, 4, 0.5],
    ['the edge of a disc belongs to it', [disc(0, 0, 2, 0.5)], 2, 0, 0.5],
    ['just outside a disc', [disc(0, 0, 2, 0.5)], 2.0001, 0, 0],
    ['a bead is given by its diameter', [bead(0, 0, 2, 1)], 1.01, 0, 0],
    ['values add up', [disc(0, 0, 2, 0.5), disc(1, 0, 2, -0.2)], 0.5, 0, 0.3],
    ['a turned ellipse reaches along its own long axis', [ellipse(0, 0, 4, 1, Math.PI / 6, 1)], 3.4, 1.9, 1],
    ['and not the other way', [ellipse(0, 0, 4, 1, Math.PI / 6, 1)], 3.4, -1.9, 0],
    ['a Gaussian at one sigma', [gaussian(1, 1, 2, 3)], 3, 1, 3 * Math.exp(-0.5)],
  ])('valueAt: %s', (_, phantom, x, y, expected) => {
    expect(valueAt(phantom, x, y)).toBeCloseTo(expected, 12);
  });

  test('a shape without extent is refused in one sentence', () => {
    expect(() => disc(0, 0, 0, 1)).toThrow('should be above 0');
    expect(() => ellipse(0, 0, 1, NaN, 0, 1)).toThrow('should be above 0');
    expect(() => gaussian(0, 0, -1, 1)).toThrow('should be above 0');
  });

  test('sheppLogan scales lengths by size/2 and greys by scale, so mass goes with their product', () => {
    const table = sheppLogan({ size: 2, scale: 1 });
    const head = sheppLogan({ size: 180, scale: 0.019 });
    expect(mass(head)).toBeCloseTo(mass(table) * 90 * 90 * 0.019, 9);
    expect(centreOfMass(head)[1]).toBeCloseTo(centreOfMass(table)[1] * 90, 9);
    expect(valueAt(head, 0, 0)).toBeCloseTo(1.02 * 0.019, 12);
    expect(valueAt(sheppLogan({ variant: 'high-contrast', size: 180, scale: 0.019 }), 0, 0)).toBeCloseTo(0.2 * 0.019, 12);
  });
});

describe('rasterize', () => {
  const grid = { width: 33, height: 20, pixelSize: 1.7, centre: [5, -8] } as const;

  test('is the mean of samples² points of every pixel, whatever the shapes and the grid', () => {
    fc.assert(
      fc.property(aPhantom, fc.integer({ min: 1, max: 4 }), (phantom, samples) => {
        const image = rasterize(phantom, grid, samples);
        for (let row = 0; row < grid.height; row++) {
          for (let column = 0; column < grid.width; column++) {
            let sum = 0;
            for (let i = 0; i < samples; i++) {
              for (let j = 0; j < samples; j++) {
                const offset = (k: number) => (k + 0.5) / samples - 0.5;
                sum += valueAt(phantom, ...pixelPosition(grid, column + offset(j), row + offset(i)));
              }
            }
            expect(image.data[row * grid.width + column]).toBeCloseTo(sum / samples ** 2, 5);
          }
        }
      }),
      { ...seed, numRuns: 25 },
    );
  });

  test('keeps the mass of what lies inside the grid, and the place of the grid', () => {
    const image = rasterize([disc(4, -7, 9, 0.02)], grid);
    const sum = image.data.reduce((total, pixel) => total + pixel, 0) * grid.pixelSize ** 2;
    expect(sum).toBeCloseTo(Math.PI * 81 * 0.02, 1);
    expect(image.centre).toEqual([5, -8]);
    expect(rasterize([], { width: 2, height: 2, pixelSize: 1 }).centre).toBeUndefined();
  });

  test('of shapes that lie off the grid is empty', () => {
    const far = [disc(500, 0, 9, 1), disc(0, -500, 9, 1), gaussian(-500, 0, 3, 1), gaussian(0, 500, 3, 1)];
    expect(rasterize(far, grid).data.every((pixel) => pixel === 0)).toBe(true);
  });

  test('refuses a number of samples that is not one', () => {
    expect(() => rasterize([], grid, 0)).toThrow('samples is 0');
    expect(() => rasterize([], grid, 1.5)).toThrow('samples is 1.5');
  });
});

describe('quadrature', () => {
  // Abramowitz & Stegun, Table 7.1 (as remembered), and erf(0.5) to the digits of any table of the function.
  test.each([
    [0, 0],
    [0.5, 0.5204998778],
    [1, 0.8427007929],
    [2, 0.995322265],
    [-1, -0.8427007929],
    [5.999, 1],
    [40, 1],
    [-Infinity, -1],
  ])('erf(%d) = %d', (x, expected) => {
    expect(erf(x)).toBeCloseTo(expected, 10);
  });

  test('gaussLegendre is exact for a polynomial of degree 15 on one panel and not for one of degree 16', () => {
    const integral = (degree: number) => gaussLegendre((x) => x ** degree, 0, 1, 1);
    expect(Math.abs(integral(15) - 1 / 16)).toBeLessThan(1e-15);
    expect(Math.abs(integral(16) - 1 / 17)).toBeGreaterThan(1e-13);
  });
});

describe('exact projections, parallel', () => {
  test('lineIntegral agrees with a walk along the line in small steps', () => {
    fc.assert(
      fc.property(aPhantom, direction, fc.double({ min: -60, max: 60, noNaN: true }), (phantom, theta, s) => {
        const steps = 40_000;
        const length = 260;
        let sum = 0;
        for (let k = 0; k < steps; k++) {
          const t = ((k + 0.5) / steps - 0.5) * length;
          sum += valueAt(phantom, s * Math.cos(theta) - t * Math.sin(theta), s * Math.sin(theta) + t * Math.cos(theta));
        }
        // Each edge crossed is found to half a step: eight edges at most, of height 2.
        expect(Math.abs(lineIntegral(phantom, s, theta) - (sum * length) / steps)).toBeLessThan(8 * 2 * (length / steps));
      }),
      { ...seed, numRuns: 15 },
    );
  });

  test('opposite views are mirror images: p(s, θ + π) = p(−s, θ)', () => {
    fc.assert(
      fc.property(aPhantom, direction, coordinate, (phantom, theta, s) => {
        expect(Math.abs(lineIntegral(phantom, s, theta + Math.PI) - lineIntegral(phantom, -s, theta))).toBeLessThan(1e-6);
      }),
      seed,
    );
  });

  test('turning the object by φ turns the sinogram by φ', () => {
    fc.assert(
      fc.property(aPhantom, direction, direction, coordinate, (phantom, theta, phi, s) => {
        const turned = phantom.map((shape) => {
          const x = shape.x * Math.cos(phi) - shape.y * Math.sin(phi);
          const y = shape.x * Math.sin(phi) + shape.y * Math.cos(phi);
          return shape.kind === 'ellipse' ? { ...shape, x, y, angle: shape.angle + phi } : { ...shape, x, y };
        });
        expect(Math.abs(lineIntegral(turned, s, theta + phi) - lineIntegral(phantom, s, theta))).toBeLessThan(1e-5);
      }),
      seed,
    );
  });

  test('the mean over a cell is the mean of very many points', () => {
    fc.assert(
      fc.property(aShape, direction, coordinate, fc.double({ min: 0.01, max: 30, noNaN: true }), (shape, theta, s0, width) => {
        const shadow = parallelShadow(shape, theta);
        const brute = bruteMean((s) => (s < shadow.from || s > shadow.to ? 0 : shadow.at(s)), s0, s0 + width);
        expect(Math.abs(shadow.mean(s0, s0 + width) - brute)).toBeLessThan(2e-3 * (width / 20_000) + 1e-4);
      }),
      { ...seed, numRuns: 40 },
    );
  });

  test('averaged cells that cover the shadow add up to the mass, at every angle', () => {
    fc.assert(
      fc.property(aPhantom, (phantom) => {
        const geometry = parallelBeam({ views: 7, detectors: 151, pitch: 2, axisOffset: 0.7 });
        const { data } = projectPhantom(phantom, geometry, { cell: 'average' });
        for (let view = 0; view < 7; view++) {
          const sum = data.subarray(view * 151, (view + 1) * 151).reduce((total, p) => total + p, 0) * 2;
          expect(Math.abs(sum - mass(phantom))).toBeLessThan(1e-3);
        }
      }),
      seed,
    );
  });

  test('projections add: the sum of two phantoms casts the sum of their shadows', () => {
    fc.assert(
      fc.property(aPhantom, aPhantom, fc.constantFrom('point' as const, 'average' as const), (one, other, cell) => {
        for (const geometry of [parallelBeam({ views: 3, detectors: 40, pitch: 3 }), fanBeam({ views: 3, detectors: 40, pitch: 3, sourceToAxis: 300, sourceToDetector: 400 })]) {
          const [a, b, both] = [one, other, [...one, ...other]].map((phantom) => projectPhantom(phantom, geometry, { cell }).data);
          both!.forEach((p, k) => expect(Math.abs(p - a![k]! - b![k]!)).toBeLessThan(1e-4));
        }
      }),
      { ...seed, numRuns: 30 },
    );
  });
});

describe('exact projections, fan', () => {
  test('a fan ray is the parallel ray along the same line', () => {
    fc.assert(
      fc.property(aPhantom, direction, fc.double({ min: 150, max: 900, noNaN: true }), fc.double({ min: 1, max: 3, noNaN: true }), (phantom, beta, sourceToAxis, magnification) => {
        const geometry = fanBeam({ angles: [beta], detectors: 61, pitch: 2 * magnification, axisOffset: 3, sourceToAxis, sourceToDetector: sourceToAxis * magnification });
        const { data } = projectPhantom(phantom, geometry);
        data.forEach((p, j) => {
          const { s, theta } = rayOf(geometry, 0, j);
          expect(Math.abs(p - lineIntegral(phantom, s, theta))).toBeLessThan(2e-4 + 1e-6 * Math.abs(p));
        });
      }),
      seed,
    );
  });

  test('the mean over a cell agrees with the finest quadrature to 10⁻¹² of the highest value of the shadow', () => {
    let worst = 0;
    fc.assert(
      fc.property(aShape, direction, fc.double({ min: -1, max: 1, noNaN: true }), fc.double({ min: 0.05, max: 60, noNaN: true }), (shape, beta, place, width) => {
        const shadow = fanShadow(shape, beta, 150, 240);
        const middle = (shadow.from + shadow.to) / 2 + (place * (shadow.to - shadow.from)) / 2;
        const [s0, s1] = [middle - width / 2, middle + width / 2];
        // The same mean by s = m + h sin φ over the whole shadow, on panels twenty times narrower.
        const [m, h] = [(shadow.from + shadow.to) / 2, (shadow.to - shadow.from) / 2];
        const swept = (phi: number) => shadow.at(m + h * Math.sin(phi)) * h * Math.cos(phi);
        const phi = (s: number) => Math.asin(Math.min(1, Math.max(-1, (s - m) / h)));
        const fine = gaussLegendre(swept, phi(s0), phi(s1), 0.02) / width;
        const height = Math.max(...Array.from({ length: 50 }, (_, k) => Math.abs(shadow.at(m + h * Math.sin((k / 25 - 1) * 1.5)))), 1e-300);
        worst = Math.max(worst, Math.abs(shadow.mean(s0, s1) - fine) / height);
      }),
      { ...seed, numRuns: 300 },
    );
    expect(worst).toBeLessThan(1e-12);
  });

  test('averaged and point-sampled cells come together as the square of the pitch inside a shadow', () => {
    const difference = (pitch: number) => {
      const geometry = fanBeam({ views: 5, detectors: 1, pitch, sourceToAxis: 200, sourceToDetector: 300 });
      const point = projectPhantom([disc(5, 3, 30, 1)], geometry).data;
      return Math.max(...projectPhantom([disc(5, 3, 30, 1)], geometry, { cell: 'average' }).data.map((p, view) => Math.abs(p - point[view]!)));
    };
    expect(difference(4) / difference(8)).toBeCloseTo(0.25, 2);
  });

  test('from very far away a fan is a parallel beam', () => {
    const far = { sourceToAxis: 1e7, sourceToDetector: 1e7 };
    const head = sheppLogan({ size: 100 });
    for (const cell of ['point', 'average'] as const) {
      const fan = projectPhantom(head, fanBeam({ views: 5, turn: Math.PI, detectors: 101, pitch: 1.1, axisOffset: 0.2, ...far }), { cell });
      const parallel = projectPhantom(head, parallelBeam({ views: 5, detectors: 101, pitch: 1.1, axisOffset: 0.2 }), { cell });
      fan.data.forEach((p, k) => expect(Math.abs(p - parallel.data[k]!)).toBeLessThan(2e-3 * 1.1));
    }
  });

  test('a bead narrower than a cell is seen whole by averaged cells wherever it falls', () => {
    const geometry = fanBeam({ views: 90, detectors: 80, pitch: 2, sourceToAxis: 300, sourceToDetector: 450 });
    const { data } = projectPhantom([bead(17, -9, 0.5, 1)], geometry, { cell: 'average' });
    for (let view = 0; view < 90; view++) {
      const sum = data.subarray(view * 80, (view + 1) * 80).reduce((total, p) => total + p, 0) * 2;
      const beta = geometry.angles[view]!;
      const depth = 300 + 17 * Math.sin(beta) - -9 * Math.cos(beta);
      const along = 17 * Math.cos(beta) + -9 * Math.sin(beta);
      // A small bead's shadow has its mass, stretched by L/depth along the detector and by the slant of the ray.
      const stretch = (450 / depth) * Math.hypot(1, along / depth);
      expect(sum / (mass([bead(17, -9, 0.5, 1)]) * stretch)).toBeCloseTo(1, 5);
    }
  });

  test('a phantom that reaches the source is refused in one sentence, not projected wrongly', () => {
    const geometry = fanBeam({ views: 8, detectors: 5, pitch: 1, sourceToAxis: 50, sourceToDetector: 100 });
    expect(() => projectPhantom([disc(0, 45, 6, 1)], geometry)).toThrow('reaches as far out as the source');
    expect(() => projectPhantom([gaussian(0, 45, 1, 1)], geometry)).toThrow('reaches as far out as the source');
  });
});

test('projectPhantom lays views in rows and cells in columns, and says so in its numbers', () => {
  const geometry = parallelBeam({ angles: [0, Math.PI / 2], detectors: 21, pitch: 1 });
  const { data, views, detectors } = projectPhantom([bead(3, -6, 1, 1)], geometry);
  expect([views, detectors]).toEqual([2, 21]);
  const brightest = (view: number) => detectorPosition(geometry, data.subarray(view * 21, view * 21 + 21).findIndex((p) => p > 0.9));
  expect(brightest(0)).toBe(3);
  expect(brightest(1)).toBe(-6);
});
