import { windowFunctions, type Filter } from '../filter/filter.ts';
import type { BlurBudget } from '../geometry/blur-budget.ts';

export interface SliceResolution {
  /** Full width at half maximum of a thin wall in the slice, mm. */
  readonly width: number;
  /** Cycles/mm at which a tenth of the contrast is left. */
  readonly tenth: number;
}

/**
 * How sharp a slice is, from its budget of blur: each part with the shape that it has, spot and screen as bells of their width (full width at half maximum),
 * the pixel and the way turned meanwhile as boxes, with what the reconstruction itself adds: the window, and straight lines between cells.
 *   MTF(f) = e^(−(πf·w)²/(4 ln 2)) of spot, screen and motion · sinc(f·pixel) · sinc(f·turned) · sinc²(f·cell) · window(f)
 * budget: blurBudget's parts at the object, where pitch is a working cell.   Views that are too few are not in it.
 * Source: transfer functions multiply; those of a bell and a box; interpolation by straight lines is a triangle's, derived here.
 */
export function sliceResolution({ parts }: Pick<BlurBudget, 'parts'>, filter: Filter = { window: 'ramp' }): SliceResolution {
  const cell = parts.pitch;
  const bell = Math.hypot(parts.spot, parts.screen, parts.motion);
  const nyquist = 1 / (2 * cell);
  const cutoff = (filter.cutoff ?? 1) * nyquist;
  const window = typeof filter.window === 'function' ? filter.window : filter.window === 'none' ? () => 1 : windowFunctions[filter.window];
  const mtf = (f: number): number => {
    if (f === 0) return 1;
    // Above Nyquist's frequency the filter of the samples comes again, turned round, and straight lines between them leave a little of it.
    const folded = Math.abs(f - Math.round(f * cell) / cell);
    const gain = folded > cutoff ? 0 : (folded / f) * window(folded, cutoff);
    return Math.exp(-((Math.PI * f * bell) ** 2) / (4 * Math.LN2)) * sinc(f * cell) * sinc(f * parts.turning) * sinc(f * cell) ** 2 * gain;
  };
  const size = Math.hypot(...Object.values(parts));
  const end = Math.min(4 / cell, 6 / size), steps = 1500, step = end / steps;
  const values = Float64Array.from({ length: steps }, (_, i) => mtf((i + 0.5) * step));
  const spread = (x: number) => values.reduce((sum, value, i) => sum + value * Math.cos(2 * Math.PI * (i + 0.5) * step * x), 0);
  const half = spread(0) / 2;
  let [near, far] = [0, size / 8];
  while (spread(far) > half) far += size / 8;
  near = far - size / 8;
  for (let k = 0; k < 30; k++) {
    const middle = (near + far) / 2;
    if (spread(middle) > half) near = middle;
    else far = middle;
  }
  const below = values.findIndex((value) => value < 0.1);
  return { width: near + far, tenth: (below < 0 ? steps : below) * step };
}

const sinc = (x: number) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
