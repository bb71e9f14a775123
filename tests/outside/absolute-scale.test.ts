/** A disc of 0.02/mm comes back as 0.02/mm: the analytic disc is the outside world here, its chords are 2√(R² − s²) (handbooks of geometry). */
import { describe, expect, test } from 'vitest';
import { coverage, disc, discMask, fanBeam, fbp, parallelBeam, projectPhantom, statistics, type FlatBeam, type Grid, type WindowName } from '../../src/lib/index.ts';

const value = 0.02, radius = 15;
const fanDetector = { detectors: 256, pitch: 0.5, sourceToAxis: 100, sourceToDetector: 200 };
const half = Math.atan(((255 / 2) * 0.5 + 3.1) / 200); // half the fan, with the axis 3.1 mm aside

const beams: readonly (readonly [name: string, kind: string, of: (axisOffset: number) => FlatBeam])[] = [
  ['parallel over 180°', 'half', (axisOffset) => parallelBeam({ views: 360, detectors: 256, pitch: 0.25, axisOffset })],
  ['parallel over 360°, an odd number of views', 'full', (axisOffset) => parallelBeam({ views: 361, turn: 2 * Math.PI, detectors: 256, pitch: 0.25, axisOffset })],
  ['fan over 360°', 'full', (axisOffset) => fanBeam({ views: 720, axisOffset, ...fanDetector })],
  ['fan over 360° and back past its beginning', 'full', (axisOffset) => fanBeam({ angles: Array.from({ length: 800 }, (_, k) => (k * Math.PI) / 360), axisOffset, ...fanDetector })],
  ['fan over the least short scan', 'short', (axisOffset) => fanBeam({ views: 450, turn: Math.PI + 2 * half + 0.01, start: 1, axisOffset, ...fanDetector })],
  ['fan over a longer short scan, turned clockwise', 'short', (axisOffset) => fanBeam({ views: 450, turn: -5, start: 2, axisOffset, ...fanDetector })],
];

/** Least and greatest pixel 3 mm or more inside the disc, as shares of its value. */
function interior(geometry: FlatBeam, x: number, y: number, pixelSize: number, window: WindowName = 'ramp'): [number, number] {
  const grid: Grid = { width: 128, height: 128, pixelSize, centre: [x, y] };
  const image = fbp(projectPhantom([disc(x, y, radius, value)], geometry), geometry, { window, grid });
  const { least, greatest } = statistics(image, discMask(grid, x, y, radius - 3));
  return [least / value, greatest / value];
}

describe.each(beams)('%s', (_, kind, of) => {
  test.each([
    // axis aside, disc at, pixel
    [0, [0, 0], 0.25], [0, [0, 0], 0.4], [0, [8, -6], 0.25], [0, [8, -6], 0.4],
    [3.1, [0, 0], 0.25], [3.1, [0, 0], 0.4], [3.1, [8, -6], 0.25], [3.1, [8, -6], 0.4],
  ] as const)('axis %d mm aside, disc at %j mm, pixels of %d mm: every pixel inside within 0.5 %%', (axisOffset, [x, y], pixelSize) => {
    const geometry = of(axisOffset);
    expect(coverage(geometry).kind).toBe(kind);
    const [least, greatest] = interior(geometry, x, y, pixelSize);
    expect(least).toBeGreaterThan(0.995);
    expect(greatest).toBeLessThan(1.005);
  });
});

describe('the scale does not depend on', () => {
  const parallel = beams[0][2](0), fan = beams[2][2](0);
  test.each(['ramp', 'shepp-logan', 'cosine', 'hann'] as const)('the window: %s', (window) => {
    for (const geometry of [parallel, fan]) {
      const [least, greatest] = interior(geometry, 3, 4, 0.4, window);
      expect(least).toBeGreaterThan(0.995);
      expect(greatest).toBeLessThan(1.005);
    }
  });
  test('where the screen stands: the same fan on a screen twice as far away, with cells twice as wide', () => {
    const near = fanBeam({ views: 360, detectors: 256, pitch: 0.3, sourceToAxis: 100, sourceToDetector: 120 });
    const far = fanBeam({ views: 360, detectors: 256, pitch: 0.6, sourceToAxis: 100, sourceToDetector: 240 });
    interior(near, 3, 4, 0.4).forEach((share, i) => expect(share).toBeCloseTo(interior(far, 3, 4, 0.4)[i], 5));
  });
  test('the unit that everything is counted in: ten times as large and a tenth as dense is the same picture', () => {
    const small = parallelBeam({ views: 90, detectors: 64, pitch: 1 }), large = parallelBeam({ views: 90, detectors: 64, pitch: 10 });
    const a = fbp(projectPhantom([disc(2, 1, 12, value)], small), small, { window: 'ramp', grid: { width: 32, height: 32, pixelSize: 1 } });
    const b = fbp(projectPhantom([disc(20, 10, 120, value / 10)], large), large, { window: 'ramp', grid: { width: 32, height: 32, pixelSize: 10 } });
    b.data.forEach((found, i) => expect(10 * found).toBeCloseTo(a.data[i], 6));
  });
});
