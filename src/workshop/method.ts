/** How a picture is made, beside filtered backprojection: what the reader wishes, how it stands in a scan file, and how it went in words. */
import { usualIterations, type Engine, type Geometry, type Iterative, type MethodName, type Reconstructed, type Scan } from '../lib/index.ts';
import { figure } from './scan/words.ts';

/** Left out on the sheets: filtered backprojection. Of what a scan file may say the sheets ask the chief things, and keep the rest. */
export type MethodWish = Iterative & { readonly iterations: number };

export const methodTitles: readonly { readonly value: MethodName; readonly label: string }[] = [
  { value: 'fbp', label: 'filtered backprojection: quick, and streaked where views are few' },
  { value: 'sirt', label: 'SIRT: guess, check, correct; values from 0 on' },
  { value: 'os-sart', label: 'OS-SART: the same in subsets of the views, sooner there' },
  { value: 'cgls', label: 'CGLS: least squares, without any bound' },
  { value: 'tv', label: 'total variation: even patches with sharp edges, from few views' },
];

/** For a line above a picture. */
export const shortTitles: Readonly<Record<MethodWish['method'], string>> = { sirt: 'SIRT', 'os-sart': 'OS-SART', cgls: 'CGLS', tv: 'total variation' };

export const firstWish = (method: MethodName): MethodWish | undefined => (method === 'fbp' ? undefined : { method, iterations: usualIterations[method] });

type Reconstruction = NonNullable<Scan['reconstruction']>;

/** The method's keys in a scan file; `filter` are those of filtered backprojection. */
export function methodKeys(wish: MethodWish | undefined, filter: Pick<Reconstruction, 'window' | 'formula' | 'cutoff'>): Omit<Reconstruction, 'size' | 'pixelSize' | 'centre'> {
  return wish ?? { method: 'fbp', ...filter };
}

export function wishFrom(reconstruction: Reconstruction): MethodWish | undefined {
  const { method, window: _, formula: __, cutoff: ___, size: ____, pixelSize: _____, centre: ______, ...kept } = reconstruction;
  return method === 'fbp' ? undefined : { ...kept, method, iterations: kept.iterations ?? usualIterations[method] };
}

/** What stands in the way: one sentence a field. */
export function wishFaults(wish: MethodWish | undefined): { iterations?: string; strength?: string } {
  if (!wish) return {};
  const { iterations, strength } = wish;
  return {
    ...(Number.isInteger(iterations) && iterations >= 1 && iterations <= 100_000 ? {} : { iterations: `${figure(iterations)} iterations cannot be made; it must be a whole number from 1 to 100,000.` }),
    ...(strength === undefined || (strength >= 0 && strength <= 1e6) ? {} : { strength: `The strength is ${figure(strength)} mm; it must be from 0.` }),
  };
}

/** Who made a picture, and how it went: one or two sentences. told: what happened to an engine on the way. */
export function howItWent<G extends Geometry>({ iterated }: Reconstructed<G>, engine: Engine, told: readonly string[]): string {
  const by = `By ${engine.says}.`;
  if (!iterated) return [by, ...told].join(' ');
  const { iterations, stopped, history, told: given, cells } = iterated;
  const first = history.rms[0], last = history.rms.at(-1)!;
  const why = {
    iterations: '', stagnation: ' It stopped there because nothing changed any more.', solved: ' It stopped there because nothing was left to do.',
    discrepancy: ' It stopped there because the picture explains the views to within their noise.',
    diverged: ' After that it went astray, so the last good picture was kept.',
  }[stopped];
  const strength = given.method === 'tv' ? ` at a strength of ${figure(given.strength, 2)} mm` : '';
  const averaged = cells > 1 ? [`${cells} × ${cells} cells of the views were averaged first, since a voxel is wider still.`] : [];
  return [...averaged, `${iterations} iterations${strength}: the misfit to the views fell from ${figure(first, 3)} to ${figure(last, 3)} rms.${why}`, by, ...told].join(' ');
}
