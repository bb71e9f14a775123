import type { Job } from './job.ts';

/** To a worker. Jobs are done one after the other, in the order in which they come. */
export type ToWorker =
  | { readonly id: number; readonly job: Job }
  /** The next frames of a slab; none after the last. */
  | { readonly id: number; readonly frames?: { readonly from: number; readonly count: number; readonly data: Float32Array } }
  /** The job is not wanted any more. */
  | { readonly id: number; readonly drop: true }
  /** For tests: the worker is to come to grief. */
  | { readonly fail: true };

/** From a worker; every job ends with one of done, bad, lost. */
export type FromWorker =
  | { readonly id: number; readonly progress: number }
  /** The slab can take frames from this view on. */
  | { readonly id: number; readonly wants: number }
  | { readonly id: number; readonly firstSlice: number; readonly slices: Float32Array }
  | { readonly id: number; readonly done: Float32Array | undefined }
  /** BadInput; with `lost`, EngineLost. */
  | { readonly id: number; readonly bad: string; readonly lost: boolean }
  | { readonly id: number; readonly dropped: true };
