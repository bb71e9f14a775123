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
      let sum = matrix[row + j]!;
      for (let k = 0; k < j; k++) sum -= matrix[row + k]! * matrix[other + k]!;
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
    let sum = values[at + i]!;
    for (let k = 0; k < i; k++) sum -= lower[i * size + k]! * values[at + k]!;
    values[at + i] = sum / lower[i * size + i]!;
  }
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
