import type { GpuBenchmark } from './gpu.ts';
import type { MachineLimits } from './machine-limits.ts';
import type { PageWeight } from './page-weight.ts';
import type { PlateTiming } from './plates.ts';
import type { EngineTried, Task } from './tasks.ts';

/** All that a run of the benchmarks found, as results/last.json has it. Times in ms, memory in bytes. */
export interface Results {
  readonly date: string;
  readonly machine: { readonly processor: string; readonly cores: number; readonly memory: number; readonly node: string; /** Programs that wanted a core when it began, the mean of a minute. */ readonly load: number };
  /** Whether larger sizes were left out. */
  readonly quick: boolean;
  readonly seconds: number;
  readonly limits: MachineLimits;
  readonly tasks: readonly TaskResult[];
  readonly growth: readonly Growth[];
  /** null where the book was not built. */
  readonly plates: readonly PlateTiming[] | null;
  readonly pages: readonly PageWeight[] | null;
  /** A graphics card, with the date and the machine of its own measurement (results/gpu.json); null where there is none. */
  readonly gpu: GpuBenchmark | null;
}

export type Tried = EngineTried & {
  readonly says: string;
  /** The median, and the quickest and the slowest run. */
  readonly milliseconds: number;
  readonly range: readonly [least: number, most: number];
  readonly runs: number;
  readonly peak: number;
  /** How much of the peak was the process's own; see task.ts. */
  readonly own: number;
};

export interface PeerResult {
  readonly peer: 'scikit-image' | 'Octave image';
  readonly named: string;
  /** null where it is not installed. */
  readonly found: { readonly version: string; readonly milliseconds: number; readonly range: readonly [least: number, most: number]; readonly runs: number; readonly peak: number | null } | null;
}

export interface TaskResult {
  readonly task: Task;
  readonly engines: readonly Tried[];
  readonly peers: readonly PeerResult[];
}

export interface Growth {
  readonly kind: 'slices' | 'volumes';
  readonly engine: EngineTried;
  readonly points: readonly { readonly size: number; readonly milliseconds: number; readonly peak: number }[];
  /** Of the power law through the points; null where there are not two. */
  readonly exponent: number | null;
}
