import { BadInput } from './bad-input.ts';
import { grouped } from './memory-limit.ts';

/** Braces within braces; a file that means something has far fewer. */
const deepest = 100;

/**
 * What a JSON text holds. what: the kind of file, 'scan file' say, for the sentence. longest: characters that are read at most.
 * Throws BadInput, one sentence: too long, not JSON (with the line and column), or nested deeper than any use.
 */
export function parseJson(text: string, what: string, longest: number): unknown {
  if (text.length > longest) throw new BadInput(`This ${what} has ${grouped(text.length)} characters: at most ${grouped(longest)} can be read.`);
  let value: unknown;
  try {
    value = JSON.parse(text.replace(/^\uFEFF/, ''));
  } catch (error) {
    throw new BadInput(`This ${what} is not JSON: ${whereJsonFails(text, (error as Error).message)}.`);
  }
  if (depthBeyond(value, deepest)) throw new BadInput(`This ${what} has braces or brackets more than ${deepest} deep: nothing that it can say needs so many.`);
  return value;
}

/** Level by level, so that no depth of nesting can exhaust the stack. */
function depthBeyond(value: unknown, most: number): boolean {
  let level = [value];
  for (let depth = 0; level.length > 0; depth++) {
    if (depth > most) return true;
    const next: unknown[] = [];
    for (const each of level) if (typeof each === 'object' && each !== null) for (const inner of Object.values(each)) if (typeof inner === 'object' && inner !== null) next.push(inner);
    level = next;
  }
  return false;
}

function whereJsonFails(text: string, message: string): string {
  if (text.trim() === '') return 'it is empty';
  const position = Number(/position (\d+)/.exec(message)?.[1] ?? NaN);
  if (!(position < text.length)) return position >= text.length || /end of/i.test(message) ? 'it ends in the middle' : 'its brackets, quotes or commas do not match';
  const before = text.slice(0, position).split('\n');
  return `line ${before.length}, column ${before.at(-1)!.length + 1} has ${JSON.stringify(text[position])} where a bracket, quote, comma, value or key should be`;
}
