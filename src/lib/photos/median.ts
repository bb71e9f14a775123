/** The median of the first `count` numbers, which are sorted in place; NaN of none. For few numbers: a sort by insertion. */
export function medianOfFew(values: Float64Array | Float32Array, count: number): number {
  for (let i = 1; i < count; i++) {
    const value = values[i];
    let j = i - 1;
    while (j >= 0 && values[j] > value) {
      values[j + 1] = values[j];
      j--;
    }
    values[j + 1] = value;
  }
  const half = count >> 1;
  return count % 2 === 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

/** The share (0…1) of the numbers that lies below the result; the numbers are sorted in place. NaN of none. */
export function quantile(values: Float64Array | Float32Array, share: number): number {
  values.sort();
  const at = share * (values.length - 1);
  const below = Math.floor(at);
  const above = Math.min(values.length - 1, below + 1);
  return values[below] + (at - below) * (values[above] - values[below]);
}

/** From a median distance to the standard deviation of a normal distribution. */
export const deviationOfMedian = 1.4826;
