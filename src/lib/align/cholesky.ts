/**
 * The lower triangle L of a symmetric positive matrix, A = L Lᵀ, written over A's lower triangle; what stands above it is not touched.
 * matrix: size × size, row-major.  Result: ln det A.  Throws RangeError where the matrix is not positive.
 */
export function cholesky(matrix: Float64Array, size: number): number {
  let logDeterminant = 0;
  for (let i = 0; i < size; i++) {
    const row = i * size;
    for (let j = 0; j <= i; j++) {
      const other = j * size;
      const sum = matrix[row + j]! - product(matrix, row, matrix, other, j);
      if (j < i) {
        matrix[row + j] = sum / matrix[other + j]!;
        continue;
      }
      if (!(sum > 0)) throw new RangeError(`The matrix is not positive: row ${i} of ${size} leaves ${sum}.`);
      matrix[row + i] = Math.sqrt(sum);
      logDeterminant += Math.log(sum);
    }
  }
  return logDeterminant;
}

/** x of L x = b, written over b from `at` on. */
export function solveLower(lower: Float64Array, size: number, values: Float64Array, at = 0): void {
  for (let i = 0; i < size; i++) {
    values[at + i] = (values[at + i]! - product(lower, i * size, values, at, i)) / lower[i * size + i]!;
  }
}

/** Σ a·b over `length` numbers from their places on; four sums at a time, which a processor does side by side. */
function product(a: Float64Array, from: number, b: Float64Array, at: number, length: number): number {
  let s = 0, t = 0, u = 0, v = 0, k = 0;
  for (; k + 3 < length; k += 4) {
    s += a[from + k]! * b[at + k]!;
    t += a[from + k + 1]! * b[at + k + 1]!;
    u += a[from + k + 2]! * b[at + k + 2]!;
    v += a[from + k + 3]! * b[at + k + 3]!;
  }
  for (; k < length; k++) s += a[from + k]! * b[at + k]!;
  return s + t + (u + v);
}

/** x of Lᵀ x = b, written over b from `at` on. */
export function solveUpper(lower: Float64Array, size: number, values: Float64Array, at = 0): void {
  for (let i = size - 1; i >= 0; i--) {
    let sum = values[at + i]!;
    for (let k = i + 1; k < size; k++) sum -= lower[k * size + i]! * values[at + k]!;
    values[at + i] = sum / lower[i * size + i]!;
  }
}

/** The inverse of a symmetric positive matrix, and ln det of the matrix. The matrix is used up. */
export function invert(matrix: Float64Array, size: number): { inverse: Float64Array; logDeterminant: number } {
  const logDeterminant = cholesky(matrix, size);
  const inverse = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    inverse[i * size + i] = 1;
    solveLower(matrix, size, inverse, i * size);
    solveUpper(matrix, size, inverse, i * size);
  }
  return { inverse, logDeterminant };
}
