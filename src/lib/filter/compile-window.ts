import { BadInput } from '../files/bad-input.ts';
import type { WindowFunction } from './filter.ts';

/**
 * A window typed as a formula in f and fc, such as 0.5 + 0.5*cos(pi*f/fc). See readFormula for what it may hold.
 * mathjs, which reads it, is loaded when this is first called.
 * Throws: BadInput with what is wrong with the formula, or where between 0 and fc it gives no finite number.
 */
export async function compileWindow(formula: string): Promise<WindowFunction> {
  const { readFormula } = await import('./formula.ts');
  const gain = readFormula(formula, ['f', 'fc'], 'The window');
  for (const cutoff of [0.5, 1, 2.5]) {
    for (let i = 0; i <= 64; i++) {
      const value = gain((cutoff * i) / 64, cutoff);
      if (Number.isFinite(value)) continue;
      const fault = Number.isNaN(value) ? 'gives no real number' : 'grows without bound';
      const place = i === 0 ? 'f = 0' : i === 64 ? 'f = fc' : `f = ${i / 64}·fc`;
      throw new BadInput(`The window “${formula}” ${fault} at ${place}, with fc = ${cutoff}; it has to be a finite number from f = 0 to f = fc${i === 0 && formula.includes('sin(') ? ' (for sin(πx)/(πx), write sinc(x))' : ''}.`);
    }
  }
  return gain;
}
