import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { compileWindow } from '../../src/lib/filter/compile-window.ts';
import { filterResponse } from '../../src/lib/filter/filter-response.ts';
import { outcome, refusal } from './support/bad-input.ts';

describe('compileWindow(formula)', () => {
  test.each([
    ['1', () => 1],
    ['0.5 + 0.5*cos(pi*f/fc)', (f: number, fc: number) => 0.5 + 0.5 * Math.cos((Math.PI * f) / fc)],
    ['sinc(f/(2 fc))', (f: number, fc: number) => (f === 0 ? 1 : Math.sin((Math.PI * f) / (2 * fc)) / ((Math.PI * f) / (2 * fc)))],
    ['e^-(2 f/fc)^2', (f: number, fc: number) => Math.exp(-((2 * f / fc) ** 2))],
    ['f < 0.5 fc ? 1 : 0', (f: number, fc: number) => (f < 0.5 * fc ? 1 : 0)],
    ['f <= fc/2', (f: number, fc: number) => (f <= fc / 2 ? 1 : 0)],
    ['max(0, min(1, 2 - 2f/fc))', (f: number, fc: number) => Math.max(0, Math.min(1, 2 - (2 * f) / fc))],
    ['-abs(f - fc) + 2(fc)', (f: number, fc: number) => -Math.abs(f - fc) + 2 * fc],
  ])('%s means what it says', async (formula, meant) => {
    const window = await compileWindow(formula);
    for (const fc of [0.5, 2.5]) for (const share of [0, 0.2, 0.7, 1]) expect(window(share * fc, fc)).toBeCloseTo(meant(share * fc, fc), 12);
  });

  test('Hann typed as a formula filters as Hann by name', async () => {
    const typed = filterResponse({ window: await compileWindow('0.5 + 0.5*cos(pi*f/fc)'), cutoff: 0.8 }, 256, 0.2);
    filterResponse({ window: 'hann', cutoff: 0.8 }, 256, 0.2).forEach((value, k) => expect(typed[k]).toBeCloseTo(value, 12));
  });

  test.each([
    ['', 'is empty'],
    ['cos(', 'cannot be read'],
    ['2 +', 'cannot be read'],
    ['a = 1', 'assignment'],
    ['g(x) = x', 'function assignment'],
    ['import({})', 'uses import as a function'],
    ['evaluate("1")', 'uses evaluate as a function'],
    ['parse("f")', 'uses parse as a function'],
    ['f.constructor', 'accessor'],
    ['cos.constructor("return 1")', 'calls something else than a function by its name'],
    ['constructor(f)', 'uses constructor as a function'],
    ['__proto__', 'not known'],
    ['"1"', 'not a number'],
    ['[1, 2]', 'array'],
    ['{a: 1}', 'object'],
    ['f; f', 'block'],
    ['1:3', 'range'],
    ['f!', 'the sign !'],
    ['f(2)', 'a product is written f*(…)'],
    ['cos', 'a function is written cos(…)'],
    ['cos(1, 2)', 'hands cos 2 numbers'],
    ['2 mm', 'mm, which is not known'],
    ['i', 'not known'],
    ['sqrt(f - fc)', 'no real number at f = 0'],
    ['sqrt(fc/2 - f)', 'no real number at f = 0.515625·fc'],
    ['(-1)^0.5', 'no real number'],
    ['1/f', 'grows without bound at f = 0'],
    ['1/(fc - f)', 'grows without bound at f = fc'],
    ['log(f)', 'grows without bound at f = 0'],
    ['sin(pi*f/fc)/(pi*f/fc)', 'write sinc(x)'],
    ['1e999', 'grows without bound'],
    ['1' + '+1'.repeat(150), 'has 301 characters'],
  ])('%s is refused with a sentence', async (formula, reason) => {
    expect(await refusal(() => compileWindow(formula))).toContain(reason);
  });

  test('whatever is typed is compiled or refused with a sentence, and touches nothing', async () => {
    const pieces = fc.constantFrom('f', 'fc', 'pi', 'e', 'cos', 'sinc', '(', ')', '+', '-', '*', '/', '^', '?', ':', '<', '=', '.', ',', '[', ']', '{', '}', '"', ';', '2', '0.5', ' ', 'this', 'window', 'constructor', 'import', "'", '\n', '!', '%', 'x');
    let compiled = 0;
    await fc.assert(fc.asyncProperty(fc.array(pieces, { maxLength: 12 }), async (parts) => {
      if ((await outcome(() => compileWindow(parts.join('')))) === 'read') compiled++;
    }), { seed: 7, numRuns: 400 });
    expect(compiled, 'some of them are formulas').toBeGreaterThan(5);
    expect(({} as Record<string, unknown>).x).toBeUndefined();
  });
});
