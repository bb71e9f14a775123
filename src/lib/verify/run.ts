import type { Check, CheckResult, LoadFixture } from './check.ts';

export interface RunOptions {
  /** The checks to run; all of them when left out, which are loaded only then. */
  readonly checks?: readonly Check[];
  readonly onResult?: (result: CheckResult, done: number, of: number) => void;
  readonly signal?: AbortSignal;
}

/**
 * Runs checks one after the other and yields each result as it comes. A check passes if our figure lies within its tolerance of the
 * expected one; one that throws, or gives something that is not a number, fails and says why.
 * load: gives a fixture by its name without ending, parsed from JSON; see datasets/check-values.   Throws signal.reason when stopped.
 */
export async function* runChecks(load: LoadFixture, options: RunOptions = {}): AsyncGenerator<CheckResult, void> {
  const { onResult, signal, checks = (await import('./index.ts')).checks } = options;
  for (const [index, check] of checks.entries()) {
    signal?.throwIfAborted();
    const result = await resultOf(check, load);
    onResult?.(result, index + 1, checks.length);
    yield result;
  }
}

async function resultOf({ ours: compute, ...check }: Check, load: LoadFixture): Promise<CheckResult> {
  try {
    const ours = await compute(load);
    if (typeof ours !== 'number' || Number.isNaN(ours)) return { ...check, ours: NaN, passed: false, failure: 'Our figure is not a number.' };
    return { ...check, ours, passed: passes(check, ours) };
  } catch (error) {
    return { ...check, ours: NaN, passed: false, failure: error instanceof Error ? error.message : String(error) };
  }
}

/** Does our figure lie within the tolerance? Written so that NaN anywhere fails. */
export function passes({ expected, tolerance, kind }: Pick<Check, 'expected' | 'tolerance' | 'kind'>, ours: number): boolean {
  if (ours === expected) return true;
  return Math.abs(ours - expected) <= (kind === 'relative' ? tolerance * Math.abs(expected) : tolerance);
}
