/** The same checks as `slices verify` runs and the page "Is it right?" shows, each as a test. */
import { readFileSync } from 'node:fs';
import { beforeAll, describe, expect, test } from 'vitest';
import { checks } from '../../src/lib/verify/index.ts';
import { passes, runChecks, type Check, type CheckResult } from '../../src/lib/index.ts';

const load = async (name: string): Promise<unknown> => JSON.parse(readFileSync(new URL(`../../datasets/check-values/${name}.json`, import.meta.url), 'utf8'));

const results = new Map<Check, CheckResult>();
beforeAll(async () => {
  let next = 0;
  for await (const result of runChecks(load, { checks })) results.set(checks[next++], result);
}, 300_000);

describe('the library against the outside world', () => {
  test.each(checks.map((check) => [check.id, check.what, check] as const))('%s: %s', (_, __, check) => {
    const { ours, expected, tolerance, kind, source, passed, failure } = results.get(check)!;
    expect(passed, failure ?? `ours ${ours}, expected ${expected} ± ${tolerance} ${kind} (${source})`).toBe(true);
  });
});

describe('the list of checks', () => {
  test('every check has an id of its own, a source, words, and a tolerance that can be missed', () => {
    const ids = checks.map(({ id }) => id);
    expect(ids.filter((id, i) => ids.indexOf(id) !== i), 'ids used twice').toEqual([]);
    for (const { id, what, source, tolerance, expected, kind } of checks) {
      expect(what.length, `${id}: words`).toBeGreaterThan(10);
      expect(source.length, `${id}: source`).toBeGreaterThan(2);
      expect(Number.isFinite(expected) && Number.isFinite(tolerance) && tolerance >= 0, `${id}: numbers`).toBe(true);
      expect(kind === 'relative' ? tolerance < 0.5 : true, `${id}: a relative tolerance of half or more checks little`).toBe(true);
      expect(kind === 'relative' ? expected !== 0 : true, `${id}: nothing is relative to 0`).toBe(true);
    }
  });

  test('every check falls out when its expected figure is moved by ten tolerances: none passes whatever is computed', () => {
    for (const check of checks) {
      const step = 10 * (check.kind === 'relative' ? check.tolerance * Math.abs(check.expected) : check.tolerance);
      const expected = check.expected + Math.max(step, 1e-9 * Math.max(1, Math.abs(check.expected)));
      expect(passes({ ...check, expected }, results.get(check)!.ours), `${check.id} passes with ${expected} as well as with ${check.expected}`).toBe(false);
    }
  });

  test('what the letters A to O of the check values promise is there', () => {
    for (const letter of 'ABCDEFGHIJKLMNO') expect(checks.some(({ id }) => id.startsWith(letter)), letter).toBe(true);
  });
});
