/** One comparison of the library with the outside world. */
export interface Check {
  /** The check value's id, B5 say, with a letter or number after it where one id has several figures: 'B8.2'. */
  readonly id: string;
  /** What is compared, in words a stranger can follow. */
  readonly what: string;
  readonly expected: number;
  /** How far ours may lie from it. */
  readonly tolerance: number;
  /** 'absolute' (in the unit of the figure) or 'relative' (a fraction of the expected figure). */
  readonly kind: 'absolute' | 'relative';
  readonly unit?: string;
  /** Where the expected figure comes from: publication, or the library and version that computed it. */
  readonly source: string;
  /** Our figure. `load` gives a fixture by its name without ending, parsed from JSON. */
  readonly ours: (load: LoadFixture) => number | Promise<number>;
}

export type LoadFixture = (name: string) => Promise<unknown>;

export interface CheckResult extends Omit<Check, 'ours'> {
  readonly ours: number;
  readonly passed: boolean;
  /** The sentence of what went wrong, where computing our figure failed. */
  readonly failure?: string;
}
