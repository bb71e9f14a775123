import { BadInput, methodNames, usualIterations, type MethodName, type MethodRecipe, type Reconstructed, type Scan } from '../lib/index.ts';
import { figure } from './output.ts';

/** The scan with --method, --iterations and --strength in place of its own; keys of another method go. */
export function withMethod(scan: Scan, { method, iterations, strength }: Readonly<Record<string, string>>): Scan {
  const before = scan.reconstruction ?? { method: 'fbp' };
  if (method !== undefined && !(methodNames as readonly string[]).includes(method)) throw new BadInput(`${method} is not a method: ${methodNames.join(', ')} are.`);
  const chosen = (method ?? before.method) as MethodName;
  const { size, pixelSize, centre } = before;
  const kept = chosen === before.method ? before : { ...(size ? { size } : {}), ...(pixelSize ? { pixelSize } : {}), ...(centre ? { centre } : {}) };
  if (iterations !== undefined && chosen === 'fbp') throw new BadInput('--iterations belongs to an iterative method: give --method sirt, os-sart, cgls or tv too.');
  if (strength !== undefined && chosen !== 'tv') throw new BadInput('--strength belongs to --method tv.');
  return {
    ...scan,
    reconstruction: {
      ...kept, method: chosen,
      ...(iterations === undefined ? {} : { iterations: wholeNumber(iterations) }),
      ...(strength === undefined ? {} : { strength: length(strength) }),
    },
  };
}

function wholeNumber(text: string): number {
  const value = Number(text);
  if (!/^\d+$/.test(text) || value < 1 || value > 100_000) throw new BadInput(`--iterations is ${text}; it has to be a whole number from 1 to 100,000.`);
  return value;
}

function length(text: string): number {
  const value = Number(text);
  if (text.trim() === '' || !(value >= 0 && value <= 1e6)) throw new BadInput(`--strength is ${text}; it has to be a number from 0, in mm.`);
  return value;
}

/** Updates in all: once for fbp, two a round for an iteration, each worth about four of fbp's. */
export function workOf(recipe: MethodRecipe, updates: number): number {
  return recipe.method === 'fbp' ? updates : 8 * updates * (recipe.iterations ?? usualIterations[recipe.method]);
}

/** How the picture was made, for --json and for the listing. */
export function howItWent({ beam, reconstruction }: Scan, iterated: Reconstructed<never>['iterated']): { json: object; row: [string, string] } {
  if (!iterated) {
    const { window = 'ramp', formula, cutoff = 1 } = reconstruction ?? {};
    return {
      json: { method: beam.shape === 'cone' ? 'fdk' : 'fbp', window, ...(formula ? { formula } : {}), cutoff },
      row: ['filter', `${window === 'formula' ? formula : window}${cutoff < 1 ? `, cut off at ${figure(cutoff)} of the Nyquist frequency` : ''}`],
    };
  }
  const { told, cells, iterations, stopped, history } = iterated;
  const { method, nonNegative, support, weights, start, strength, subsets } = told;
  const residual = history.rms.at(-1)!;
  const why = { iterations: '', discrepancy: ', as the picture then explained the data to within their noise', stagnation: ', as nothing changed any more', solved: ', as nothing was left to do', diverged: ', as it then went astray: the last good picture was kept' }[stopped];
  return {
    json: {
      method, iterations, stopped, nonNegative, support, weights, start, ...(method === 'tv' ? { strength } : {}), ...(subsets ? { subsets } : {}), ...(cells > 1 ? { cellsAveraged: `${cells} × ${cells}` } : {}),
      residual, residuals: history.rms.map((rms) => Number(rms.toPrecision(6))),
    },
    row: ['method', `${method}, ${iterations} iterations${why}${method === 'tv' ? `, strength ${figure(strength)} mm` : ''}${cells > 1 ? `; ${cells} × ${cells} cells averaged into one` : ''}; the data are met to ${figure(residual)} rms`],
  };
}
