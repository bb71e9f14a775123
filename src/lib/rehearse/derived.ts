/** How a figure of a plan stands: within what is wanted, beyond it, or so that the scan cannot be. */
export type Mark = 'good' | 'poor' | 'bad';

/** What would mend a figure: a key of the plan file, which way, and why in a few words. */
export interface Knob {
  readonly key: string;
  readonly way: 'up' | 'down';
}

/** One figure that follows from a plan. */
export interface DerivedFigure {
  readonly key: string;
  readonly group: 'geometry' | 'sharpness' | 'views' | 'light' | 'slice' | 'tube' | 'lamp' | 'stage' | 'room';
  readonly label: string;
  /** Left out where there is none: what was asked for cannot be, and the sentence says why. */
  readonly value?: number;
  readonly unit: string;
  /** The formula in words, with its source. */
  readonly rule: string;
  /** From what to what the value is as it should be. Limits without a source are this project's own choice. */
  readonly good?: readonly [low: number, high: number];
  /** Left out where a figure is not good or bad by itself; of what may reach a person, always. */
  readonly mark?: Mark;
  /** What would mend it, the best first. */
  readonly knob?: Knob;
  readonly sentence: string;
  /** What it is made of, where it is made of parts, in the same unit. */
  readonly parts?: Readonly<Record<string, number>>;
}

/** All figures of a plan. */
export type Derived = readonly DerivedFigure[];

/** The mark of a value by two ranges: beyond the second it is bad. */
export function markOf(value: number, [low, high]: readonly [number, number], [least, most]: readonly [number, number] = [-Infinity, Infinity]): Mark {
  if (value >= low && value <= high) return 'good';
  return value >= least && value <= most ? 'poor' : 'bad';
}

/** Three figures, as a person writes them: with a true minus, and commas from 10,000 on. */
export const short = (value: number, digits = 3): string => {
  if (value === 0) return '0';
  const rounded = Number(value.toPrecision(digits));
  const size = Math.abs(rounded);
  return (size >= 1e6 || size < 1e-4 ? rounded.toExponential().replace('e+', 'e') : size >= 1e4 ? rounded.toLocaleString('en-GB') : String(rounded)).replace(/^-/, '−');
};

/** A share in hundredths. */
export const percent = (share: number): string => `${short(100 * share)} %`;
