/**
 * The power with which a cost grows: time ≈ factor · size^exponent, a straight line of least squares through the logarithms.
 * Throws RangeError for fewer than two points, or a size or time that is not above 0.
 */
export function powerLaw(points: readonly { readonly size: number; readonly time: number }[]): { exponent: number; factor: number } {
  if (points.length < 2 || points.some(({ size, time }) => !(size > 0 && time > 0))) throw new RangeError('A power law goes through two points or more, all above 0.');
  const x = points.map(({ size }) => Math.log(size)), y = points.map(({ time }) => Math.log(time));
  const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const [mx, my] = [mean(x), mean(y)];
  const exponent = x.reduce((sum, value, k) => sum + (value - mx) * (y[k]! - my), 0) / x.reduce((sum, value) => sum + (value - mx) ** 2, 0);
  return { exponent, factor: Math.exp(my - exponent * mx) };
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
}
