/**
 * The cubic spline through (x, y) whose second derivative is 0 at both ends; two points give a straight line.
 * x: increasing, at least two. Outside x the end pieces go on.
 * Source: the usual tridiagonal equations for the second derivatives, common practice.
 */
export function naturalSpline(x: readonly number[], y: readonly number[]): (at: number) => number {
  const n = x.length;
  const bend = new Float64Array(n);
  const share = new Float64Array(n);
  for (let i = 1; i < n - 1; i++) {
    const ratio = (x[i] - x[i - 1]) / (x[i + 1] - x[i - 1]);
    const pivot = ratio * bend[i - 1] + 2;
    const turn = (y[i + 1] - y[i]) / (x[i + 1] - x[i]) - (y[i] - y[i - 1]) / (x[i] - x[i - 1]);
    bend[i] = (ratio - 1) / pivot;
    share[i] = ((6 * turn) / (x[i + 1] - x[i - 1]) - ratio * share[i - 1]) / pivot;
  }
  bend[n - 1] = 0;
  for (let i = n - 2; i >= 0; i--) bend[i] = i === 0 ? 0 : bend[i] * bend[i + 1] + share[i];
  return (at) => {
    let i = 0;
    while (i < n - 2 && at > x[i + 1]) i++;
    const width = x[i + 1] - x[i];
    const a = (x[i + 1] - at) / width;
    const b = (at - x[i]) / width;
    return a * y[i] + b * y[i + 1] + (((a * a * a - a) * bend[i] + (b * b * b - b) * bend[i + 1]) * width * width) / 6;
  };
}
