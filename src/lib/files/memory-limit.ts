import { BadInput } from './bad-input.ts';

/** The most that one file may take once it is decoded, bytes: 125 million 32-bit numbers, a picture of 11,180². */
export const memoryLimit = 500e6;

/**
 * Refuses, before anything is allocated, what would take more than memoryLimit.
 * values: numbers to hold, 4 bytes each.   what: the subject of the sentence, "A picture of 20,000 × 20,000" say.
 * Throws BadInput with the memory it would take and what to do.
 */
export function checkMemory(values: number, what: string): void {
  const bytes = values * 4;
  if (bytes <= memoryLimit) return;
  throw new BadInput(`${what} would take ${inWords(bytes)} of memory and at most ${inWords(memoryLimit)} are allowed for: make it smaller, by binning 2 × 2 say, or split it.`);
}

/** 1,600,000,000 → "1.6 GB". */
export function inWords(bytes: number): string {
  const units = ['bytes', 'kB', 'MB', 'GB', 'TB'];
  const power = Math.min(units.length - 1, Math.max(0, Math.floor(Math.log10(bytes) / 3)));
  const amount = bytes / 1000 ** power;
  return `${amount < 10 ? Number(amount.toFixed(1)) : grouped(Math.round(amount))} ${units[power]}`;
}

/** 20000 → "20,000", the same on every machine. */
export function grouped(count: number): string {
  return count.toLocaleString('en-GB', { maximumFractionDigits: 6 });
}
