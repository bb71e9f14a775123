/**
 * Lists of stretches of a ray: [from, to, from, to, …] in rising order, none touching the next, in the first n numbers of an array.
 * Each function writes its result to `out`, which must not be one of its inputs and must have room, and returns how many numbers
 * it wrote. Nothing is allocated: these run inside every loop over rays.
 */

/** What is in a or in b. */
export function unite(a: Float64Array, na: number, b: Float64Array, nb: number, out: Float64Array): number {
  let n = 0;
  let i = 0;
  let j = 0;
  while (i < na || j < nb) {
    const fromA = j >= nb || (i < na && a[i] <= b[j]);
    const from = fromA ? a[i] : b[j];
    const to = fromA ? a[i + 1] : b[j + 1];
    if (fromA) i += 2;
    else j += 2;
    if (n > 0 && from <= out[n - 1]) {
      if (to > out[n - 1]) out[n - 1] = to;
    } else {
      out[n] = from;
      out[n + 1] = to;
      n += 2;
    }
  }
  return n;
}

/** What is in a and in b. */
export function intersect(a: Float64Array, na: number, b: Float64Array, nb: number, out: Float64Array): number {
  let n = 0;
  let i = 0;
  let j = 0;
  while (i < na && j < nb) {
    const from = Math.max(a[i], b[j]);
    const to = Math.min(a[i + 1], b[j + 1]);
    if (to > from) {
      out[n] = from;
      out[n + 1] = to;
      n += 2;
    }
    if (a[i + 1] < b[j + 1]) i += 2;
    else j += 2;
  }
  return n;
}

/** What is in a and not in b. */
export function subtract(a: Float64Array, na: number, b: Float64Array, nb: number, out: Float64Array): number {
  let n = 0;
  let j = 0;
  for (let i = 0; i < na; i += 2) {
    let from = a[i];
    const to = a[i + 1];
    while (j < nb && b[j + 1] <= from) j += 2;
    for (let k = j; k < nb && b[k] < to; k += 2) {
      if (b[k] > from) {
        out[n] = from;
        out[n + 1] = b[k];
        n += 2;
      }
      from = Math.max(from, b[k + 1]);
    }
    if (to > from) {
      out[n] = from;
      out[n + 1] = to;
      n += 2;
    }
  }
  return n;
}
