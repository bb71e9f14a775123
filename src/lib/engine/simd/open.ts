import { BadInput } from '../../files/bad-input.ts';
import { EngineLost, type Engine } from '../engine.ts';
import { engineOn } from './engine.ts';
import { compileKernels } from './kernels.ts';
import { openPool, type Pool } from './pool.ts';
import type { SimdOptions } from './simd-engine.ts';

/** What simdEngine fetches when it is asked for: kernels and pool. */
export async function openSimdEngine(options: SimdOptions): Promise<Engine> {
  return engineOn(await openSimdPool(options));
}

/** The pool alone; tests make one of its workers fail. */
export async function openSimdPool({ workers }: SimdOptions): Promise<Pool> {
  if (workers !== undefined && !(Number.isInteger(workers) && workers >= 1)) {
    throw new BadInput(`The number of workers is ${workers}; it has to be a whole number from 1.`);
  }
  const kernels = await compileKernels();
  try {
    return openPool(Math.min(MOST, workers ?? Math.max(1, globalThis.navigator?.hardwareConcurrency ?? 1)), kernels);
  } catch (failure) {
    throw new EngineLost(`No worker could be opened (${(failure as Error).message.replace(/\.$/, '')}).`);
  }
}

const MOST = 8;
