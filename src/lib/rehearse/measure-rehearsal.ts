import type { Engine } from '../engine/engine.ts';
import { fdkOn } from '../engine/fdk-on.ts';
import { part, type Steps } from '../engine/steps.ts';
import type { Filter } from '../filter/filter.ts';
import type { PhotoReport } from '../photos/photo-scan.ts';
import type { ConeBeam, Projections, Volume, VolumeGrid } from '../types.ts';
import type { EdgeOfDisc } from './edge-of-disc.ts';
import { labelSolids } from './label-solids.ts';
import { objectParts } from './object-parts.ts';
import type { PlanObject } from './plan-object.ts';
import { middleShare, type PlanSlice } from './plan-slice.ts';
import type { SliceResolution } from './slice-resolution.ts';
import { substancesOf } from '../phantom/project-solids.ts';

export interface PartFigures {
  readonly name: string;
  readonly against: string;
  /** Attenuation, 1/mm, in the slice: predicted, and the mean of the voxels well inside it; left out where none is, the part being too thin. */
  readonly value: { readonly predicted: number; readonly measured?: number };
  readonly contrast: { readonly predicted: number; readonly measured?: number };
  /** Over the noise of a voxel. The prediction counts what the blur takes from a thin part; measured are voxels that it leaves whole. */
  readonly cnr: { readonly predicted: number; readonly measured?: number };
  /** Voxels well inside it, and what their values vary by beyond the noise, 1/mm: streaks, cupping, rings. */
  readonly voxels: number;
  readonly streaks?: number;
}

export interface RehearsalFigures {
  /** Standard deviation of a voxel by noise in the middle of the object, 1/mm. */
  readonly noise: { readonly predicted: number; readonly measured: number };
  /** Width of an edge's slope, mm, and cycles/mm at a tenth of the contrast. */
  readonly resolution: { readonly predicted: SliceResolution; readonly measured: EdgeOfDisc };
  readonly parts: readonly PartFigures[];
  /** What voxels well inside the empty parts of the object, and beside it, vary by beyond the noise, 1/mm; left out where there are none. */
  readonly streaks?: number;
  /** Share of the photographs' pixels that are full, on average. */
  readonly saturated: number;
}

export interface Measured {
  readonly object: PlanObject;
  readonly volume: Volume;
  readonly geometry: ConeBeam;
  /** Line integrals that hold noise alone, as much of it as the scan has. */
  readonly noise: Projections;
  readonly filter: Filter;
  readonly edge: EdgeOfDisc;
  readonly predicted: PlanSlice;
  readonly report: PhotoReport;
  readonly engine?: Pick<Engine, 'reconstruct'>;
}

/** Fewer voxels than this are too few for a mean. */
const fewest = 20;
/** Voxels of the grid on which noise is looked at, an edge. */
const noiseEdge = 25;

/**
 * What a rehearsed volume shows, beside what was predicted. A part's voxels are those that are about 1.1 widths of the resolution away from everything else, by its true
 * shape; noise is that of a volume made of the difference of two rehearsals, so that streaks do not count as noise; streaks² = deviation² − noise² in a part.
 */
