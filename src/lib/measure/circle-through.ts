import { BadInput } from '../files/bad-input.ts';
import { cross, dot, minus, plus, unit, type Point3 } from '../volume/point.ts';
import { inSpace, type Point } from './distance-between.ts';

export interface Circle {
  /** mm */
  readonly centre: Point3;
  readonly radius: number;
  /** Square to the circle's plane, of length 1: the side from which the points, in their order, run counter-clockwise. */
  readonly normal: Point3;
}

export interface FittedCircle extends Circle {
  /** Root mean square of the points' distances from the circle, over all of them, mm. */
  readonly rms: number;
}

/**
 * The circle through three points of a picture or of a volume.
 *   u = b − a, v = c − a, n = u × v:  centre = a + (|u|²·(v × n) + |v|²·(n × u))/(2|n|²)
 * Throws BadInput where the three lie on one line, or two in one place.
 */
export function circleThrough(a: Point, b: Point, c: Point): Circle {
  const [p, u, v] = [inSpace(a), minus(inSpace(b), inSpace(a)), minus(inSpace(c), inSpace(a))];
  const n = cross(u, v);
  const square = dot(n, n);
  if (!(square > 1e-18 * dot(u, u) * dot(v, v))) {
    throw new BadInput('The three points lie on one line, or two of them in one place, and no circle goes through them: choose three points that are spread over the circle.');
  }
  const toCentre = plus(plus([0, 0, 0], cross(v, n), dot(u, u) / (2 * square)), cross(n, u), dot(v, v) / (2 * square));
  return { centre: plus(p, toCentre), radius: Math.hypot(...toCentre), normal: unit(n, 'The normal of the circle') };
}

/**
 * The circle that lies nearest to many points of a picture or of a volume: the least sum of squared distances within the plane that
 * lies nearest to them. Starts at the algebraic circle (Kåsa) and goes on by Gauss–Newton until it moves by less than 10⁻¹² of its radius.
 * Even noise of standard deviation σ in n points all round makes the radius uncertain by σ/√n, the centre by σ√(2/n) each way; points on
 * a short arc make both much more so.
 * Throws BadInput: fewer than three points, or points on one line.
 * Source: I. Kåsa, IEEE Trans. Instrum. Meas. 25 (1976) 8, for the start; the rest is least squares (common practice, no source).
 */
export function fitCircle(points: readonly Point[]): FittedCircle {
  if (points.length < 3) throw new BadInput(`There are ${points.length} points; a circle needs at least three.`);
  const places = points.map(inSpace);
  const middle = places.reduce<Point3>((sum, place) => plus(sum, place, 1 / places.length), [0, 0, 0]);
  const { normal, across, up } = nearestPlane(places.map((place) => minus(place, middle)));
  const xs = places.map((place) => dot(minus(place, middle), across)), ys = places.map((place) => dot(minus(place, middle), up));
  let [x, y, r] = algebraicCircle(xs, ys);
  for (let turn = 0; turn < 100; turn++) {
    // Distance − r of each point, and its slopes in x, y and r: −cos, −sin and −1.
    const m = [[0, 0, 0], [0, 0, 0], [0, 0, 0]], right = [0, 0, 0];
    for (let i = 0; i < xs.length; i++) {
      const distance = Math.hypot(xs[i] - x, ys[i] - y) || Number.MIN_VALUE;
      const slope = [-(xs[i] - x) / distance, -(ys[i] - y) / distance, -1];
      for (let j = 0; j < 3; j++) {
        right[j] -= slope[j] * (distance - r);
        for (let k = 0; k < 3; k++) m[j][k] += slope[j] * slope[k];
      }
    }
    const step = solve3(m, right);
    if (!step) break;
    [x, y, r] = [x + step[0], y + step[1], r + step[2]];
    if (Math.hypot(...step) < 1e-12 * r) break;
  }
  const squares = places.reduce((sum, place, i) => sum + (Math.hypot(xs[i] - x, ys[i] - y) - r) ** 2 + dot(minus(place, middle), normal) ** 2, 0);
  return { centre: plus(plus(middle, across, x), up, y), radius: r, normal, rms: Math.sqrt(squares / points.length) };
}

