import { cutterOf, misses } from './cut-solid.ts';
import { intersect, subtract, unite } from './intervals.ts';
import { length, scaled, type Form, type Solid, type Vector } from './solids.ts';

/**
 * How far a ray runs inside a form, mm: from the origin onwards along the direction (of any length but 0), exact up to rounding.
 * 0 for a ray that touches an edge or a face. Infinity where a half-space that nothing bounds lies ahead.
 */
export function chord(form: Form, origin: Vector, direction: Vector): number {
  return pathLengths([form], origin, direction)[0];
}

/**
 * How far a ray runs in each solid of a list, mm, in the list's order: where solids overlap, the last of them has the stretch. From
 * these follow the line integral, Σ μ·length, and what a beam of many energies loses.
 */
export function pathLengths(solids: readonly (Form | Solid)[], origin: Vector, direction: Vector): Float64Array {
  const norm = length(direction);
  if (!(norm > 0) || !Number.isFinite(norm)) throw new RangeError(`The direction of a ray is (${direction.join(', ')}) and should have a length above 0.`);
  const lengths = new Float64Array(solids.length);
  pathTracer(solids)(Float64Array.of(...origin, ...scaled(direction, 1 / norm)), lengths);
  return lengths;
}

/** The same for many rays: a function that writes to `lengths` for a ray of six numbers, origin and a direction of length 1. */
export function pathTracer(solids: readonly Form[]): (ray: Float64Array, lengths: Float64Array) => void {
  const trace = stretchTracer(solids);
  let into: Float64Array = new Float64Array(0);
  const add = (solid: number, from: number, to: number) => {
    into[solid] += to - from;
  };
  return (ray, lengths) => {
    lengths.fill(0);
    into = lengths;
    trace(ray, add);
  };
}

/** And where: calls `found` with each stretch that is one solid's, as distances from the origin; the last solid's come first. */
export function stretchTracer(solids: readonly Form[]): (ray: Float64Array, found: (solid: number, from: number, to: number) => void) => void {
  const cutters = solids.map(cutterOf);
  const most = 2 + cutters.reduce((total, cutter) => total + cutter.most, 0);
  const ahead = Float64Array.of(0, Infinity);
  const [inside, clipped, own] = Array.from({ length: 3 }, () => new Float64Array(2 * most));
  let taken = new Float64Array(2 * most);
  let more = new Float64Array(2 * most);
  return (ray, found) => {
    let n = 0;
    for (let k = cutters.length - 1; k >= 0; k--) {
      const cutter = cutters[k];
      if (misses(ray, cutter.centre, cutter.radius)) continue;
      const stretches = intersect(inside, cutter.cut(ray, inside), ahead, 2, clipped);
      if (stretches === 0) continue;
      const mine = subtract(clipped, stretches, taken, n, own);
      for (let i = 0; i < mine; i += 2) found(k, own[i], own[i + 1]);
      if (k === 0) break;
      n = unite(taken, n, clipped, stretches, more);
      [taken, more] = [more, taken];
    }
  };
}
