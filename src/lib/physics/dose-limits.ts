export type ExposedPerson = 'worker' | 'public';
export type LimitedPart = 'whole body' | 'skin' | 'hands and feet' | 'lens of the eye';

export interface DoseLimit {
  readonly who: ExposedPerson;
  readonly part: LimitedPart;
  /** mSv. */
  readonly milliSievert: number;
  /** How the time counts, in words that follow "in". */
  readonly period: 'a year' | 'a year, averaged over 5 years' | 'any single year';
  readonly source: string;
  /** Year from which it is recommended; a later one for the same part and period takes its place where national law has taken it up. */
  readonly since: number;
}

const icrp103 = 'ICRP Publication 103 (2007), Table 6, as given by ICRPaedia';
const statement = 'ICRP statement of 2011, Publication 118, as given by ICRPaedia';
const older = 'ICRP Publication 103 (2007); superseded by the statement of 2011, still in some national rules';

/**
 * Limits of dose in planned exposure as the International Commission on Radiological Protection recommends them. They are no boundary between
 * safe and unsafe: doses are to be as far below as is reasonable, and national law may be stricter. Worker means somebody trained and watched over
 * as the law has it, which the owner of a workshop is not by owning one.
 */
export const doseLimits: readonly DoseLimit[] = [
  { who: 'public', part: 'whole body', milliSievert: 1, period: 'a year', source: icrp103, since: 2007 },
  { who: 'public', part: 'lens of the eye', milliSievert: 15, period: 'a year', source: icrp103, since: 2007 },
  { who: 'public', part: 'skin', milliSievert: 50, period: 'a year', source: icrp103, since: 2007 },
  { who: 'worker', part: 'whole body', milliSievert: 20, period: 'a year, averaged over 5 years', source: icrp103, since: 2007 },
  { who: 'worker', part: 'whole body', milliSievert: 50, period: 'any single year', source: icrp103, since: 2007 },
  { who: 'worker', part: 'lens of the eye', milliSievert: 150, period: 'a year', source: older, since: 2007 },
  { who: 'worker', part: 'lens of the eye', milliSievert: 20, period: 'a year, averaged over 5 years', source: statement, since: 2011 },
  { who: 'worker', part: 'lens of the eye', milliSievert: 50, period: 'any single year', source: statement, since: 2011 },
  { who: 'worker', part: 'skin', milliSievert: 500, period: 'a year', source: icrp103, since: 2007 },
  { who: 'worker', part: 'hands and feet', milliSievert: 500, period: 'a year', source: icrp103, since: 2007 },
];

/** A figure that is not known: from the least that it may be to the most, what is likely between them. */
export interface Range { readonly low: number; readonly likely: number; readonly high: number }

export interface LimitShare extends DoseLimit {
  /** The yearly dose as a share of this limit. */
  readonly share: Range;
}

/** A yearly dose, µSv, beside every limit, as a share of each. A share below 1 is no verdict: the dose is an estimate, to be measured. */
export function sharesOfLimits(perYear: Range): LimitShare[] {
  const { low, likely, high } = perYear;
  if (!(low >= 0 && likely >= low && high >= likely) || !Number.isFinite(high)) throw new RangeError(`A dose of ${low} to ${high}, likely ${likely}, should be three numbers of µSv from 0 that do not fall.`);
  return doseLimits.map((limit) => {
    const of = (microSievert: number) => microSievert / (1000 * limit.milliSievert);
    return { ...limit, share: { low: of(low), likely: of(likely), high: of(high) } };
  });
}
