import type { Check } from './check.ts';

/** One figure of a check value: what it is, what is expected, what the library gives. */
export type Figure = readonly [what: string, expected: number, ours: Check['ours']];

/** The figures of one check value as checks, numbered from 1: 'B8.1', 'B8.2' …; a single one keeps the bare id. */
export function series(id: string, common: Pick<Check, 'tolerance' | 'kind' | 'source' | 'unit'>, figures: readonly Figure[]): Check[] {
  return figures.map(([what, expected, ours], k) => ({ id: figures.length > 1 ? `${id}.${k + 1}` : id, what, expected, ...common, ours }));
}

/** Where no publication gives the figure. */
export const computed = 'computed from first principles with NumPy and SciPy, apart from this library';

export const degrees = (angle: number): number => (angle * 180) / Math.PI;
export const radians = (angle: number): number => (angle * Math.PI) / 180;
