import { compileWindow } from '../filter/compile-window.ts';
import type { MethodRecipe } from '../reconstruct/reconstruct-with.ts';
import type { Scan } from './scan.ts';

/**
 * How a scan is to be reconstructed, for reconstructWith: filtered backprojection with the ramp where the scan file says nothing.
 * Throws (rejects with) BadInput for a formula that cannot be read.
 */
export async function scanRecipe({ reconstruction }: Scan): Promise<MethodRecipe> {
  const { method = 'fbp', window = 'ramp', formula, cutoff = 1, size: _, pixelSize: __, centre: ___, ...iterative } = reconstruction ?? {};
  if (method === 'fbp') return { method, window: window === 'formula' ? await compileWindow(formula!) : window, cutoff };
  return { ...iterative, method };
}
