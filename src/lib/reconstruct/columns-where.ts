/** A number that changes by the same step from each column of a row to the next. */
export interface Line {
  /** At column 0. */
  readonly start: number;
  readonly step: number;
}

/** The columns first … end − 1, of 0 … width − 1, in which none of the lines is below 0 (by more than rounding: 1e-9). Empty: end ≤ first. */
export function columnsWhere(width: number, lines: readonly Line[]): { first: number; end: number } {
  let first = 0, end = width;
  for (const line of lines) {
    const start = line.start + 1e-9, step = line.step;
    if (step > 0) first = Math.max(first, Math.ceil(-start / step));
    else if (step < 0) end = Math.min(end, Math.floor(-start / step) + 1);
    else if (start < 0) end = 0;
  }
  return { first, end };
}
