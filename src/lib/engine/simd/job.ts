import type { Filter } from '../../filter/filter.ts';
import type { Numbers } from '../../reconstruct/operator.ts';
import type { ConeBeam, FlatBeam, Grid, VolumeGrid } from '../../types.ts';
import type { Steps } from '../steps.ts';
import { filterConeSteps, smearConeSteps, type FramesToCome, type GiveSlices } from './cone.ts';
import { projectConeSteps, transposeConeSteps } from './cone-project.ts';
import { filterFlatSteps, smearFlatSteps } from './flat.ts';
import { projectFlatSteps, transposeFlatSteps } from './flat-project.ts';
import type { Kernels } from './kernels.ts';

/** A part of a task, as it goes to a worker. A window of one's own goes as its gains: see `portable`. */
export type Job =
  | { readonly task: 'filterFlat'; readonly data: Float32Array; readonly geometry: FlatBeam; readonly filter: PortableFilter; readonly from: number; readonly end: number }
  | { readonly task: 'smearFlat'; readonly data: Float32Array; readonly geometry: FlatBeam; readonly grid: Grid; readonly filter?: PortableFilter; readonly power: 0 | 1 | 2; readonly firstRow: number; readonly endRow: number }
  | { readonly task: 'projectFlat' | 'transposeFlat'; readonly data: Numbers; readonly geometry: FlatBeam; readonly grid: Grid; readonly views: readonly number[] }
  | { readonly task: 'projectCone' | 'transposeCone'; readonly data: Float32Array; readonly geometry: ConeBeam; readonly grid: VolumeGrid; readonly views: readonly number[] }
  | { readonly task: 'filterCone'; readonly data: Float32Array; readonly geometry: ConeBeam; readonly filter: PortableFilter; readonly from: number; readonly count: number }
  | { readonly task: 'smearCone'; readonly geometry: ConeBeam; readonly grid: VolumeGrid; readonly filter?: PortableFilter; readonly power: 0 | 1 | 2 };

/** The job done by these kernels. A slab takes the frames to come and gives its slices out by give; all other jobs return their numbers. */
export function jobSteps(kernels: Kernels, job: Job, toCome: FramesToCome, give: GiveSlices): Steps<Float32Array | void> {
  switch (job.task) {
    case 'filterFlat': return filterFlatSteps(kernels, job.data, job.geometry, unpacked(job.filter), job.from, job.end);
    case 'smearFlat': return smearFlatSteps(kernels, { data: job.data, filter: job.filter && unpacked(job.filter), power: job.power }, job.geometry, job.grid, job.firstRow, job.endRow);
    case 'projectFlat': return projectFlatSteps(kernels, job.data, job.geometry, job.grid, job.views);
    case 'transposeFlat': return transposeFlatSteps(kernels, job.data, job.geometry, job.grid, job.views);
    case 'filterCone': return filterConeSteps(kernels, { from: job.from, count: job.count, data: job.data }, job.geometry, unpacked(job.filter));
    case 'smearCone': return smearConeSteps(kernels, toCome, job.geometry, job.grid, job.filter && unpacked(job.filter), job.power, give);
    case 'projectCone': return projectConeSteps(kernels, job.data, job.geometry, job.grid, job.views);
    case 'transposeCone': return transposeConeSteps(kernels, job.data, job.geometry, job.grid, job.views);
  }
}

/** A filter that can be posted to a worker: a window of one's own as a list of its gains, for the frequencies that filterResponse asks for. */
export interface PortableFilter {
  readonly window: Filter['window'] | { readonly frequencies: readonly number[]; readonly gains: readonly number[] };
  readonly cutoff?: number;
}

/** Asks a window of one's own for all the gains that views of so many cells at this pitch will want; a named one goes as it is. */
export function portable({ window, cutoff }: Filter, cells: number, pitch: number, respond: (filter: Filter, length: number, pitch: number) => unknown): PortableFilter {
  if (typeof window === 'string') return { window, cutoff };
  const frequencies: number[] = [], gains: number[] = [];
  const noted = (f: number, fc: number) => {
    const gain = window(f, fc);
    frequencies.push(f);
    gains.push(gain);
    return gain;
  };
  respond({ window: noted, cutoff }, 2 ** Math.ceil(Math.log2(2 * cells)), pitch);
  return { window: { frequencies, gains }, cutoff };
}

function unpacked({ window, cutoff }: PortableFilter): Filter {
  if (typeof window !== 'object') return { window, cutoff };
  const gainOf = new Map(window.frequencies.map((f, k) => [f, window.gains[k]]));
  return { window: (f) => gainOf.get(f) ?? NaN, cutoff };
}
