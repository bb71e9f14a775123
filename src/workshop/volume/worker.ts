/** Where the long work on a volume is done, on a copy of it: heavy cuts, what the values are like, surfaces, rays, files. */
import {
  BadInput, castRaysSteps, connectedParts, cutSteps, histogramOf, joinMeshes, meshVolume, run, surfaceSteps, volumeStatistics,
  watertight, writeNpy, writeNrrd, writeStl, writeTiffStack,
  type Camera, type CastOptions, type CastPicture, type CutOptions, type Histogram, type Image, type Mesh, type Plane, type Transfer, type Volume, type VolumeGrid, type Work,
} from '../../lib/index.ts';
import { fittedGreys, usualThreshold } from './greys.ts';
import type { Facts } from './look.ts';
import { coarseness, textureOf, type Texture } from './texture.ts';

export interface SurfaceWish {
  readonly threshold: number;
  readonly smooth: number;
  readonly least: number;
}

export type VolumeFile = 'nrrd' | 'npy' | 'tiff16' | 'tiff32';

export type Order =
  | { readonly kind: 'cut'; readonly plane: Plane; readonly options: CutOptions }
  | { readonly kind: 'survey'; readonly bins: number }
  | { readonly kind: 'surface'; readonly wish: SurfaceWish }
  | { readonly kind: 'stl'; readonly wish: SurfaceWish; readonly title: string }
  | { readonly kind: 'texture'; readonly mostAlong: number; readonly most: number }
  | { readonly kind: 'cast'; readonly camera: Camera; readonly transfer: Transfer; readonly options: CastOptions }
  | { readonly kind: 'file'; readonly file: VolumeFile; readonly title: string };

export type Request =
  | { readonly kind: 'grid'; readonly grid: VolumeGrid; readonly shared?: Float32Array }
  | { readonly kind: 'voxels'; readonly from: number; readonly data: Float32Array }
  | { readonly kind: 'order'; readonly id: number; readonly order: Order }
  | { readonly kind: 'stop'; readonly id: number };

export type Answer =
  | { readonly kind: 'progress'; readonly id: number; readonly fraction: number }
  | { readonly kind: 'done'; readonly id: number; readonly result: unknown }
  | { readonly kind: 'failed'; readonly id: number; readonly sentence: string; readonly stopped: boolean; readonly ours: boolean };

export interface Survey extends Facts {
  readonly histogram: Histogram;
  readonly missing: number;
}

export interface Surface extends Mesh {
  /** Of length 1, x, y, z of one vertex after the other. */
  readonly normals: Float32Array;
  /** mm³ */
  readonly volume: number;
  readonly tight: boolean;
  /** Pieces and hollows that are kept, and how many were left out as too small. */
  readonly pieces: number;
  readonly leftOut: number;
}

export interface Results {
  cut: Image;
  survey: Survey;
  surface: Surface;
  stl: Uint8Array;
  texture: Texture;
  cast: CastPicture;
  file: Uint8Array;
}

let volume: Volume | undefined;
let last: { key: string; mesh: Mesh; pieces: number; leftOut: number } | undefined;
const underWay = new Map<number, AbortController>();

addEventListener('message', ({ data }: MessageEvent<Request>) => {
  if (data.kind === 'grid') volume = { ...data.grid, data: data.shared ?? new Float32Array(data.grid.width * data.grid.height * data.grid.depth) };
  else if (data.kind === 'voxels') volume!.data.set(data.data, data.from);
  else if (data.kind === 'stop') underWay.get(data.id)?.abort();
  else void carryOut(data.id, data.order);
});

async function carryOut(id: number, order: Order): Promise<void> {
  const control = new AbortController();
  underWay.set(id, control);
  try {
    const { result, transfer } = await done(order, { signal: control.signal, progress: (fraction) => tell({ kind: 'progress', id, fraction }) });
    tell({ kind: 'done', id, result }, transfer);
  } catch (error) {
    tell({ kind: 'failed', id, sentence: error instanceof Error ? error.message : String(error), stopped: control.signal.aborted, ours: !(error instanceof BadInput || error instanceof RangeError) });
  } finally {
    underWay.delete(id);
  }
}

