import type { Table2D } from './read-table.ts';

export interface Orientation {
  /** Which way the views lie: each view a row, or each view a column. */
  readonly views: 'rows' | 'columns';
  /** 0: a toss-up … 1: no doubt. */
  readonly sure: number;
}

/**
 * Guesses whether the views of a sinogram lie in its rows or its columns, from two things that hold for every object:
 * - mass: all views of a slice add up to the same total (exactly in a parallel beam, nearly in a fan), while the cells of a
 *   detector do not, because the object ends before the detector does;
 * - edges: what stands at the two ends of the detector is nearly empty, while the first and last view are as full as any.
 * sure compares the two readings: how many times more uneven, and emptier at the edge, the other one is.
 * A constant table, or one row, tells nothing: rows, sure 0. NaN and infinity count as 0.
 * Source: Helgason–Ludwig condition of order 0 (total mass), see check values C1 and C5.
 */
export function guessOrientation(table: Table2D): Orientation {
  const rows = { ...unevenness(table), edge: edge(table) };
  const other = turned(table);
  const columns = { ...unevenness(other), edge: edge(other) };
  if (table.rows < 2 || table.columns < 2 || rows.total === 0) return { views: 'rows', sure: 0 };
  // Positive where rows are the better reading. A floor keeps exact data from outvoting everything by rounding errors.
  const mass = Math.log((columns.spread + 0.002) / (rows.spread + 0.002));
  const ends = Math.log((columns.edge + 0.02) / (rows.edge + 0.02));
  const evidence = mass + 0.5 * ends;
  if (Math.abs(evidence) < 1e-9) return { views: 'rows', sure: 0 };
  return { views: evidence < 0 ? 'columns' : 'rows', sure: Math.tanh(Math.abs(evidence) / 2) };
}

/** How much the sums of the rows differ: standard deviation over mean of their sizes. */
function unevenness(table: Table2D): { spread: number; total: number } {
  const sums = Array.from({ length: table.rows }, (_, row) => rowSum(table, row));
  const mean = sums.reduce((a, b) => a + b, 0) / sums.length;
  const size = sums.reduce((a, b) => a + Math.abs(b), 0) / sums.length;
  const deviation = Math.sqrt(sums.reduce((a, b) => a + (b - mean) ** 2, 0) / sums.length);
  return { spread: size > 0 ? deviation / size : 0, total: size };
}

function rowSum({ data, columns }: Table2D, row: number): number {
  let sum = 0;
  for (let i = row * columns; i < (row + 1) * columns; i++) sum += Number.isFinite(data[i]) ? data[i] : 0;
  return sum;
}

/** Mean size of the first and last column against the mean of all. */
function edge({ data, columns }: Table2D): number {
  let [ends, all] = [0, 0];
  for (let i = 0; i < data.length; i++) {
    const size = Number.isFinite(data[i]) ? Math.abs(data[i]) : 0;
    all += size / columns;
    if (i % columns === 0 || i % columns === columns - 1) ends += size / 2;
  }
  return all > 0 ? ends / all : 0;
}

/** The table with rows and columns exchanged; a new table. */
export function turned(table: Table2D): Table2D {
  const { rows, columns, data } = table;
  const result = new Float32Array(data.length);
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) result[column * rows + row] = data[row * columns + column];
  }
  return { rows: columns, columns: rows, data: result };
}
