/**
 * ∫ f from x0 to x1 by the 8-point Gauss–Legendre rule, on equal panels no wider than `panel`. 0 when x1 ≤ x0.
 * Exact for polynomials to degree 15. Source of the points: zeros of P₈, weights 2/((1 − x²)P₈′(x)²), found by Newton's method below.
 */
export function gaussLegendre(f: (x: number) => number, x0: number, x1: number, panel: number): number {
  if (!(x1 > x0)) return 0;
  const panels = Math.ceil((x1 - x0) / panel);
  const half = (x1 - x0) / (2 * panels);
  let sum = 0;
  for (let k = 0; k < panels; k++) {
    const middle = x0 + (2 * k + 1) * half;
    for (let i = 0; i < POINTS; i++) sum += weights[i]! * f(middle + half * nodes[i]!);
  }
  return sum * half;
}

const POINTS = 8;
const nodes = new Float64Array(POINTS);
const weights = new Float64Array(POINTS);
for (let i = 0; i < POINTS; i++) {
  let x = Math.cos((Math.PI * (i + 0.75)) / (POINTS + 0.5));
  let slope = 0;
  for (let step = 0; step < 10; step++) {
    let before = 1;
    let p = x;
    for (let n = 2; n <= POINTS; n++) [before, p] = [p, ((2 * n - 1) * x * p - (n - 1) * before) / n];
    slope = (POINTS * (x * p - before)) / (x * x - 1);
    x -= p / slope;
  }
  nodes[i] = x;
  weights[i] = 2 / ((1 - x * x) * slope * slope);
}
