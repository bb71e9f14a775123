import { BadInput } from '../files/bad-input.ts';

export interface EllipseFit {
  readonly centre: readonly [x: number, y: number];
  /** Semi-axes, the longer first. */
  readonly major: number;
  readonly minor: number;
  /** Direction of the longer axis, radians from +x towards +y, −π/2 < angle ≤ π/2. */
  readonly angle: number;
  /** Root mean square distance of the points from the ellipse, to first order. */
  readonly rms: number;
}

/**
 * The ellipse through scattered points: least squares of a x² + b xy + c y² + d x + e y + f over the points with 4ac − b² = 1, which only
 * ellipses can have. Exact for points on an ellipse; with noise it comes out a little too small where the points cover part of it.
 * points: at least 6, any units.   Throws BadInput: fewer than 6 points, or points on one line.
 * Source: Halíř & Flusser, Numerically stable direct least squares fitting of ellipses (WSCG 1998), after Fitzgibbon, Pilu & Fisher,
 * IEEE Trans. PAMI 21:476 (1999); citations from memory.
 */
export function fitEllipse(points: readonly (readonly [x: number, y: number])[]): EllipseFit {
  if (points.length < 6) throw new BadInput(`An ellipse needs at least 6 points and there ${points.length === 1 ? 'is 1' : `are ${points.length}`}.`);
  const mean = (of: (point: readonly [number, number]) => number) => points.reduce((sum, point) => sum + of(point), 0) / points.length;
  // Each direction in its own unit, so that a flat ellipse is as round as any (ellipses stay ellipses); but not so far that noise becomes round.
  const [x0, y0] = [mean(([x]) => x), mean(([, y]) => y)];
  const spreads = [Math.sqrt(mean(([x]) => (x - x0) ** 2)), Math.sqrt(mean(([, y]) => (y - y0) ** 2))];
  const [sx, sy] = spreads.map((spread) => Math.max(spread, 0.02 * Math.max(...spreads))) as [number, number];
  if (!(sx > 0 && sy > 0)) throw new BadInput('The points lie on one line and make no ellipse.');
  const quadratic: number[][] = [];
  const linear: number[][] = [];
  for (const [px, py] of points) {
    const [x, y] = [(px - x0) / sx, (py - y0) / sy];
    quadratic.push([x * x, x * y, y * y]);
    linear.push([x, y, 1]);
  }
  const s1 = product(quadratic, quadratic), s2 = product(quadratic, linear), s3 = product(linear, linear);
  const t = times(inverse3(s3), transposed(s2)).map((row) => row.map((value) => -value)); // linear part from the quadratic one
  const reduced = plus(s1, times(s2, t));
  // C⁻¹ of the constraint 4ac − b² = 1.
  const m = [reduced[2]!.map((value) => value / 2), reduced[1]!.map((value) => -value), reduced[0]!.map((value) => value / 2)];
  const conic = eigenvectors3(m).filter(([a, b, c]) => 4 * a! * c! - b! * b! > 0).map((quadraticPart) => [...quadraticPart, ...t.map((row) => dot(row, quadraticPart))]);
  if (conic.length === 0) throw new BadInput('The points lie on no ellipse: on a line, or on a curve that does not close.');
  const squares = (each: readonly number[]) => points.reduce((sum, _, i) => sum + dot([...quadratic[i]!, ...linear[i]!], each) ** 2, 0) / (4 * each[0]! * each[2]! - each[1]! ** 2);
  const best = conic.reduce((least, each) => (squares(each) < squares(least) ? each : least));

  // Back to the points' own units: x → (x − x0)/sx.
  const [A, B, C, D, E, F] = best as [number, number, number, number, number, number];
  const [a, b, c] = [A / sx ** 2, B / (sx * sy), C / sy ** 2];
  const [d, e] = [D / sx, E / sy]; // about (x0, y0)
  const determinant = 4 * a * c - b * b;
  const [xc, yc] = [(b * e - 2 * c * d) / determinant, (b * d - 2 * a * e) / determinant];
  const level = F + (d * xc + e * yc) / 2;
  const [half, root] = [(a + c) / 2, Math.hypot((a - c) / 2, b / 2)];
  const sign = Math.sign(half);
  const [minor, major] = [Math.sqrt(-level / (half + sign * root)), Math.sqrt(-level / (half - sign * root))];
  if (!(major > 0 && minor > 0 && Number.isFinite(major))) throw new BadInput('The points lie on one line and make no ellipse.');
  // The longer axis is the direction in which the form grows least.
  let angle = root === 0 ? 0 : 0.5 * Math.atan2(-sign * b, -sign * (a - c));
  if (angle <= -Math.PI / 2) angle += Math.PI;
  const rms = Math.sqrt(mean(([px, py]) => {
    const [x, y] = [px - x0, py - y0];
    const value = a * x * x + b * x * y + c * y * y + d * x + e * y + F;
    return (value / Math.hypot(2 * a * x + b * y + d, b * x + 2 * c * y + e)) ** 2;
  }));
  return { centre: [x0 + xc, y0 + yc], major, minor, angle, rms };
}

