import type { Filter } from '../filter/filter.ts';
import type { BackprojectOptions } from '../reconstruct/backproject.ts';
import type { FbpOptions } from '../reconstruct/fbp.ts';
import type { FdkOptions } from '../reconstruct/fdk.ts';
import type { Operator } from '../reconstruct/operator.ts';
import type { ConeBeam, FlatBeam, Grid, Image, Projections, Sinogram, Volume } from '../types.ts';
import { EngineLost } from './engine.ts';

/** What the kernels of the simd engine do on the thread that calls them, at once. Handed in is what has been checked; each gives undefined where their memory does not suffice. */
export interface KernelsInUse {
  fbp(sinogram: Sinogram, geometry: FlatBeam, options: FbpOptions): Image | undefined;
  backproject(sinogram: Sinogram, geometry: FlatBeam, grid: Grid, options: BackprojectOptions): Image | undefined;
  filterViews(sinogram: Sinogram, pitch: number, filter: Filter): Sinogram | undefined;
  forwardProject(image: Image, geometry: FlatBeam): Sinogram | undefined;
  transposeProject(sinogram: Sinogram, geometry: FlatBeam, grid: Grid): Image | undefined;
  fdk(projections: Projections, geometry: ConeBeam, options: FdkOptions): Volume | undefined;
  /** Of flat beams. It has memory of its own, so that its steps may take turns with whatever else is called. */
  operator(geometry: FlatBeam, grid: Grid, mask?: ArrayLike<number>): Operator | undefined;
}

let inUse: KernelsInUse | undefined;

/**
 * Fetches the kernels of the simd engine for this thread. From then on fbp, backproject, filterViews, forwardProject, transposeProject, fdk and what the
 * iterative methods work with for slices, unless they are given an engine, run on them instead of the plain loops; they agree to 1e-5 relative rms.
 * The …Steps of the first six stay the plain code. False where there is no WebAssembly with SIMD: then nothing changes.
 */
export async function useKernels(): Promise<boolean> {
  if (inUse) return true;
  try {
    const { synchronousKernels } = await import('./simd/synchronous.ts');
    inUse ??= await synchronousKernels();
    return true;
  } catch (failure) {
    if (failure instanceof EngineLost) return false;
    throw failure;
  }
}

/** The kernels, once useKernels() has fetched them. */
export function kernelsInUse(): KernelsInUse | undefined {
  return inUse;
}

/** Back to the plain loops; for tests. */
export function leaveKernels(): void {
  inUse = undefined;
}
