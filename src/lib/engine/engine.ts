import type { Filter } from '../filter/filter.ts';
import type { GridOf, PictureOf, ShadowsOf } from '../reconstruct/iterate.ts';
import type { Operator } from '../reconstruct/operator.ts';
import type { Slab } from '../reconstruct/slab.ts';
import type { Geometry, Work } from '../types.ts';

/**
 * Where the heavy loops run. All engines do the same work and agree (tests/lib/engines.test.ts): `simd` with `plain` to 1e-5 relative rms,
 * `gpu` to 1e-5 where it interpolates by hand and to 1e-3 where the card's texture units do.
 *   plain   the readable code of the book, on the thread that asks
 *   simd    WebAssembly SIMD, in a pool of workers
 *   gpu     a graphics card, through WebGPU
 */
export type EngineName = 'plain' | 'simd' | 'gpu';

export const engineNames = ['gpu', 'simd', 'plain'] as const satisfies readonly EngineName[];

/** Filter, and the grid that is wanted. */
export interface ReconstructOptions<G extends Geometry> extends Filter {
  readonly grid: GridOf<G>;
  /** The most that the result may take, bytes; memoryLimit when left out. */
  readonly memory?: number;
  /** Of a cone: the slab that grid and geometry are those of. The plain engine then makes that part of the whole volume to the last bit; others need not. */
  readonly slab?: Slab;
}

/**
 * Slices belong to parallel beams and fans (Sinogram, Grid, Image), volumes to cones (Projections, VolumeGrid, Volume). Nothing that is
 * handed in is changed or kept. Long work reports progress 0…1 and stops when its signal is aborted, with signal.reason.
 * All methods reject with BadInput, one sentence, for what cannot be, and with EngineLost where the engine cannot go on.
 */
export interface Engine {
  readonly name: EngineName;
  /** What does the work, in words: "2 workers with WebAssembly SIMD". */
  readonly says: string;
  /** Line integrals of a picture: forwardProject, forwardProjectCone. */
  project<G extends Geometry>(picture: PictureOf<G>, geometry: G, work?: Work): Promise<ShadowsOf<G>>;
  /** Its exact transpose: transposeProject, transposeProjectCone. */
  transpose<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, grid: GridOf<G>, work?: Work): Promise<PictureOf<G>>;
  /** What is done to views before they are smeared back: weighed, each with its share of the turn, and filtered; a leaning cone's made upright. */
  filter<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, filter: Filter, work?: Work): Promise<ShadowsOf<G>>;
  /**
   * Views smeared back: Σ (R/depth)^power · what the view has where the pixel falls on it, linearly interpolated. power: of a fan or a cone, 2 when
   * left out. A cone's detector is taken as upright.
   */
  backproject<G extends Geometry>(views: ShadowsOf<G>, geometry: G, grid: GridOf<G>, options?: { readonly power?: 0 | 1 | 2 }, work?: Work): Promise<PictureOf<G>>;
  /** Both in one go, without a second set of views in memory: fbp, fdk. */
  reconstruct<G extends Geometry>(shadows: ShadowsOf<G>, geometry: G, options: ReconstructOptions<G>, work?: Work): Promise<PictureOf<G>>;
  /** What the iterative methods work with; their steps may wait for the engine, so that they want `run`. dispose() it in the end. */
  operator<G extends Geometry>(geometry: G, grid: GridOf<G>, mask?: ArrayLike<number>): Operator;
  /** Ends its workers, gives back its device. */
  close(): void;
}

/**
 * An engine cannot go on, or is not there: a device lost, no memory left, a worker that died. The message is one sentence for the reader,
 * without what happens next, which is up to whoever catches it: keepGoing takes the next engine.
 */
export class EngineLost extends Error {
  override name = 'EngineLost';
}