type Matrix = readonly (readonly number[])[];
const dot = (a: readonly number[], b: readonly number[]) => a.reduce((sum, value, i) => sum + value * b[i]!, 0);
const transposed = (a: Matrix) => a[0]!.map((_, j) => a.map((row) => row[j]!));
const times = (a: Matrix, b: Matrix) => a.map((row) => transposed(b).map((column) => dot(row, column)));
const plus = (a: Matrix, b: Matrix) => a.map((row, i) => row.map((value, j) => value + b[i]![j]!));
const product = (a: Matrix, b: Matrix) => times(transposed(a), b);
const cross = ([a, b, c]: readonly number[], [d, e, f]: readonly number[]) => [b! * f! - c! * e!, c! * d! - a! * f!, a! * e! - b! * d!];

function inverse3(m: Matrix): Matrix {
  const [a, b, c] = m as [number[], number[], number[]];
  const determinant = dot(a, cross(b, c));
  if (!(Math.abs(determinant) > 1e-12)) throw new BadInput('The points lie on one line and make no ellipse.');
  return transposed([cross(b, c), cross(c, a), cross(a, b)].map((row) => row.map((value) => value / determinant)));
}

/** Eigenvectors of the real eigenvalues of a 3 × 3 matrix: roots of the characteristic cubic, then the null space of M − λ. */
function eigenvectors3(m: Matrix): number[][] {
  const trace = m[0]![0]! + m[1]![1]! + m[2]![2]!;
  const minors = [[0, 1], [0, 2], [1, 2]].reduce((sum, [i, j]) => sum + m[i!]![i!]! * m[j!]![j!]! - m[i!]![j!]! * m[j!]![i!]!, 0);
  const determinant = dot(m[0]!, cross(m[1]!, m[2]!));
  return cubicRoots(-trace, minors, -determinant).map((lambda) => {
    const rows = m.map((row, i) => row.map((value, j) => value - (i === j ? lambda : 0)));
    const candidates = [cross(rows[0]!, rows[1]!), cross(rows[0]!, rows[2]!), cross(rows[1]!, rows[2]!)];
    const vector = candidates.reduce((best, each) => (dot(each, each) > dot(best, best) ? each : best));
    const length = Math.sqrt(dot(vector, vector));
    return vector.map((value) => value / length);
  }).filter((vector) => vector.every(Number.isFinite));
}

/** Real roots of x³ + p x² + q x + r, each polished by Newton's method. */
function cubicRoots(p: number, q: number, r: number): number[] {
  const shift = -p / 3;
  const a = q - (p * p) / 3;
  const b = (2 * p ** 3) / 27 - (p * q) / 3 + r;
  const discriminant = (b / 2) ** 2 + (a / 3) ** 3;
  const roots: number[] = [];
  if (discriminant > 0) {
    const root = Math.sqrt(discriminant);
    roots.push(Math.cbrt(-b / 2 + root) + Math.cbrt(-b / 2 - root) + shift);
  } else {
    const radius = 2 * Math.sqrt(-a / 3);
    const angle = a === 0 ? 0 : Math.acos(Math.max(-1, Math.min(1, (3 * b) / (a * radius))));
    for (const k of [0, 1, 2]) roots.push(radius * Math.cos((angle - 2 * Math.PI * k) / 3) + shift);
  }
  return roots.map((start) => {
    let x = start;
    for (let turn = 0; turn < 4; turn++) {
      const slope = 3 * x * x + 2 * p * x + q;
      if (slope !== 0) x -= (((x + p) * x + q) * x + r) / slope;
    }
    return x;
  });
}
