import type { Table2D } from './read-table.ts';

/**
 * Writes a table as text, one row a line, each number in the fewest digits that give the same 32-bit number back.
 * separator: ',' by default; '\t' for TSV. The decimal mark is always a point.
 */
export function writeDelimited(table: Table2D, separator = ','): string {
  const lines: string[] = [];
  for (let row = 0; row < table.rows; row++) {
    const cells = Array.from(table.data.subarray(row * table.columns, (row + 1) * table.columns), shortest);
    lines.push(cells.join(separator));
  }
  return lines.join('\n') + '\n';
}

/** 0.1 as a 32-bit number is 0.10000000149…: "0.1" is enough to get it back, and nine digits always are. */
function shortest(value: number): string {
  for (const digits of [6, 7, 8]) {
    const text = String(Number(value.toPrecision(digits)));
    if (Math.fround(Number(text)) === value) return text;
  }
  return String(Number(value.toPrecision(9)));
}
