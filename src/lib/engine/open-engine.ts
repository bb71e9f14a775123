import type { Engine, EngineName } from './engine.ts';

export interface OpenOptions {
  /** Of simd: how many workers; as many as the machine has cores, and at most 8, when left out. */
  readonly workers?: number;
  /** Of gpu: where devices are found, where that is not navigator.gpu. */
  readonly gpu?: unknown;
}

/** An engine by its name; its code is fetched when it is first asked for. Rejects with EngineLost, one sentence, where it is not to be had. */
export async function openEngine(name: EngineName, options: OpenOptions = {}): Promise<Engine> {
  switch (name) {
    case 'plain': return (await import('./plain.ts')).plainEngine();
    case 'simd': return (await import('./simd/simd-engine.ts')).simdEngine(options);
    case 'gpu': return (await import('./gpu/gpu-engine.ts')).gpuEngine(options as never);
  }
}
