/** How a check reads as a row of the table: the same words at build time and in the page. */
import type { Check, CheckResult } from '../../lib/index.ts';
import { quantityHtml } from '../value/format.ts';

export type Verdict = 'agrees' | 'differs' | 'failed';

export function verdict(result: CheckResult): Verdict {
  if (result.failure !== undefined) return 'failed';
  return result.passed ? 'agrees' : 'differs';
}

export const words: Record<Verdict, string> = { agrees: 'agrees', differs: 'differs', failed: 'could not be computed' };

/** Ten significant figures: enough to see the digits on which two figures part. */
export function oursHtml(result: CheckResult): string {
  return result.failure === undefined && Number.isFinite(result.ours) ? shown(result.ours, result.unit) : '—';
}

export function expectedHtml(check: Pick<Check, 'expected' | 'unit'>): string {
  return shown(check.expected, check.unit);
}

export function toleranceHtml({ tolerance, kind, unit }: Pick<Check, 'tolerance' | 'kind' | 'unit'>): string {
  if (tolerance === 0) return 'exact';
  const digits = significant(tolerance, 3);
  if (kind === 'absolute') return `±&#8239;${quantityHtml({ value: tolerance, unit }, { digits })}`;
  return tolerance >= 1e-4 ? `±&#8239;${quantityHtml({ value: tolerance * 100, unit: '%' }, { digits })}` : `±&#8239;${quantityHtml({ value: tolerance }, { digits })} of it`;
}

/** "71 of 72 checks agree, 1 does not." */
export function summary(results: readonly CheckResult[], total: number): string {
  const agree = results.filter((result) => verdict(result) === 'agrees').length;
  const rest = results.length - agree;
  const left = total - results.length;
  return `${agree} of ${total} checks agree${rest > 0 ? `, ${rest} ${rest === 1 ? 'does' : 'do'} not` : ''}${left > 0 ? `; ${left} still to compute` : ''}.`;
}

function shown(value: number, unit = ''): string {
  return quantityHtml({ value, unit }, Number.isInteger(value) && Math.abs(value) < 1e6 ? {} : { digits: significant(value, 10) });
}

/** Figures that say something: no closing zeros, `most` at the most. */
function significant(value: number, most: number): number {
  const figures = Number(value.toPrecision(most)).toExponential().replace(/e.*$/, '').replace(/[^\d]/g, '');
  return Math.max(1, figures.length);
}
