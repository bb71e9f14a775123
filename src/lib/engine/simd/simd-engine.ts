import type { Engine } from '../engine.ts';

export interface SimdOptions {
  /** How many workers, 1 to 8; as many as the machine has cores for when left out. */
  readonly workers?: number;
}

/**
 * The loops as WebAssembly with SIMD, four numbers at a time, in a pool of workers that share no memory, so that it runs on any host, in browsers
 * (in a worker as well) and in Node. It agrees with the plain code to 1e-5 relative rms. Volumes are made slab by slab: beside volume and frames a
 * worker takes at most 64 MB; iterating, it holds a volume of its own.
 * In Node idle workers do not keep a program from ending.
 * Rejects with EngineLost where there is no WebAssembly with SIMD or no worker to be had.
 */
export async function simdEngine(options: SimdOptions = {}): Promise<Engine> {
  const { openSimdEngine } = await import('./open.ts');
  return openSimdEngine(options);
}

