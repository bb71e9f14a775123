/**
 * Blurs a plane of numbers by a Gaussian, sigma in cells, across and up, in place. Beyond the edge the edge goes on.
 * Narrow ones, below 0.6 of a cell, as three weights of the same second moment, σ²/2, 1 − σ², σ²/2, since samples of the Gaussian itself would be too narrow.
 */
export function blurCells(data: Float64Array, rows: number, columns: number, sigma: number): void {
  if (!(sigma > 0)) return;
  const reach = sigma < 0.6 ? 1 : Math.ceil(4 * sigma);
  const weights = sigma < 0.6 ? Float64Array.of(1 - sigma * sigma, (sigma * sigma) / 2) : Float64Array.from({ length: reach + 1 }, (_, k) => Math.exp(-(k * k) / (2 * sigma * sigma)));
  const whole = weights.reduce((sum, weight, k) => sum + (k === 0 ? weight : 2 * weight), 0);
  for (let k = 0; k <= reach; k++) weights[k] /= whole;
  const pass = (lines: number, count: number, stride: number, step: number) => {
    if (count === 1) return;
    const line = new Float64Array(count + 2 * reach);
    for (let n = 0; n < lines; n++) {
      for (let k = 0; k < line.length; k++) line[k] = data[n * stride + Math.min(count - 1, Math.max(0, k - reach)) * step];
      for (let k = 0; k < count; k++) {
        let sum = weights[0] * line[k + reach];
        for (let j = 1; j <= reach; j++) sum += weights[j] * (line[k + reach - j] + line[k + reach + j]);
        data[n * stride + k * step] = sum;
      }
    }
  };
  pass(rows, columns, columns, 1);
  pass(columns, rows, 1, columns);
}
