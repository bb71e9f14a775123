import { cholesky, solveLower, solveUpper } from './cholesky.ts';
import { stepsOf, type GapProblem } from './gaps.ts';
import type { Strips } from './strips.ts';

/**
 * A first guess of the steps from the moments of each band, ∫ sⁿ p ds about the axis, n = 0, 1, 2. In a parallel beam they are
 * trigonometric polynomials of the angle of degree n (Helgason–Ludwig: a constant, a sinusoid, …); a fan or cone, which sees what is near
 * it larger, adds about one degree. By turns: the polynomials that fit best with the steps as they are; then, by dynamic programming,
 * the rising steps whose frames lie nearest to the polynomials.
 * Result: the gaps, in the problem's terms. Fixed frames are kept.
 */
export function gapsFromMoments(strips: Strips, parallel: boolean, problem: GapProblem, start: readonly number[]): number[] {
  const { views, bands } = strips;
  const features: { values: Float64Array; degree: number }[] = [];
  for (let band = 0; band < bands; band++) {
    for (let order = 0; order <= 2; order++) features.push({ values: momentsOf(strips, band, order), degree: order + (parallel ? 0 : 1) });
  }
  let gaps = [...start];
  for (let turn = 0; turn < 12; turn++) {
    const steps = stepsOf(gaps);
    const costs = new Float64Array(views * problem.circle); // of frame i at step k
    for (const { values, degree } of features) {
      const { curve, variance } = fitted(values, steps, degree, problem.circle);
      if (!(variance > 0)) continue;
      for (let i = 0; i < views; i++) for (let k = 0; k < problem.circle; k++) costs[i * problem.circle + k]! += (values[i]! - curve[k]!) ** 2 / variance;
    }
    const next = alignedGaps(costs, steps, problem);
    if (next.every((gap, i) => gap === gaps[i])) break;
    gaps = next;
  }
  return gaps;
}

function momentsOf({ views, bands, cells, data }: Strips, band: number, order: number): Float64Array {
  return Float64Array.from({ length: views }, (_, view) => {
    let sum = 0;
    for (let i = 0; i < cells; i++) sum += ((2 * (i + 0.5)) / cells - 1) ** order * data[(view * bands + band) * cells + i]!;
    return sum;
  });
}

/** The trigonometric polynomial of a degree through values at steps, by least squares, at every step; and what is left over. */
function fitted(values: Float64Array, steps: readonly number[], degree: number, circle: number): { curve: Float64Array; variance: number } {
  const terms = 2 * degree + 1;
  const row = (step: number) => Float64Array.from({ length: terms }, (_, t) => (t === 0 ? 1 : (t % 2 === 1 ? Math.cos : Math.sin)((Math.ceil(t / 2) * 2 * Math.PI * step) / circle)));
  const rows = Array.from({ length: circle }, (_, step) => row(step));
  const matrix = new Float64Array(terms * terms);
  const right = new Float64Array(terms);
  steps.forEach((step, i) => {
    const x = rows[step % circle]!;
    for (let a = 0; a < terms; a++) {
      right[a]! += x[a]! * values[i]!;
      for (let b = 0; b < terms; b++) matrix[a * terms + b]! += x[a]! * x[b]!;
    }
  });
  for (let a = 0; a < terms; a++) matrix[a * terms + a]! += 1e-6 * steps.length;
  cholesky(matrix, terms);
  solveLower(matrix, terms, right);
  solveUpper(matrix, terms, right);
  const curve = Float64Array.from(rows, (x) => x.reduce((sum, value, a) => sum + value * right[a]!, 0));
  const left = steps.reduce((sum, step, i) => sum + (values[i]! - curve[step % circle]!) ** 2, 0);
  return { curve, variance: left / Math.max(1, steps.length - terms) };
}

/**
 * Least Σ cost over rising steps, by dynamic programming, segment by segment: a segment's first frame stands fast, and its missing steps
 * are used up when the next fixed frame (or, round the circle, the first) is reached.
 */
function alignedGaps(costs: Float64Array, steps: readonly number[], { circle, least, segments, missing }: GapProblem): number[] {
  const gaps = [...least];
  segments.forEach((places, segment) => {
    const width = missing[segment]! + 1;
    const best = new Float64Array(places.length * width).fill(Infinity);
    const from = new Int32Array(places.length * width);
    best[0] = 0;
    let step = steps[places[0]!]!;
    for (let i = 1; i < places.length; i++) {
      step += 1 + least[places[i - 1]!]!;
      for (let used = 0; used < width; used++) {
        for (let before = 0; before <= used; before++) {
          const cost = best[(i - 1) * width + before]! + costs[places[i]! * circle + ((step + used) % circle)]!;
          if (cost >= best[i * width + used]!) continue;
          best[i * width + used] = cost;
          from[i * width + used] = before;
        }
      }
    }
    const last = (places.length - 1) * width;
    let used = 0;
    for (let each = 1; each < width; each++) if (best[last + each]! < best[last + used]!) used = each;
    gaps[places.at(-1)!]! += width - 1 - used;
    for (let i = places.length - 1; i > 0; i--) {
      const before = from[i * width + used]!;
      gaps[places[i - 1]!]! += used - before;
      used = before;
    }
  });
  return gaps;
}