/** x² + y² ≈ 2ax + 2by + c, least squares; then the centre is (a, b). The points' mean is (0, 0). */
function algebraicCircle(xs: readonly number[], ys: readonly number[]): [x: number, y: number, r: number] {
  let xx = 0, xy = 0, yy = 0, xq = 0, yq = 0, q = 0;
  for (let i = 0; i < xs.length; i++) {
    const square = xs[i] ** 2 + ys[i] ** 2;
    xx += xs[i] ** 2;
    xy += xs[i] * ys[i];
    yy += ys[i] ** 2;
    xq += xs[i] * square;
    yq += ys[i] * square;
    q += square / xs.length;
  }
  const determinant = xx * yy - xy * xy;
  if (!(determinant > 1e-18 * (xx + yy) ** 2)) throw new BadInput('The points lie on one line, or in one place, and no circle lies nearest to them: choose points that are spread over the circle.');
  const x = (xq * yy - yq * xy) / (2 * determinant), y = (yq * xx - xq * xy) / (2 * determinant);
  return [x, y, Math.sqrt(q + x * x + y * y)];
}

/** Of points about their mean: the direction in which they spread least, and two square to it; the points run counter-clockwise seen from it. */
function nearestPlane(points: readonly Point3[]): { normal: Point3; across: Point3; up: Point3 } {
  const flat = points.every((point) => point[2] === points[0][2]);
  let normal: Point3 = [0, 0, 1];
  if (!flat) normal = leastSpread(points);
  const swept = points.reduce((sum, point, i) => sum + dot(cross(point, points[(i + 1) % points.length]), normal), 0);
  if (swept < 0) normal = [-normal[0], -normal[1], -normal[2]];
  const other: Point3 = Math.abs(normal[0]) < 0.6 ? [1, 0, 0] : [0, 1, 0];
  const across = unit(plus(other, normal, -dot(other, normal)), 'A direction in the plane of the points');
  return { normal, across, up: cross(normal, across) };
}

/** The eigenvector of the least eigenvalue of Σ ppᵀ, by Jacobi's turns. */
function leastSpread(points: readonly Point3[]): Point3 {
  const m = [0, 1, 2].map((i) => [0, 1, 2].map((j) => points.reduce((sum, p) => sum + p[i] * p[j], 0)));
  const vectors = [[1, 0, 0], [0, 1, 0], [0, 0, 1]];
  for (let sweep = 0; sweep < 60; sweep++) {
    for (const [i, j] of [[0, 1], [0, 2], [1, 2]]) {
      if (m[i][j] === 0) continue;
      const theta = (m[j][j] - m[i][i]) / (2 * m[i][j]);
      const t = (theta >= 0 ? 1 : -1) / (Math.abs(theta) + Math.sqrt(theta * theta + 1));
      const c = 1 / Math.sqrt(t * t + 1), s = t * c;
      for (let k = 0; k < 3; k++) [m[i][k], m[j][k]] = [c * m[i][k] - s * m[j][k], s * m[i][k] + c * m[j][k]];
      for (let k = 0; k < 3; k++) [m[k][i], m[k][j]] = [c * m[k][i] - s * m[k][j], s * m[k][i] + c * m[k][j]];
      for (let k = 0; k < 3; k++) [vectors[k][i], vectors[k][j]] = [c * vectors[k][i] - s * vectors[k][j], s * vectors[k][i] + c * vectors[k][j]];
    }
  }
  const least = [0, 1, 2].reduce((best, i) => (m[i][i] < m[best][best] ? i : best), 0);
  return unit(vectors.map((row) => row[least]) as unknown as Point3, 'The normal of the points');
}

/** Three equations with three unknowns, by Cramer's rule; undefined where they do not settle them. */
function solve3(m: readonly number[][], right: readonly number[]): [number, number, number] | undefined {
  const [a, b, c] = m as unknown as Point3[];
  const determinant = dot(a, cross(b, c));
  if (!(Math.abs(determinant) > 1e-14)) return undefined;
  const column = (at: number) => m.map((row, i) => row.map((value, j) => (j === at ? right[i] : value))) as unknown as Point3[];
  return [0, 1, 2].map((at) => { const [p, q, r] = column(at); return dot(p, cross(q, r)) / determinant; }) as [number, number, number];
}
