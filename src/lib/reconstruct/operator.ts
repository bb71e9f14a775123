import { kernelsInUse } from '../engine/in-use.ts';
import { part, type Steps } from '../engine/steps.ts';
import { projectFrameSteps } from '../project/forward-project-cone.ts';
import { projectView } from '../project/forward-project.ts';
import { bordered, setBordered, takeBordered } from '../project/ray-walk.ts';
import { spreadFrameSteps } from '../project/transpose-project-cone.ts';
import { spreadView } from '../project/transpose-project.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, VolumeGrid } from '../types.ts';

export type Numbers = Float64Array | Float32Array;

/**
 * What the iterative methods know of a scan: the matrix A that makes line integrals of a picture (Joseph's, see forwardProject) and its
 * exact transpose, view by view. Pictures and rays are plain rows of numbers, in double precision for a slice, float32 for a volume.
 * With a mask the columns of A of all pixels outside it are 0: the transpose leaves exactly 0 there.
 */
export interface Operator {
  /** Pixels along x, y and, of a volume, z. */
  readonly size: readonly number[];
  readonly pixels: number;
  readonly views: number;
  /** Rays in a view. */
  readonly cells: number;
  numbers(length: number): Numbers;
  /** Writes A·picture into the rays of these views (all when left out); the other rays stay. The picture is 0 outside the mask. */
  applySteps(picture: Numbers, rays: Numbers, views?: readonly number[]): Steps<void>;
  /** Writes Aᵀ·rays of these views (all when left out) over the picture. */
  transposeSteps(rays: Numbers, picture: Numbers, views?: readonly number[]): Steps<void>;
  /** Gives back what an engine holds for it. */
  dispose?(): void;
}

/** The operator that the iterative methods take when they are given no engine: the plain one, or after useKernels() theirs for a slice, which agrees to 1e-5. */
export function usualOperator(geometry: Geometry, grid: Grid | VolumeGrid, mask?: ArrayLike<number>): Operator {
  return (geometry.beam !== 'cone' && kernelsInUse()?.operator(geometry, grid as Grid, mask)) || operatorOf(geometry, grid, mask);
}

export function operatorOf(geometry: Geometry, grid: Grid | VolumeGrid, mask?: ArrayLike<number>): Operator {
  return geometry.beam === 'cone' ? coneOperator(geometry, grid as VolumeGrid, mask) : flatOperator(geometry, grid as Grid, mask);
}

function flatOperator(geometry: FlatBeam, grid: Grid, mask?: ArrayLike<number>): Operator {
  const { width, height } = grid;
  const cells = geometry.detectors;
  const all = geometry.angles.map((_, view) => view);
  const inner = new Float64Array(bordered(grid));
  const cellsOf = (rays: Numbers, view: number) => rays.subarray(view * cells, (view + 1) * cells);
  return {
    size: [width, height], pixels: width * height, views: all.length, cells,
    numbers: (length) => new Float64Array(length),
    *applySteps(picture, rays, views = all) {
      setBordered(inner, picture, grid);
      for (const [done, view] of views.entries()) {
        projectView(inner, geometry, view, grid, cellsOf(rays, view));
        yield (done + 1) / views.length;
      }
    },
    *transposeSteps(rays, picture, views = all) {
      inner.fill(0);
      for (const [done, view] of views.entries()) {
        spreadView(inner, geometry, view, grid, cellsOf(rays, view));
        yield (done + 1) / views.length;
      }
      takeBordered(inner, picture, grid);
      maskOut(picture, mask);
    },
  };
}

function coneOperator(geometry: ConeBeam, grid: VolumeGrid, mask?: ArrayLike<number>): Operator {
  const { width, height, depth } = grid;
  const cells = geometry.rows * geometry.detectors;
  const all = geometry.angles.map((_, view) => view);
  const frameOf = (rays: Numbers, view: number) => rays.subarray(view * cells, (view + 1) * cells) as Float32Array;
  return {
    size: [width, height, depth], pixels: width * height * depth, views: all.length, cells,
    numbers: (length) => new Float32Array(length),
    *applySteps(picture, rays, views = all) {
      const volume = { ...grid, data: picture as Float32Array };
      for (const [done, view] of views.entries()) {
        yield* part(projectFrameSteps(volume, geometry, view, frameOf(rays, view)), done / views.length, (done + 1) / views.length);
      }
    },
    *transposeSteps(rays, picture, views = all) {
      const volume = { ...grid, data: picture as Float32Array };
      picture.fill(0);
      for (const [done, view] of views.entries()) {
        yield* part(spreadFrameSteps(volume, geometry, view, frameOf(rays, view)), done / views.length, (done + 1) / views.length);
      }
      maskOut(picture, mask);
    },
  };
}

function maskOut(picture: Numbers, mask?: ArrayLike<number>): void {
  if (!mask) return;
  for (let k = 0; k < picture.length; k++) if (!mask[k]) picture[k] = 0;
}
