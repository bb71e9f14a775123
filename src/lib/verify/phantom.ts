import { centreOfMass, mass } from '../phantom/mass.ts';
import { rasterize } from '../phantom/rasterize.ts';
import { sheppLogan } from '../phantom/shepp-logan.ts';
import { valueAt } from '../phantom/value-at.ts';
import type { Check, LoadFixture } from './check.ts';
import { computed, radians, series } from './series.ts';

/** The head phantom against its published tables: check values A1 to A9. */

const original = sheppLogan({ variant: '1974', size: 2, scale: 1 });
const highContrast = sheppLogan({ variant: 'high-contrast', size: 2, scale: 1 });

const shepp1974 = 'Shepp & Logan, IEEE Trans. Nucl. Sci. NS-21(3):21–43 (1974), Table 1, from two encyclopaedia transcriptions; the paper was not opened';
const toft1996 = 'Toft, thesis (1996), Table B.3, as the source of GNU Octave’s phantom cites it; the thesis was not opened';

/** Grey, semi-axis along x, semi-axis along y, x, y, tilt in degrees counter-clockwise: typed here from the transcriptions. */
const table1974 = [
  [2, 0.69, 0.92, 0, 0, 0],
  [-0.98, 0.6624, 0.874, 0, -0.0184, 0],
  [-0.02, 0.11, 0.31, 0.22, 0, -18],
  [-0.02, 0.16, 0.41, -0.22, 0, 18],
  [0.01, 0.21, 0.25, 0, 0.35, 0],
  [0.01, 0.046, 0.046, 0, 0.1, 0],
  [0.01, 0.046, 0.046, 0, -0.1, 0],
  [0.01, 0.046, 0.023, -0.08, -0.605, 0],
  [0.01, 0.023, 0.023, 0, -0.605, 0],
  [0.01, 0.023, 0.046, 0.06, -0.605, 0],
] as const;
const toftGreys = [1, -0.8, -0.2, -0.2, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1];

function apartFromTable(k: number): number {
  const { value, a, b, x, y, angle } = original[k]!;
  const [grey, semiX, semiY, x0, y0, tilt] = table1974[k]!;
  return Math.max(...[value - grey, a - semiX, b - semiY, x - x0, y - y0, angle - radians(tilt)].map(Math.abs));
}

const points1974 = [
  [0, 0, 1.02], [0, 0.9, 2], [0.68, 0, 2], [0.22, 0, 1], [-0.22, 0, 1], [0, 0.35, 1.03], [0, 0.08, 1.03], [0, -0.1, 1.03],
  [0, -0.605, 1.03], [-0.08, -0.605, 1.03], [0.5, 0, 1.02], [0, 0.95, 0],
] as const;
const pointsToft = [
  [0, 0, 0.2], [0, 0.9, 1], [0.22, 0, 0], [-0.22, 0, 0], [0, 0.35, 0.3], [0, -0.1, 0.3], [0, -0.605, 0.3], [0.5, 0, 0.2],
] as const;

/** Sum of pixels that are whole multiples of 1/parts but for their rounding to 32 bits, which is taken off again. */
const sum = (pixels: Float32Array, parts: number) => pixels.reduce((total, pixel) => total + Math.round(pixel * parts), 0) / parts;
/** 64 × 64 pixels with their middles at −1 + 1/64 … 1 − 1/64, and with them at −1 … 1, both ends included. */
const withinSquare = { width: 64, height: 64, pixelSize: 2 / 64 };
const endToEnd = { width: 64, height: 64, pixelSize: 2 / 63 };

async function fixturePixels(load: LoadFixture): Promise<Float32Array> {
  const { data_base64 } = (await load('image_toft_64')) as { data_base64: string };
  return new Float32Array(Uint8Array.from(atob(data_base64), (character) => character.charCodeAt(0)).buffer);
}

export const phantomChecks: Check[] = [
  ...series('A1', { tolerance: 0, kind: 'absolute', source: shepp1974 }, table1974.map((_, k) => [
    `ellipse ${k + 1} of the original head: largest difference from the table in grey, semi-axes, centre and tilt`, 0, () => apartFromTable(k),
  ])),
  ...series('A2', { tolerance: 0, kind: 'absolute', source: toft1996 }, [
    ['greys of the high-contrast head: largest difference from the table', 0, () => Math.max(...highContrast.map(({ value }, k) => Math.abs(value - toftGreys[k]!)))],
    ['height of its ninth ellipse', -0.606, () => highContrast[8]!.y],
  ]),
  ...series('A3', { tolerance: 1e-12, kind: 'absolute', source: `${shepp1974}; ${computed}` }, points1974.map(([x, y, grey]) => [
    `grey of the original head at (${x}, ${y})`, grey, () => valueAt(original, x, y),
  ])),
  ...series('A4', { tolerance: 1e-12, kind: 'absolute', source: `${toft1996}; ${computed}` }, pointsToft.map(([x, y, grey]) => [
    `grey of the high-contrast head at (${x}, ${y})`, grey, () => valueAt(highContrast, x, y),
  ])),
  ...series('A5', { tolerance: 1e-9, kind: 'relative', source: computed }, [['mass of the original head, Σ grey·π·a·b', 2.201756692, () => mass(original)]]),
  ...series('A6', { tolerance: 1e-8, kind: 'relative', source: computed }, [['mass of the high-contrast head', 0.495264605, () => mass(highContrast)]]),
  ...series('A7', { tolerance: 1e-7, kind: 'absolute', source: computed }, [
    ['centre of mass of the original head, x', 0.00019746, () => centreOfMass(original)[0]],
    ['centre of mass of the original head, y', 0.01513489, () => centreOfMass(original)[1]],
    ['centre of mass of the high-contrast head, x', 0.00877834, () => centreOfMass(highContrast)[0]],
    ['centre of mass of the high-contrast head, y', 0.06469737, () => centreOfMass(highContrast)[1]],
  ]),
  ...series('A8', { tolerance: 0, kind: 'absolute', source: 'GNU Octave 7.3.0, image package 2.14.0, phantom("Modified Shepp-Logan", 64)' }, [
    ['sum of the pixels of the high-contrast head on a 64 × 64 grid from −1 to 1, both ends included', 500.4, () => sum(rasterize(highContrast, endToEnd, 1).data, 10)],
  ]),
  ...series('A9', { tolerance: 1e-6, kind: 'absolute', source: 'computed with NumPy 1.24.2: 8 × 8 samples a pixel' }, [
    ['sum of the pixels of the high-contrast head, 64 × 64, averaged over each pixel', 507.1640625, () => sum(rasterize(highContrast, withinSquare).data, 640)],
    ['brightest pixel of the high-contrast head, 64 × 64, averaged over each pixel', 1, () => Math.max(...rasterize(highContrast, withinSquare).data)],
    ['largest difference of a pixel from the picture computed by NumPy', 0, async (load) => {
      const theirs = await fixturePixels(load);
      return Math.max(...rasterize(highContrast, withinSquare).data.map((pixel, k) => Math.abs(pixel - theirs[k]!)));
    }],
  ]),
];
