import { matchProjections } from '../../project/cone-input.ts';
import type { Operator } from '../../reconstruct/operator.ts';
import { checkGrid, matchSinogram } from '../../reconstruct/match-sinogram.ts';
import { rowsOf, slabOf } from '../../reconstruct/slab.ts';
import type { FlatBeam, Grid } from '../../types.ts';
import { checkVolumeGrid } from '../../volume/fit-grid.ts';
import { EngineLost } from '../engine.ts';
import type { KernelsInUse } from '../in-use.ts';
import { finish } from '../steps.ts';
import { slabEdges, smearConeSteps, viewsAtOnce, type GiveSlices } from './cone.ts';
import { filterViewsAtOnce, smearFlatSteps } from './flat.ts';
import { projectFlatSteps, transposeFlatSteps } from './flat-project.ts';
import { loadKernels, type Kernels } from './kernels.ts';

/** The kernels on this thread, behind the library's own functions; see in-use.ts. */
export async function synchronousKernels(): Promise<KernelsInUse> {
  return synchronousOn(await loadKernels());
}

export function synchronousOn(kernels: Kernels): KernelsInUse {
  return {
    fbp: (sinogram, geometry, { grid, ...filter }) => ifItFits(() => {
      matchSinogram(sinogram, geometry);
      checkGrid(grid);
      const power = filter.window === 'none' ? 1 : 2;
      return { ...grid, data: finish(smearFlatSteps(kernels, { data: sinogram.data, filter, power }, geometry, grid)) };
    }),
    backproject: (sinogram, geometry, grid, { weights, views, distancePower = 0 }) => ifItFits(() => {
      matchSinogram(sinogram, geometry);
      checkGrid(grid);
      return { ...grid, data: finish(smearFlatSteps(kernels, { data: sinogram.data, weights, views, power: distancePower }, geometry, grid)) };
    }),
    filterViews: ({ views, detectors, data }, pitch, filter) => ifItFits(() => ({ views, detectors, data: filterViewsAtOnce(kernels, data, views, detectors, pitch, filter) })),
    forwardProject: (image, geometry) => ifItFits(() => (
      { views: geometry.angles.length, detectors: geometry.detectors, data: finish(projectFlatSteps(kernels, image.data, geometry, image, allOf(geometry))) }
    )),
    transposeProject: (sinogram, geometry, { width, height, pixelSize, centre }) => ifItFits(() => {
      const grid = { width, height, pixelSize, ...(centre && { centre }) };
      return { ...grid, data: finish(transposeFlatSteps(kernels, sinogram.data, geometry, grid, allOf(geometry))) };
    }),
    fdk: (projections, geometry, { grid, memory, slab: _, ...filter }) => ifItFits(() => {
      matchProjections(projections, geometry);
      checkVolumeGrid(grid, memory);
      const area = grid.width * grid.height, data = new Float32Array(area * grid.depth);
      const edges = slabEdges(grid, 1);
      for (const [k, endSlice] of edges.slice(1).entries()) {
        const slab = slabOf(geometry, grid, edges[k], endSlice), { cells, views } = { cells: slab.geometry.rows * slab.geometry.detectors, views: projections.views };
        let from = 0;
        const next = function* () {
          if (from >= views) return undefined;
          const end = Math.min(views, from + viewsAtOnce(cells)), frames = { from, count: end - from, data: rowsOf(projections, slab, from, end).data };
          from = end;
          return frames;
        };
        const give: GiveSlices = function* (slice, its) { data.set(its, (slab.firstSlice + slice) * area); };
        finish(smearConeSteps(kernels, { next }, slab.geometry, slab.grid, filter, filter.window === 'none' ? 1 : 2, give));
      }
      return { ...grid, data };
    }),
    operator: (geometry, grid, mask) => ifItFits(() => operatorHere(kernels.another(), geometry, grid, mask)),
  };
}

/** The plain operator's twin: pictures in double precision, the matrix in single. */
function operatorHere(kernels: Kernels, geometry: FlatBeam, grid: Grid, mask?: ArrayLike<number>): Operator {
  const { width, height } = grid, cells = geometry.detectors, all = allOf(geometry);
  return {
    size: [width, height], pixels: width * height, views: all.length, cells,
    numbers: (length) => new Float64Array(length),
    *applySteps(picture, rays, views = all) {
      const met = yield* projectFlatSteps(kernels, picture, geometry, grid, views);
      for (const [k, view] of views.entries()) rays.set(met.subarray(k * cells, (k + 1) * cells), view * cells);
    },
    *transposeSteps(rays, picture, views = all) {
      const its = new Float64Array(views.length * cells);
      for (const [k, view] of views.entries()) its.set(rays.subarray(view * cells, (view + 1) * cells), k * cells);
      picture.set(yield* transposeFlatSteps(kernels, its, geometry, grid, views));
      if (mask) for (let k = 0; k < picture.length; k++) if (!mask[k]) picture[k] = 0;
    },
  };
}

function allOf({ angles }: FlatBeam): number[] {
  return angles.map((_, view) => view);
}

function ifItFits<T>(task: () => T): T | undefined {
  try {
    return task();
  } catch (failure) {
    if (failure instanceof EngineLost) return undefined;
    throw failure;
  }
}
