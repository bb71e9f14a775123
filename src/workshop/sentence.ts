import { BadInput } from '../lib/index.ts';

/** BadInput and RangeError speak for themselves; anything else is a mistake of ours and says so. */
export function sentenceOf(error: unknown): string {
  if (error instanceof BadInput || error instanceof RangeError) return error.message;
  return `Something went wrong that is not your doing: ${error instanceof Error ? error.message : String(error)}`;
}

/** Given up because something newer was wanted, or the sheet is gone: nobody needs to hear of it. */
export const isStopped = (error: unknown) => error instanceof DOMException && error.name === 'AbortError';