export function* measureRehearsal({ object, volume, geometry, noise, filter, edge, predicted, report, engine }: Measured): Steps<RehearsalFigures> {
  const { radius, bottom, top, solids } = object;
  const middle = (bottom + top) / 2;
  const span = 2 * middleShare * radius;
  const high = middleShare * (top - bottom);
  const depth = geometry.rows === 1 ? 1 : noiseEdge;
  // Voxels so far apart, and at places so odd, that they fall anywhere between the cells.
  const voxelSize = span / Math.SQRT2 / noiseEdge;
  const grid: VolumeGrid = { width: noiseEdge, height: noiseEdge, depth, voxelSize, centre: [0, 0, depth === 1 ? 0 : middle] };
  const stretch = depth === 1 ? 1 : Math.min(1, high / (noiseEdge * voxelSize));
  const noisy = yield* part(fdkOn(engine, noise, geometry, { ...filter, grid: stretch < 1 ? { ...grid, depth: Math.max(1, Math.floor(noiseEdge * stretch)) } : grid }), 0, 0.8);
  const measured = Math.sqrt(noisy.data.reduce((sum, value) => sum + value * value, 0) / noisy.data.length);

  const labels = solids ? labelSolids(solids, volume) : Int16Array.from(volume.data, () => -1);
  const of = solids ? substancesOf(solids).of : [];
  // One label for each substance; the parts are told apart by their solid.
  const substance = labels.map((label) => (label < 0 ? -1 : of[label]));
  const apart = Math.max(1, Math.round((1.1 * edge.width) / volume.voxelSize - 0.5)); // the face is half a voxel further away
  const inside = wellInside(substance, volume, apart);
  yield 0.9;
  const statisticsOf = (belongs: (i: number) => boolean) => {
    let [count, sum, squares] = [0, 0, 0];
    for (let i = 0; i < labels.length; i++) {
      if (!inside[i] || !belongs(i)) continue;
      count++;
      sum += volume.data[i];
      squares += volume.data[i] ** 2;
    }
    const mean = sum / count;
    return { count, mean, streaks: Math.sqrt(Math.max(0, squares / count - mean * mean - measured * measured)) };
  };
  const within = (i: number) => {
    const { width, height } = volume;
    const x = (i % width) - (width - 1) / 2, y = (Math.floor(i / width) % height) - (height - 1) / 2;
    const z = (volume.centre?.[2] ?? 0) + (Math.floor(i / (width * height)) - (volume.depth - 1) / 2) * volume.voxelSize;
    return Math.hypot(x, y) * volume.voxelSize < radius && z > bottom && z < top;
  };
  const empty = statisticsOf((i) => substance[i] < 0 && within(i));
  const values = predicted.values.map((_, k) => statisticsOf((i) => substance[i] === k));
  const parts = objectParts(object).map((each): PartFigures => {
    const mine = predicted.parts.find(({ solid }) => solid === each.solid)!;
    const own = statisticsOf((i) => labels[i] === each.solid && each.solid >= 0);
    const around = each.against < 0 ? empty : values[each.against];
    const known = own.count >= fewest;
    const contrast = known && around.count >= fewest ? own.mean - around.mean : undefined;
    return {
      name: each.name, against: each.againstName,
      value: { predicted: mine.value, ...(known && { measured: own.mean }) },
      contrast: { predicted: mine.contrast, ...(contrast !== undefined && { measured: contrast }) },
      cnr: { predicted: mine.cnr, ...(contrast !== undefined && { measured: Math.abs(contrast) / measured }) },
      voxels: own.count, ...(known && { streaks: own.streaks }),
    };
  });
  return {
    noise: { predicted: predicted.noise, measured },
    resolution: { predicted: predicted.resolution, measured: edge },
    parts,
    ...(solids && empty.count >= fewest && { streaks: empty.streaks }),
    saturated: report.saturated.reduce((sum, share) => sum + share, 0) / report.saturated.length,
  };
}

/** 1 for voxels around which everything within `apart` voxels, in a cube, is the same. */
function wellInside(labels: Int16Array, { width, height, depth }: VolumeGrid, apart: number): Uint8Array {
  let inside: Uint8Array = new Uint8Array(labels.length).fill(1);
  const strides = [1, width, width * height], counts = [width, height, depth];
  for (let axis = 0; axis < 3; axis++) {
    if (counts[axis] === 1) continue;
    const next = new Uint8Array(labels.length);
    const [stride, count] = [strides[axis], counts[axis]];
    for (let start = 0; start < labels.length; start++) {
      if (Math.floor(start / stride) % count !== 0) continue;
      // How many voxels in a row have been the same, and good, up to here.
      let run = 0;
      for (let k = 0, i = start; k < count; k++, i += stride) {
        run = inside[i] && (run === 0 || labels[i] === labels[i - stride]) ? run + 1 : inside[i];
        if (run > 2 * apart) next[i - apart * stride] = 1;
      }
    }
    inside = next;
  }
  return inside;
}
