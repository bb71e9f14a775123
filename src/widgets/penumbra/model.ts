import { bestMagnification, effectivePixel, unsharpness } from '../../lib/index.ts';
import { definePlate, type Numbers } from '../frame/definition.ts';
import { bars, blurred, contrastLeft, edge } from './blur.ts';

/** All in mm. */
export type PenumbraState = { readonly toObject: number; readonly toScreen: number; readonly spot: number; readonly pitch: number };

export interface PenumbraResult {
  readonly magnification: number;
  /** Width of the penumbra on the screen and at the object, mm. */
  readonly unsharp: number;
  readonly unsharpAtObject: number;
  /** What a cell covers at the object, mm. */
  readonly cell: number;
  /** Both together, mm; and the magnification at which they are least, with its value. Infinity and 0 for a spot of no width. */
  readonly effective: number;
  readonly best: number;
  readonly bestEffective: number;
  /** The light behind an edge, against the place at the object, mm; and what the cells make of it, each from its left end on. */
  readonly edge: { readonly x: Float64Array; readonly light: Float64Array };
  readonly cells: { readonly x: Float64Array; readonly light: Float64Array };
  /** The bars as the screen shows them, a row for each period, drawn back to the size of the object. Left to right, mm. */
  readonly pattern: { readonly width: number; readonly height: number; readonly data: Float32Array };
  readonly extent: number;
  /** The contrast that each row keeps. */
  readonly contrasts: readonly number[];
  /** The effective pixel against the magnification. */
  readonly curve: { readonly magnification: Float64Array; readonly effective: Float64Array };
}

/** The test plate, mm: its length across the beam, and the periods of its bars, one row each. */
export const plateLength = 40;
export const periods = [2.8, 2, 1.4, 1, 0.7, 0.5, 0.35];
/** mm of the bars shown, and of the edge to either side. */
const field = 12;
export const besideEdge = 1.5;
export const longest = 800;
const nearest = 150;
export const greatestMagnification = longest / nearest;

export const penumbra = definePlate<PenumbraState, PenumbraResult>({
  id: 'penumbra',
  title: 'A spot, a plate and a screen, to scale',
  initial: { toObject: 400, toScreen: 600, spot: 1, pitch: 0.2 },
  controls: {
    toObject: { kind: 'range', label: 'Source to object', min: nearest, max: ({ toScreen }) => toScreen, step: 5, unit: 'mm' },
    toScreen: { kind: 'range', label: 'Source to screen', min: 200, max: longest, step: 5, unit: 'mm' },
    spot: { kind: 'range', label: 'Width of the spot', min: 0, max: 2, step: 0.05, unit: 'mm' },
    pitch: { kind: 'range', label: 'Pitch of the cells on the screen', min: 0.05, max: 1, step: 0.05, unit: 'mm' },
  },
  runs: 'page',

  compute({ toObject, toScreen, spot, pitch }) {
    const magnification = toScreen / toObject;
    const unsharp = unsharpness(spot, magnification);
    const unsharpAtObject = unsharp / magnification;
    const cell = pitch / magnification;
    const best = bestMagnification(pitch, spot);

    const half = Math.ceil(field / 2 / cell);
    const rows = periods.map(bars);
    const data = new Float32Array(2 * half * rows.length);
    rows.forEach((pattern, row) => {
      for (let j = 0; j < 2 * half; j++) data[row * 2 * half + j] = blurred(pattern, (j + 0.5 - half) * cell, unsharpAtObject, cell);
    });

    const x = Float64Array.from({ length: 301 }, (_, k) => besideEdge * (k / 150 - 1));
    const reach = Math.ceil(besideEdge / cell);
    const left = Float64Array.from({ length: 2 * reach + 1 }, (_, k) => (k - reach) * cell);
    const times = Float64Array.from({ length: 200 }, (_, k) => 1 + ((greatestMagnification - 1) * k) / 199);
    return {
      magnification, unsharp, unsharpAtObject, cell, best,
      effective: effectivePixel(pitch, spot, magnification),
      bestEffective: Number.isFinite(best) ? effectivePixel(pitch, spot, best) : 0,
      edge: { x, light: x.map((at) => blurred(edge, at, unsharpAtObject, 0)) },
      cells: { x: left, light: left.map((at) => blurred(edge, at + cell / 2, unsharpAtObject, cell)) },
      pattern: { width: 2 * half, height: rows.length, data },
      extent: half * cell,
      contrasts: periods.map((period) => contrastLeft(period, unsharpAtObject, cell)),
      curve: { magnification: times, effective: times.map((m) => effectivePixel(pitch, spot, m)) },
    };
  },

  describe({ spot, pitch }, { magnification, unsharp, unsharpAtObject, cell, effective, best, bestEffective, contrasts }) {
    const lost = contrasts.findIndex((contrast) => contrast < 0.1);
    const kept = lost < 0 ? `all bars down to a period of ${periods.at(-1)} mm` : lost === 0 ? 'none of the bars' : `bars down to a period of ${periods[lost - 1]} mm`;
    const blur = spot === 0 ? 'A point casts no penumbra' : `The spot blurs an edge over ${mm(unsharp)} of the screen, which is ${mm(unsharpAtObject)} at the object`;
    const advice = spot === 0 ? 'With a point, the more magnification the better.' : `For a spot of ${spot} mm and cells of ${pitch} mm the best magnification is ${times(best)}, with an effective pixel of ${mm(bestEffective)}.`;
    return `The shadow is ${times(magnification)} times as large as the object. ${blur}; a cell covers ${mm(cell)} of it, and the two make an effective pixel of ${mm(effective)}. It keeps a tenth of the contrast of ${kept}. ${advice}`;
  },

  listings: [
    { file: 'geometry/unsharpness.ts', function: 'effectivePixel', title: 'The effective pixel' },
    { file: 'geometry/unsharpness.ts', function: 'bestMagnification', title: 'The best magnification' },
  ],
  exports(_, { pattern, edge: { x, light }, curve }) {
    const numbers: Numbers[] = [
      { name: 'edge', label: 'The edge', columns: { 'place at the object (mm)': x, 'share of the light': light } },
      { name: 'effective-pixel', label: 'The effective pixel', columns: { magnification: curve.magnification, 'effective pixel (mm)': curve.effective } },
    ];
    return { pictures: [{ name: 'bars', label: 'The bars on the screen', image: pattern, window: [0, 1] }], numbers };
  },
});

export const mm = (value: number) => `${Number(value.toPrecision(3))} mm`;
export const times = (value: number) => (Number.isFinite(value) ? String(Number(value.toPrecision(value < 10 ? 3 : 4))) : 'without end');