async function done(order: Order, work: Work): Promise<{ result: Results[keyof Results]; transfer: Transferable[] }> {
  const given = volume!;
  switch (order.kind) {
    case 'cut': {
      const image = await run(cutSteps(given, order.plane, order.options), work);
      return handed(image, image.data);
    }
    case 'survey': {
      const { least, greatest, missing, count } = volumeStatistics(given);
      if (count === 0) throw new BadInput('The volume holds no number at all, so there is nothing to see in it.');
      const greys = fittedGreys(given);
      return handed({ histogram: histogramOf(given, order.bins, [least, greatest]), least, greatest, missing, threshold: usualThreshold(given, greys), spread: greys.high - greys.low });
    }
    case 'surface': {
      const { mesh, pieces, leftOut } = await surfaceOf(given, order.wish, work);
      // The mesh stays here for its file; the page gets a copy.
      const [positions, triangles, normals] = [mesh.positions.slice(), mesh.triangles.slice(), normalsOf(mesh)];
      return handed({ positions, triangles, normals, volume: meshVolume(mesh), tight: watertight(mesh).watertight, pieces, leftOut }, positions, triangles, normals);
    }
    case 'stl':
      return file(writeStl((await surfaceOf(given, order.wish, work)).mesh, order.title));
    case 'texture': {
      const texture = textureOf(given, coarseness(given, order.mostAlong, order.most));
      return handed(texture, texture.data);
    }
    case 'cast': {
      const picture = await run(castRaysSteps(given, order.camera, order.transfer, order.options), work);
      return handed(picture, picture.data, picture.opacity);
    }
    case 'file':
      return file(writeVolume(given, order.file, order.title));
  }
}

/** The surface without its small pieces; the last one is kept. */
async function surfaceOf(given: Volume, { threshold, smooth, least }: SurfaceWish, work: Work): Promise<NonNullable<typeof last>> {
  const key = `${threshold} ${smooth} ${least}`;
  if (last?.key === key) return last;
  const whole = await run(surfaceSteps(given, threshold, { smooth }), work);
  const all = connectedParts(whole).length;
  if (least <= 0) return (last = { key, mesh: whole, pieces: all, leftOut: 0 });
  const kept = connectedParts(whole, least);
  if (kept.length === 0) throw new BadInput(`All ${all} pieces of the surface enclose less than ${least} mm³, so nothing is left: choose a smaller least volume.`);
  return (last = { key, mesh: joinMeshes(kept), pieces: kept.length, leftOut: all - kept.length });
}

/** Of each vertex the mean of its triangles' normals, each counted by its area. */
function normalsOf({ positions: p, triangles }: Mesh): Float32Array {
  const normals = new Float32Array(p.length);
  for (let t = 0; t < triangles.length; t += 3) {
    const a = 3 * triangles[t], b = 3 * triangles[t + 1], c = 3 * triangles[t + 2];
    const ux = p[b] - p[a], uy = p[b + 1] - p[a + 1], uz = p[b + 2] - p[a + 2], vx = p[c] - p[a], vy = p[c + 1] - p[a + 1], vz = p[c + 2] - p[a + 2];
    const x = uy * vz - uz * vy, y = uz * vx - ux * vz, z = ux * vy - uy * vx;
    for (const i of [a, b, c]) {
      normals[i] += x;
      normals[i + 1] += y;
      normals[i + 2] += z;
    }
  }
  for (let i = 0; i < normals.length; i += 3) {
    const length = Math.hypot(normals[i], normals[i + 1], normals[i + 2]) || 1;
    normals[i] /= length;
    normals[i + 1] /= length;
    normals[i + 2] /= length;
  }
  return normals;
}

function writeVolume(given: Volume, kind: VolumeFile, title: string): Uint8Array {
  if (kind === 'nrrd') return writeNrrd(given, title);
  if (kind === 'npy') return writeNpy([given.depth, given.height, given.width], given.data);
  return writeTiffStack(given, kind === 'tiff16' ? 'uint16' : 'float32');
}

function handed(result: Results[keyof Results], ...arrays: (Float32Array | Uint32Array | Uint16Array)[]): { result: Results[keyof Results]; transfer: Transferable[] } {
  return { result, transfer: arrays.map(({ buffer }) => buffer as ArrayBuffer) };
}

const file = (bytes: Uint8Array) => ({ result: bytes, transfer: [bytes.buffer as ArrayBuffer] });

function tell(answer: Answer, transfer: Transferable[] = []): void {
  (self as unknown as Worker).postMessage(answer, transfer);
}
