import { BadInput } from '../files/bad-input.ts';
import type { Photograph } from '../files/photograph.ts';
import { solve } from './solve.ts';
import { srgbToLight, type MeasuredCurve } from './linearise.ts';

/** A photograph of an unmoving scene, and how long it was exposed; only the ratios of the times count. */
export interface ExposedPhotograph {
  readonly photograph: Photograph;
  readonly seconds: number;
}

export interface CurveReport {
  readonly curve: MeasuredCurve;
  /** Root mean square of the relative distances between light and its fit, over all pixels that were used. */
  readonly misfit: number;
  readonly pixels: number;
}

const knots = 48;
const mostPixels = 600;
const rounds = 4;
/** Stored values outside this are not used: too near the dark end, or to full scale. */
const darkest = 0.02, brightest = 0.985;

/**
 * The camera's curve from the same scene photographed at several exposure times, with nothing else changed.
 *   g(stored) = light·time:  min over g, L of Σ ((g(z_ij) − L_i·t_j)/(L_i·t_j))² + smoothness of g,  g(0) = 0, g(1) = 1
 * i: pixels, spread over the range of brightness; j: exposures. g is a chain of 47 straight lines. For each g the best L_i are a
 * quotient, so that what is left is a system of equations for g alone; the weights are renewed from it, beginning with the curve of sRGB.
 * Above the brightest value in the series, and above 0.985 of full scale, where pixels begin to be saturated, g goes on straight.
 * Needs three exposures or more, the longest at least four times the shortest, and pixels of many brightnesses.
 * Throws BadInput where sizes differ, times are missing, or too few pixels are neither black nor saturated.
 * Source: the idea is Debevec and Malik's (SIGGRAPH 1997, equation 3), there with logarithms; from memory.
 */
export function curveFromExposures(series: readonly ExposedPhotograph[]): CurveReport {
  check(series);
  const times = series.map(({ seconds }) => seconds);
  const pixels = choosePixels(series);
  let g = Float64Array.from({ length: knots }, (_, k) => srgbToLight(k / (knots - 1)));
  const at = (stored: number): [number, number] => {
    const place = Math.min(stored * (knots - 1), knots - 1 - 1e-9);
    const k = Math.floor(place);
    return [k, place - k];
  };
  const lookUp = (stored: number) => {
    const [k, share] = at(stored);
    return (1 - share) * g[k] + share * g[k + 1];
  };

  // The last knot that the series tells of: from there on g goes on straight.
  const seen = Math.max(2, Math.floor(at(pixels.flat().reduce((most, value) => (value < brightest && value > most ? value : most), 0)).reduce((k, share) => k + share)));

  for (let round = 0; round < rounds; round++) {
    const matrix = Array.from({ length: knots }, () => new Float64Array(knots));
    for (const values of pixels) {
      const used = values.flatMap((stored, j) => (stored > darkest && stored < brightest ? [j] : []));
      const light = used.reduce((sum, j) => sum + lookUp(values[j]) / times[j], 0) / used.length;
      // Σ w (g_j − L t_j)² with L at its best is Σ w g_j² − (Σ w t_j g_j)²/Σ w t_j², a form in g.
      const row = new Float64Array(knots);
      let norm = 0;
      for (const j of used) {
        const weight = 1 / (light * times[j]) ** 2;
        const [k, share] = at(values[j]);
        const parts: [number, number][] = [[k, 1 - share], [k + 1, share]];
        for (const [a, x] of parts) for (const [b, y] of parts) matrix[a][b] += weight * x * y;
        for (const [a, x] of parts) row[a] += weight * times[j] * x;
        norm += weight * times[j] ** 2;
      }
      for (let a = 0; a < knots; a++) if (row[a] !== 0) for (let b = 0; b < knots; b++) matrix[a][b] -= (row[a] * row[b]) / norm;
    }
    // Smooth in the sense of its own steepness, so that the dark end may bend as a camera's does.
    for (let k = 1; k < knots - 1; k++) {
      const weight = (2e-3 * pixels.length) / Math.max(g[k], 1e-3) ** 2;
      const bend: [number, number][] = [[k - 1, 1], [k, -2], [k + 1, 1]];
      for (const [a, x] of bend) for (const [b, y] of bend) matrix[a][b] += weight * x * y;
    }
    // The data say nothing of the scale, so the mean of g against what it was is held: min gᵀAg with cᵀg = 1 is A⁻¹c, scaled.
    const unknown = Array.from({ length: knots - 1 }, (_, k) => k + 1);
    const solution = solve(unknown.map((a) => Float64Array.from([...unknown.map((b) => matrix[a][b]), 1 / g[a]])));
    const next = Float64Array.from({ length: knots }, (_, k) => (k === 0 ? 0 : solution[k - 1]));
    for (let k = 1; k < knots; k++) next[k] = Math.max(next[k], next[k - 1]);
    for (let k = seen + 1; k < knots; k++) next[k] = next[k - 1] + Math.max(0, next[seen] - next[seen - 1]);
    g = next.map((value) => value / next[knots - 1]);
  }

  let squares = 0, count = 0;
  for (const values of pixels) {
    const used = values.flatMap((stored, j) => (stored > darkest && stored < brightest ? [j] : []));
    const light = used.reduce((sum, j) => sum + lookUp(values[j]) / times[j], 0) / used.length;
    for (const j of used) {
      squares += (lookUp(values[j]) / (light * times[j]) - 1) ** 2;
      count++;
    }
  }
  const curve = { stored: Array.from({ length: knots }, (_, k) => k / (knots - 1)), light: [...g] };
  return { curve, misfit: Math.sqrt(squares / count), pixels: pixels.length };
}

