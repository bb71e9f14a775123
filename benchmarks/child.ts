import { execFile } from 'node:child_process';
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { compiledCode } from '../scripts/setup.mjs';
import type { GpuBenchmark } from './gpu.ts';
import type { Measured } from './task.ts';
import type { EngineTried, Task } from './tasks.ts';

const exec = promisify(execFile);
const here = (name: string) => join(import.meta.dirname, name);

/** Our own time, measured in a process of its own; undefined where the engine is not to be had on this machine. */
export async function timeOurs(task: Task, tried: EngineTried): Promise<Measured | undefined> {
  try {
    const { stdout } = await exec(process.execPath, [here('task.ts'), JSON.stringify({ task, ...tried })], { maxBuffer: 1e7, env: { NODE_COMPILE_CACHE: compiledCode, ...process.env } });
    const found = JSON.parse(stdout) as Measured | { lost: string };
    return 'lost' in found ? undefined : found;
  } catch (error) {
    const { stderr } = error as { stderr?: string };
    if (stderr && /ERR_MODULE_NOT_FOUND/.test(stderr)) return undefined; // the engine's kernels have not been built
    throw error;
  }
}

/**
 * A graphics card: measured anew where Node reaches one (package webgpu), which `measure` asks for; otherwise as results/gpu.json has it from the
 * last machine that had one; null without either.
 */
export async function timeCard(measure: boolean): Promise<GpuBenchmark | null> {
  const kept = here('results/gpu.json');
  if (measure) {
    try {
      await exec(process.execPath, [here('gpu.ts'), '--out', kept], { maxBuffer: 1e7 });
    } catch {
      // no package webgpu, or no card
    }
  }
  return existsSync(kept) ? JSON.parse(readFileSync(kept, 'utf8')) as GpuBenchmark : null;
}

export interface PeerTime { readonly version: string; readonly milliseconds: readonly number[]; readonly peak: number | null }

/** A peer's time; undefined where it is not installed. */
export async function timePeer(peer: 'scikit-image' | 'Octave image', task: string, { size, views }: Task, runs: number): Promise<PeerTime | undefined> {
  const words = [task, String(size), String(views), String(runs)];
  const ways: [string, string[]][] = peer === 'scikit-image'
    ? ['/usr/bin/python3', 'python3'].map((python) => [python, [here('peers.py'), ...words]])
    : ['octave-cli', 'octave'].map((octave) => [octave, ['-q', here('peers.m'), ...words]]);
  for (const [command, given] of ways) {
    try {
      return JSON.parse((await exec(command, given, { env: { ...process.env, OMP_NUM_THREADS: '1', OPENBLAS_NUM_THREADS: '1' } })).stdout) as PeerTime;
    } catch {
      continue; // no such program, or none with the package
    }
  }
  return undefined;
}
