import { BadInput } from './bad-input.ts';
import { grouped } from './memory-limit.ts';
import type { Table2D } from './read-table.ts';

/**
 * Refuses NaN and infinity: one such value in a view spoils a whole stripe of the picture, and filtering spreads it over all of it.
 * where: the name of the file, say; it begins the sentence.   Throws BadInput with how many there are and where the first is.
 */
export function checkFinite(table: Table2D, where: string): void {
  let count = 0;
  let first = -1;
  for (let i = 0; i < table.data.length; i++) {
    if (Number.isFinite(table.data[i])) continue;
    if (count++ === 0) first = i;
  }
  if (count === 0) return;
  const place = `row ${grouped(Math.floor(first / table.columns) + 1)}, column ${grouped((first % table.columns) + 1)}`;
  const kinds = count === 1 ? `a value that is ${inWords(table.data[first])}` : `${grouped(count)} values that are not finite numbers, the first ${inWords(table.data[first])}`;
  throw new BadInput(`${where} has ${kinds} in ${place} (counted from 1): every value must be a finite number, so replace ${count === 1 ? 'it' : 'them'}, by the mean of the neighbours say.`);
}

const inWords = (value: number) => (Number.isNaN(value) ? 'not a number (NaN)' : value > 0 ? 'infinite, or beyond 3.4e38,' : 'minus infinite, or beyond -3.4e38,');