function check(series: readonly ExposedPhotograph[]): void {
  if (series.length < 3) throw new BadInput(`An exposure series needs at least three photographs, and ${series.length} ${series.length === 1 ? 'is' : 'are'} there.`);
  const { width, height } = series[0].photograph;
  for (const { photograph, seconds } of series) {
    if (photograph.width !== width || photograph.height !== height) throw new BadInput(`The photographs of the exposure series have different sizes: ${photograph.width} × ${photograph.height} pixels and ${width} × ${height}.`);
    if (!(seconds > 0 && Number.isFinite(seconds))) throw new BadInput(`An exposure time of the series is ${seconds}: each must be a number of seconds above 0.`);
  }
  const times = series.map(({ seconds }) => seconds);
  if (Math.max(...times) < 4 * Math.min(...times)) throw new BadInput('The longest exposure of the series is less than four times the shortest, which shows too little of the curve: take one much longer or shorter.');
}

/** Means of 3 × 3 pixels, seen neither black nor saturated in at least two exposures, spread evenly over brightness. */
function choosePixels(series: readonly ExposedPhotograph[]): number[][] {
  const { width, height } = series[0].photograph;
  const all: number[][] = [];
  const step = Math.max(1, Math.floor(Math.sqrt((width * height) / 40_000)));
  const evenness = 0.06;
  for (let row = 1; row < height - 1; row += step) {
    for (let column = 1; column < width - 1; column += step) {
      let even = true;
      const values = series.map(({ photograph: { data } }) => {
        let sum = 0, least = Infinity, most = -Infinity;
        for (let y = row - 1; y <= row + 1; y++) {
          for (let x = column - 1; x <= column + 1; x++) {
            const value = data[y * width + x];
            sum += value;
            least = Math.min(least, value);
            most = Math.max(most, value);
          }
        }
        // Across an edge, the mean of what is stored is not what is stored for the mean; and a full pixel hides in a mean.
        if (most - least > evenness) even = false;
        return most >= brightest ? 1 : sum / 9;
      });
      if (even && values.filter((value) => value > darkest && value < brightest).length >= 2) all.push(values);
    }
  }
  if (all.length < 50) throw new BadInput('Too few pixels of the exposure series are neither black nor saturated in at least two of its photographs: expose so that the same parts are seen in several.');
  all.sort((a, b) => a.reduce((x, y) => x + y, 0) - b.reduce((x, y) => x + y, 0));
  const count = Math.min(all.length, mostPixels);
  return Array.from({ length: count }, (_, k) => all[Math.floor((k * all.length) / count)]);
}
