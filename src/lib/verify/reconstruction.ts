import { fanBeam, parallelBeam } from '../geometry/beams.ts';
import { widestRay } from '../geometry/fan.ts';
import { pixelPosition } from '../geometry/pixel-position.ts';
import { discMask } from '../measure/disc-mask.ts';
import { rmse } from '../measure/rmse.ts';
import { statistics } from '../measure/statistics.ts';
import { projectPhantom } from '../phantom/project-phantom.ts';
import { rasterize } from '../phantom/rasterize.ts';
import { disc } from '../phantom/shapes.ts';
import { sheppLogan } from '../phantom/shepp-logan.ts';
import { fbp } from '../reconstruct/fbp.ts';
import type { FlatBeam, Grid, Image } from '../types.ts';
import type { Check } from './check.ts';

/** Reconstructions in absolute numbers: the analytic head, and a disc of 0.02/mm through every beam. */

/** Half a pixel aside, because the peer takes pixel and cell n/2 for the axis. */
const side = 200, size = 256, pixelSize = side / size;
const headGrid: Grid = { width: size, height: size, pixelSize, centre: [-pixelSize / 2, pixelSize / 2] };

interface Head {
  readonly picture: Image;
  readonly truth: Image;
  /** 1 where a pixel's centre lies 3 pixels or more inside the inner ellipse of the skull. */
  readonly brain: Uint8Array;
}

/** Worked out once for both rows that need it. */
let head: Head | undefined;
function reconstructedHead(): Head {
  if (head) return head;
  const geometry = parallelBeam({ views: 402, detectors: size, pitch: pixelSize, axisOffset: pixelSize / 2 });
  const phantom = sheppLogan({ variant: '1974', size: side, scale: 0.02 });
  const { a, b, x: x0, y: y0 } = phantom[1];
  const brain = Uint8Array.from({ length: size * size }, (_, i) => {
    const [x, y] = pixelPosition(headGrid, i % size, Math.floor(i / size));
    return Number(((x - x0) / (a - 3 * pixelSize)) ** 2 + ((y - y0) / (b - 3 * pixelSize)) ** 2 <= 1);
  });
  head = { picture: fbp(projectPhantom(phantom, geometry), geometry, { window: 'ramp', grid: headGrid }), truth: rasterize(phantom, headGrid), brain };
  return head;
}

/**
 * The pixel farthest from the truth, 3 mm or more inside a disc of radius 15 mm and 0.02/mm, over pixels of 0.25 and 0.4 mm, the disc on
 * the axis and off it, the axis in the middle of the detector and 3.1 mm aside.
 */
function farthestPixel(beam: (axisOffset: number) => FlatBeam): number {
  let farthest = 0.02;
  for (const axisOffset of [0, 3.1]) {
    const geometry = beam(axisOffset);
    for (const [x, y] of [[0, 0], [8, -6]]) {
      const sinogram = projectPhantom([disc(x, y, 15, 0.02)], geometry);
      for (const pixel of [0.25, 0.4]) {
        const grid: Grid = { width: 128, height: 128, pixelSize: pixel, centre: [x, y] };
        const inside = discMask(grid, x, y, 12);
        fbp(sinogram, geometry, { window: 'ramp', grid }).data.forEach((value, i) => {
          if (inside[i] && !(Math.abs(value - 0.02) <= Math.abs(farthest - 0.02))) farthest = Number.isNaN(farthest) ? NaN : value;
        });
      }
    }
  }
  return farthest;
}

const detector = { detectors: 256, pitch: 0.5, sourceToAxis: 100, sourceToDetector: 200 };
const beams: readonly (readonly [string, (axisOffset: number) => FlatBeam])[] = [
  ['parallel beam over 180°', (axisOffset) => parallelBeam({ views: 360, detectors: 256, pitch: 0.25, axisOffset })],
  ['parallel beam over 360°', (axisOffset) => parallelBeam({ views: 360, turn: 2 * Math.PI, detectors: 256, pitch: 0.25, axisOffset })],
  ['fan over 360°', (axisOffset) => fanBeam({ views: 720, axisOffset, ...detector })],
  ['fan over a short scan, with Parker’s weights', (axisOffset) => {
    const whole = fanBeam({ views: 1, axisOffset, ...detector });
    return fanBeam({ views: 450, turn: Math.PI + 2 * widestRay(whole) + 0.02, start: 0.3, axisOffset, ...detector });
  }],
];

export const reconstructionChecks: readonly Check[] = [
  {
    id: 'S1', what: 'rms error inside the skull: the analytic 1974 head, 256², 402 views, brain 0.0204/mm', expected: 1.11696e-5, tolerance: 1e-3, kind: 'relative', unit: '1/mm',
    source: 'scikit-image 0.19.3, iradon of the same exact sinogram made in NumPy 1.24.2 (tests/outside/head_iradon.py)',
    ours: () => { const { picture, truth, brain } = reconstructedHead(); return rmse(picture, truth, brain); },
  },
  {
    id: 'S2', what: 'absolute scale: mean of that head’s brain over its true mean', expected: 1, tolerance: 1e-4, kind: 'absolute',
    source: 'the phantom itself; tolerance from scikit-image 0.19.3, which has 0.99996 (tests/outside/head_iradon.py)',
    ours: () => { const { picture, truth, brain } = reconstructedHead(); return statistics(picture, brain).mean / statistics(truth, brain).mean; },
  },
  ...beams.map(([name, beam], i): Check => ({
    id: `S${i + 3}`, what: `farthest pixel inside a disc of 0.02/mm, two pixel sizes, on the axis and off: ${name}`, expected: 0.02, tolerance: 0.005, kind: 'relative', unit: '1/mm',
    source: 'the disc itself', ours: () => farthestPixel(beam),
  })),
];
