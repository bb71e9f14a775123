import { afterAll, afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { main } from '../../src/command-line/main.ts';
import type { Check, CheckResult } from '../../src/lib/index.ts';
import { passes, runChecks } from '../../src/lib/index.ts';
import { checks } from '../../src/lib/verify/index.ts';

// The list itself is filled anew for each test: other test files may share this process, and have it back afterwards.
const list = checks as Check[];
const all = [...list];
afterAll(() => void list.splice(0, Infinity, ...all));

const right: Check = { id: 'T1', what: 'two and two', expected: 4, tolerance: 1e-9, kind: 'relative', unit: 'apples', source: 'any primer', ours: () => 2 + 2 };
const broken: Check = { ...right, id: 'T2', what: 'two and two, done wrongly', ours: () => 5 };
const notANumber: Check = { ...right, id: 'T3', ours: () => NaN };
const throws: Check = { ...right, id: 'T4', ours: () => { throw new Error('no apples left'); } };
const fromFile: Check = { ...right, id: 'T5', expected: 6.25e-4, tolerance: 1e-2, ours: async (load) => ((await load('metrics_skimage')) as { A: { mse: number } }).A.mse };
const noFile: Check = { ...right, id: 'T6', ours: async (load) => (await load('no_such_fixture')) as number };

let [out, err] = ['', ''];
beforeEach(() => {
  [out, err] = ['', ''];
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => ((out += text), true));
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => ((err += text), true));
});
afterEach(() => vi.restoreAllMocks());

async function verify(these: Check[], ...words: string[]): Promise<number> {
  list.splice(0, Infinity, ...these);
  [out, err] = ['', ''];
  return main(['verify', ...words]);
}

describe('slices verify', () => {
  test('ends with 0 where every check is within its tolerance, and prints what a doubter needs', async () => {
    expect(await verify([right, fromFile])).toBe(0);
    const [title, first, second, , summary] = out.split('\n');
    expect(title).toMatch(/id +ours +expected +tolerance +what is compared \[source\]/);
    expect(first).toMatch(/^ok +T1 +4 +4 +±1e-9 of it +two and two, apples \[any primer\]$/);
    expect(second, 'reads the check values that lie in datasets').toMatch(/^ok +T5 +0\.000625148\d+ +0\.000625 /);
    expect(summary).toBe('2 passed, 0 failed');
  });

  test.each([['wrong', broken, 'OUT'], ['not a number', notANumber, 'not a number'], ['one that throws', throws, 'no apples left'], ['one whose file is missing', noFile, 'no_such_fixture']])(
    'ends with 1 where one is %s, and marks it', async (_, check, words) => {
      expect(await verify([right, check])).toBe(1);
      expect(out).toMatch(new RegExp(`^OUT +${check.id} .*`, 'm'));
      expect(out).toContain(words);
      expect(out).toContain('1 passed, 1 failed');
      expect(await verify([check, right], '--json')).toBe(1);
      const { passed, failed, checks } = JSON.parse(out);
      expect({ passed, failed }).toEqual({ passed: 1, failed: 1 });
      expect(checks.map((result: CheckResult) => result.passed)).toEqual([false, true]);
    });

  test('no checks at all is no success', async () => expect(await verify([])).toBe(1));

  test('--json prints one object with every figure', async () => {
    expect(await verify([right], '--json')).toBe(0);
    expect(out.trim().split('\n')).toHaveLength(1);
    expect(JSON.parse(out)).toEqual({ command: 'verify', passed: 1, failed: 0, checks: [{ id: 'T1', what: 'two and two', expected: 4, tolerance: 1e-9, kind: 'relative', unit: 'apples', source: 'any primer', ours: 4, passed: true }] });
    expect(err).toBe('');
  });

  test('a file is one too many', async () => {
    expect(await verify([right], 'scan.json')).toBe(2);
    expect(err).toContain('one file too many');
  });
});

describe('runChecks', () => {
  const load = async () => ({});

  test('tells each result as it comes, and stops when asked', async () => {
    const control = new AbortController();
    const heard: string[] = [];
    const run = async () => {
      for await (const { id } of runChecks(load, { checks: [right, broken, throws], signal: control.signal, onResult: ({ id }, done, of) => heard.push(`${id} ${done}/${of}`) })) {
        if (id === 'T2') control.abort(new Error('enough'));
      }
    };
    await expect(run()).rejects.toThrow('enough');
    expect(heard).toEqual(['T1 1/3', 'T2 2/3']);
  });

  test('the edge of the tolerance is within it; NaN, infinity and a hair more are not', () => {
    const absolute = { expected: 1, tolerance: 0.25, kind: 'absolute' } as const;
    expect([1.25, 0.75, 1].map((ours) => passes(absolute, ours))).toEqual([true, true, true]);
    expect([1.2500001, NaN, Infinity].map((ours) => passes(absolute, ours))).toEqual([false, false, false]);
    const relative = { expected: -200, tolerance: 0.01, kind: 'relative' } as const;
    expect([-202, -198, -202.1].map((ours) => passes(relative, ours))).toEqual([true, true, false]);
    expect(passes({ expected: 0, tolerance: 0.5, kind: 'relative' }, 1e-300), 'relative to 0 only 0 passes').toBe(false);
    expect(passes({ expected: NaN, tolerance: 1, kind: 'absolute' }, 1)).toBe(false);
    expect(passes({ expected: 1, tolerance: NaN, kind: 'absolute' }, 2)).toBe(false);
  });
});
