import type { Frames } from './cone.ts';
import type { Job } from './job.ts';

/** To a worker. Jobs are done one after the other, in the order in which they come. */
export type ToWorker =
  /** The first message: the kernels. */
  | { readonly kernels: WebAssembly.Module }
  | { readonly id: number; readonly job: Job }
  /** The next frames of a slab. */
  | { readonly id: number; readonly frames: Frames }
  /** Slices that have been taken up: room for the next ones. */
  | { readonly id: number; readonly room: Float32Array }
  /** The job is not wanted any more. */
  | { readonly id: number; readonly drop: true }
  /** For tests: the worker is to come to grief. */
  | { readonly fail: true };

/** From a worker; every job ends with one of done, bad, lost. */
export type FromWorker =
  | { readonly id: number; readonly progress: number }
  /** The slab can take frames from this view on; in the room of others that it has done with, if it has some. */
  | { readonly id: number; readonly wants: number; readonly room?: Float32Array }
  | { readonly id: number; readonly firstSlice: number; readonly slices: Float32Array }
  | { readonly id: number; readonly done: Float32Array | undefined }
  /** BadInput; with `lost`, EngineLost. */
  | { readonly id: number; readonly bad: string; readonly lost: boolean }
  | { readonly id: number; readonly dropped: true };
