import { detectorIndex } from '../../geometry/detector-position.ts';
import { detectorRow } from '../../project/point-in-cone.ts';
import type { Geometry, Grid, VolumeGrid } from '../../types.ts';
import { readyLines, type ReadyLines } from './filter-stage.ts';
import { roundAndRest } from './round-and-rest.ts';
import { words } from './words.ts';
import { inParts } from './in-parts.ts';
import type { Job } from './job.ts';
import type { Lines } from './lines.ts';
import type { Card } from './open-card.ts';
import { coneSmearCode, flatSmearCode, SLICES, TILE, VIEWS, type Reading } from './smear-code.ts';

/**
 * Views brought to the card, made ready and smeared into `sums`, one number a pixel of the grid, batch after batch: while one is at work the next
 * is on its way. from, share: what part of the whole job this is, for its progress.
 */
export async function smearLines(job: Job, lines: Lines, grid: Grid | VolumeGrid, power: 0 | 1 | 2, sums: GPUBuffer, from = 0, share = 1): Promise<void> {
  const views = lines.geometry.angles.length, reading = readingOf(job.card, lines), cone = lines.geometry.beam === 'cone';
  const half = reading === 'texture' && job.card.format === 'r16float';
  const stride = reading === 'texture' ? Math.ceil(lines.columns / ROW_OF_TEXTURE) * ROW_OF_TEXTURE : lines.columns;
  const frame = lines.rows * stride * 4;
  const layers = reading === 'texture' && cone ? job.card.device.limits.maxTextureArrayLayers : VIEWS;
  const atOnce = Math.min(views, VIEWS, layers, Math.max(1, Math.floor(Math.min(BATCH, job.card.largestBuffer) / frame)));
  for (let first = 0; first < views; first += atOnce) {
    const end = Math.min(views, first + atOnce);
    const ready = await readyLines(job, lines, first, end, { stride, half });
    const source = reading === 'texture' ? textureOf(job, lines, ready, end - first, atOnce, half) : ready.buffer;
    const told = (done: number) => job.progress(from + (share * (first + (end - first) * done)) / views);
    await smearBatch(job, { reading, source, ready, lines: atOnce }, lines.geometry, grid, power, sums, first, end, told);
  }
}

function readingOf(card: Card, { columns, rows }: Lines): Reading {
  return card.interpolation === 'hardware' && Math.max(columns, rows) <= card.device.limits.maxTextureDimension2D ? 'texture' : 'buffer';
}

/** The batch as a texture: frames as the layers of an array, the views of a sinogram as the rows of one. */
function textureOf(job: Job, { columns, rows, geometry }: Lines, { buffer, stride }: ReadyLines, views: number, atOnce: number, half: boolean): GPUTexture {
  const cone = geometry.beam === 'cone', bytes = half ? 2 : 4;
  const texture = job.store.texture('texture', { format: half ? 'r16float' : 'r32float', size: cone ? [columns, rows, atOnce] : [columns, atOnce, 1] });
  const lines = cone ? rows : views;
  job.copy((encoder) => encoder.copyBufferToTexture({ buffer, bytesPerRow: bytes * stride, rowsPerImage: lines }, { texture }, [columns, lines, cone ? views : 1]));
  return texture;
}

export interface Batch {
  readonly reading: Reading;
  readonly source: GPUTexture | GPUBuffer;
  readonly ready: Pick<ReadyLines, 'stride' | 'scale'>;
  /** Lines in a texture of a sinogram's views. */
  readonly lines: number;
}

