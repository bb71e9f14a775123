/**
 * The rms of the noise in line integrals, estimated from the views themselves: how far each cell lies from the mean of its two neighbours,
 * which for what is smooth is next to nothing. The median is taken, so that edges do not count; 0 where views have fewer than three cells.
 *   σ ≈ 1.4826 · median |p(j − 1) − 2 p(j) + p(j + 1)| / √6
 * Noise that neighbouring cells share (a blurred screen) is underestimated.
 * data: rows of `cells` numbers, one after the other.   Result: in their unit.
 * Source: 1.4826 is the normal distribution's ratio of rms to median deviation; √6 = √(1 + 4 + 1). Common practice, no source.
 */
export function noiseInViews(data: ArrayLike<number>, cells: number): number {
  const rows = Math.floor(data.length / cells);
  const each = Math.max(1, Math.floor((rows * cells) / 100_000)); // a hundred thousand are enough
  const far: number[] = [];
  for (let k = 1, count = rows * cells; k < count - 1; k += each) {
    const j = k % cells;
    if (j > 0 && j < cells - 1) far.push(Math.abs(data[k - 1] - 2 * data[k] + data[k + 1]));
  }
  if (far.length === 0) return 0;
  const sorted = Float64Array.from(far).sort();
  return (1.4826 * sorted[sorted.length >> 1]) / Math.sqrt(6);
}
