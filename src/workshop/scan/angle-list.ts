/** A list of angles as a reader types it. */

/** Numbers apart by spaces, commas, semicolons or new lines; one sentence where one is not a number. */
export function parsedAngles(text: string): number[] | string {
  const words = text.split(/[\s,;°]+/).filter(Boolean);
  if (words.length === 0) return 'The list is empty; write one angle a view, such as 0 1.5 3.';
  const numbers = words.map((word) => Number(word.replace('−', '-')));
  const bad = numbers.findIndex((value) => !Number.isFinite(value));
  return bad < 0 ? numbers : `Entry ${bad + 1}, “${words[bad].slice(0, 20)}”, is not a number; write degrees with a decimal point, such as 1.5.`;
}

export function writtenAngles(list: readonly number[]): string {
  return list.map((angle) => String(Number(angle.toPrecision(12)))).join(' ');
}