/** Smears the views first … end − 1 of the geometry, that are on the card, into the sums; the first view of all writes them anew. */
export async function smearBatch(
  job: Job, batch: Batch, geometry: Geometry, grid: Grid | VolumeGrid, power: 0 | 1 | 2, sums: GPUBuffer, first: number, end: number, told?: (done: number) => void,
): Promise<void> {
  const cone = geometry.beam === 'cone', volume = 'depth' in grid ? grid : undefined;
  const size = volume?.voxelSize ?? (grid as Grid).pixelSize, { width, height } = grid;
  const pipeline = await job.pipeline((cone ? coneSmearCode : flatSmearCode)(batch.reading));
  const constants = viewConstants(geometry, grid, size, first, end);
  const table = new ArrayBuffer(VIEWS * 64);
  new Float32Array(table).set(constants);
  const source = batch.reading === 'buffer' ? [batch.source as GPUBuffer]
    : [(batch.source as GPUTexture).createView({ dimension: cone ? '2d-array' : '2d' }), job.card.device.createSampler({ magFilter: 'linear', minFilter: 'linear' })];

  // What one dispatch does: some views into all slices (rows, of a single one) or into a block of them.
  const blocks = volume ? { count: volume.depth, cells: width * height, least: SLICES[batch.reading] } : { count: height, cells: width, least: TILE };
  const middle = splitOf(detectorIndex(geometry, 0)), middleRow = splitOf(cone ? detectorRow({ ...geometry, tilt: 0 }, 0) : 0);
  const scale = cellsAtAxis(geometry), rows = cone ? geometry.rows : 1;
  const [rise, riseRest] = roundAndRest(volume ? scale * size : 0, CELL_GRID);
  const [lowest, lowestRest] = roundAndRest(volume ? scale * ((volume.centre?.[2] ?? 0) - ((volume.depth - 1) / 2) * size) : 0, CELL_GRID);
  await inParts(job, 'smear', blocks, end - first, async (from, views, block, done, units) => {
    const view = first + from;
    const task = words('uuuu uuuu uuii ffff ffff uuf', width, height, done, views, view - first, view > 0 ? 1 : 0, power, batch.ready.stride,
      geometry.detectors, rows, middle.whole, middleRow.whole, middle.rest, middleRow.rest, lowest, rise,
      lowestRest, riseRest, geometry.beam === 'parallel' ? 0 : size / geometry.sourceToAxis, 1 / batch.ready.scale,
      block, geometry.beam === 'parallel' ? 0 : 1, batch.lines);
    const groups = [Math.ceil(width / TILE), Math.ceil((volume ? height : done - block) / TILE), volume ? Math.ceil((done - block) / SLICES[batch.reading]) : 1] as const;
    await job.dispatch('smear', units, pipeline, [task, table, sums, ...source], groups);
  }, told);
}

/** Sixteen numbers a view, all from the middle of the grid, worked out in double precision: see View in smear-code.ts. */
function viewConstants(geometry: Geometry, { centre = [0, 0] }: Grid | VolumeGrid, size: number, first: number, end: number): Float32Array {
  const scale = cellsAtAxis(geometry), [x, y] = centre, list: number[] = [];
  for (let view = first; view < end; view++) {
    const cos = Math.cos(geometry.angles[view]), sin = Math.sin(geometry.angles[view]);
    const far = geometry.beam === 'parallel' ? 1 : geometry.sourceToAxis;
    const aside = [scale * (x * cos + y * sin), scale * size * cos, -scale * size * sin, 0].map((value) => roundAndRest(value, CELL_GRID));
    const deep = [1 + (x * sin - y * cos) / far, (size * sin) / far, (size * cos) / far, 0].map((value) => roundAndRest(value, DEPTH_GRID));
    list.push(...aside.map(([round]) => round), ...deep.map(([round]) => round), ...aside.map(([, rest]) => rest), ...deep.map(([, rest]) => rest));
  }
  return Float32Array.from(list);
}

function cellsAtAxis(geometry: Geometry): number {
  return geometry.beam === 'parallel' ? 1 / geometry.pitch : geometry.sourceToDetector / geometry.sourceToAxis / geometry.pitch;
}

function splitOf(cell: number): { whole: number; rest: number } {
  return { whole: Math.floor(cell), rest: cell - Math.floor(cell) };
}

/** What is rounded to: 24 bits then hold sums of up to 8,192 cells, and of depths up to 4 R, at pixels that are counted in halves. */
const CELL_GRID = 2 ** -10, DEPTH_GRID = 2 ** -21;
/** Bytes of a batch of views: enough to fill a card, few enough that the first is soon at work. */
const BATCH = 2 ** 25;
/** Rows of a texture begin at multiples of 256 bytes; numbers, for half floats too. */
const ROW_OF_TEXTURE = 128;
