/** The solution of a small system of equations: rows [A | b]. Gaussian elimination with row exchange on [A | b]; a tiny ridge keeps a direction that the pixels do not show at zero. */
export function solve(matrix: readonly Float64Array[]): Float64Array {
  const n = matrix.length;
  const m = matrix.map((row) => row.slice());
  const ridge = 1e-12 * Math.max(...m.map((row, i) => Math.abs(row[i])));
  for (let i = 0; i < n; i++) m[i][i] += ridge;
  for (let i = 0; i < n; i++) {
    let best = i;
    for (let row = i + 1; row < n; row++) if (Math.abs(m[row][i]) > Math.abs(m[best][i])) best = row;
    [m[i], m[best]] = [m[best], m[i]];
    for (let row = i + 1; row < n; row++) {
      const factor = m[row][i] / m[i][i];
      for (let k = i; k <= n; k++) m[row][k] -= factor * m[i][k];
    }
  }
  const x = new Float64Array(n);
  for (let i = n - 1; i >= 0; i--) {
    let value = m[i][n];
    for (let k = i + 1; k < n; k++) value -= m[i][k] * x[k];
    x[i] = value / m[i][i];
  }
  return x;
}
