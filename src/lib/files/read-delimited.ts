import { BadInput } from './bad-input.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import type { Table2D } from './read-table.ts';

const number = /^[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?$/;
const decimalComma = /^[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d+)?$/;
const special: Record<string, number> = { nan: NaN, inf: Infinity, infinity: Infinity };

/**
 * Reads numbers separated by commas, semicolons, tabs or spaces, one row a line.
 * - Skipped: empty lines, lines that begin with #, a byte-order mark, quotes around a cell, one first row that is all words.
 * - The separator is the first of tab, semicolon, comma that occurs; spaces if none does. Where the cells between tabs, semicolons
 *   or spaces have commas and no points ("0,5"), they are decimal commas; "0,5" alone between commas is two cells.
 * - nan, inf and -inf are let through.
 * Throws BadInput with line and column: a cell that is not a number, an empty cell, a row of another length, no numbers at all.
 */
export function readDelimited(text: string): Table2D {
  const lines = text.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const used: { line: number; text: string }[] = [];
  lines.forEach((line, i) => {
    if (line.trim() !== '' && !line.trimStart().startsWith('#')) used.push({ line: i + 1, text: line });
  });
  if (used.length === 0) throw new BadInput('This text file holds no numbers: rows of numbers separated by commas, semicolons, tabs or spaces can be read.');

  const split = splitter(used.map(({ text }) => text));
  if (isHeader(split(used[0].text))) used.shift();
  if (used.length === 0) throw new BadInput('This text file holds one row of words and no numbers below it.');

  const columns = split(used[0].text).length;
  checkMemory(used.length * columns, `A table of ${grouped(used.length)} rows of ${grouped(columns)} numbers`);
  const data = new Float32Array(used.length * columns);
  used.forEach(({ line, text }, row) => {
    const cells = split(text);
    if (cells.length !== columns) {
      throw new BadInput(`Line ${line} has ${counted(cells.length)} and line ${used[0].line} has ${columns}: every row needs the same number of cells.`);
    }
    cells.forEach((cell, column) => (data[row * columns + column] = valueOf(cell, line, column + 1)));
  });
  return { rows: used.length, columns, data };
}

/** Chooses how a line is cut into cells, from all the lines. */
function splitter(lines: readonly string[]): (line: string) => string[] {
  const has = (text: string) => lines.some((line) => line.includes(text));
  const withPoints = (cells: string[]) => cells.map((cell) => (decimalComma.test(cell) ? cell.replace(',', '.') : cell));
  const spaced = (line: string) => line.trim().split(/\s+/).map(unquoted);

  const numbers = lines.length > 1 ? lines.slice(1) : lines;
  const isSpacedDecimals = (line: string) => {
    const cells = spaced(line);
    return cells.length > 1 && cells.every((cell) => number.test(cell) || (decimalComma.test(cell) && !cell.endsWith(',')));
  };
  const separator = ['\t', ';', ','].find(has);
  if (separator === undefined) return spaced;
  if (separator === ',' && !has('.') && numbers.every(isSpacedDecimals)) return (line) => withPoints(spaced(line));

  // One separator at the end of every line is a habit of some programs, not an empty cell.
  const ended = lines.every((line) => line.trimEnd().endsWith(separator) || line.endsWith(separator));
  const cut = (line: string) => (ended ? line.slice(0, line.lastIndexOf(separator)) : line).split(separator).map(unquoted);
  return separator === ',' || has('.') ? cut : (line) => withPoints(cut(line));
}

function unquoted(cell: string): string {
  const bare = cell.trim();
  return bare.length > 1 && bare.startsWith('"') && bare.endsWith('"') ? bare.slice(1, -1).trim() : bare;
}

/** A row of words above the numbers: at least one cell, and none of the filled ones a number. */
function isHeader(cells: readonly string[]): boolean {
  const filled = cells.filter((cell) => cell !== '');
  return filled.length > 0 && filled.every((cell) => !number.test(cell) && !decimalComma.test(cell) && !Object.hasOwn(special, unsigned(cell)));
}

const unsigned = (cell: string) => cell.replace(/^[+-]/, '').toLowerCase();

function valueOf(cell: string, line: number, column: number): number {
  if (number.test(cell)) return Number(cell);
  if (Object.hasOwn(special, unsigned(cell))) return cell.startsWith('-') ? -special[unsigned(cell)] : special[unsigned(cell)];
  if (cell === '') throw new BadInput(`Line ${line}, cell ${column} is empty: every cell needs a number.`);
  const shown = cell.length > 24 ? `${cell.slice(0, 24)}…` : cell;
  const hint = decimalComma.test(cell) ? ' with a decimal point, as in the other cells' : '';
  throw new BadInput(`Line ${line}, cell ${column} is "${shown}", which is not a number${hint}: only one row of words at the top is skipped, and lines that begin with #.`);
}

const counted = (cells: number) => `${grouped(cells)} ${cells === 1 ? 'cell' : 'cells'}`;
