import { createHash } from 'node:crypto';
import { rmSync } from 'node:fs';
import { dirname, extname, isAbsolute, join } from 'node:path';
import { availableMemory } from 'node:process';
import { BadInput, checkVolumeGrid, inWords, rowsOf, scanGeometry, scanVolumeGrid, slabCuts, slabOf, volumeMemory, writeSlabNote, type ConeBeam, type Projections, type Scan, type Slab, type SlabNote, type VolumeGrid } from '../lib/index.ts';
import { engineFor } from './engine.ts';
import { checkOutput, writeWhole } from './files.ts';
import { fingerprint } from './fingerprint.ts';
import { openFrames } from './frame-rows.ts';
import { howItWent, workOf } from './method.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';
import { coverageOf, extremes, framesOf, recipeOf, warningsAbout, withAxis } from './reconstruct-volume.ts';
import { endingOf, layoutFor, writeVolume } from './volume-file.ts';

interface Task {
  readonly scan: Scan;
  readonly scanPath: string;
  /** Which slab: "3/8". */
  readonly slab: string;
  readonly out: string;
  /** The engine. */
  readonly asked: string;
  readonly json: boolean;
  readonly signal: AbortSignal;
}

/** One slab of the volume of a cone-beam scan, from only the rows that it needs, and beside it the note by which `slices join` knows it. */
export async function reconstructSlab({ scan, scanPath, slab: words, out, asked, json, signal }: Task): Promise<number> {
  const { number, of } = slabNumber(words);
  const note = noteBeside(out);
  if (scan.beam.shape !== 'cone') throw new BadInput(`${scanPath}: beam.shape is ${JSON.stringify(scan.beam.shape)}, and --slab ${words} divides the volume of a cone beam: leave --slab out.`);
  const recipe = await recipeOf(scan, scanPath);
  if (recipe.method !== 'fbp') throw new BadInput(`--slab ${words} is for filtered backprojection, and the method is ${recipe.method}, which guesses at the whole volume at once: leave --slab out, or say --method fbp.`);
  checkOutput(out, [scanPath]);
  checkOutput(note, [scanPath, out]);
  const begun = performance.now();
  const { rows, slab, grid, geometry, notes, warnings, paths, bytesRead } = await slabInput({ scan, scanPath, words, number, of, signal });
  for (const path of [out, note]) checkOutput(path, paths);
  const layout = layoutFor(out, slab.grid, scan.title, 'a slab');
  for (const sentence of [...notes, ...warnings]) say(sentence);

  // Chosen as for the whole volume, so that every slab, and the whole, is made by the same.
  const engine = await engineFor(asked, workOf(recipe, grid.width * grid.height * grid.depth * rows.views), 'volumes', signal);
  const { method: _, ...filter } = recipe;
  const options = { ...filter, grid: slab.grid, slab, memory: Infinity };
  const volume = await engine.reconstruct(rows, slab.geometry, options, { signal, progress: (fraction) => showProgress('Reconstructing', fraction) });
  const { name: engineName, says } = engine;
  engine.close();
  clearProgress();
  signal.throwIfAborted();

  const hash = createHash('sha256');
  rmSync(note, { force: true }); // of an older slab; without one, nobody takes this for whole
  await writeVolume(out, volume, layout, (piece) => hash.update(piece));
  const about: SlabNote = {
    format: 'slab', version: 1, ...(scan.title ? { title: scan.title } : {}), slab: number, of, firstSlice: slab.firstSlice, endSlice: slab.endSlice,
    volume: { ...grid, centre: grid.centre ?? [0, 0, 0] }, scan: fingerprint(scan, geometry, paths), engine: engineName,
    file: { bytes: layout.bytes, first: layout.first, apart: layout.apart, sha256: hash.digest('hex') },
  };
  writeWhole(note, new TextEncoder().encode(writeSlabNote(about)));
  const seconds = (performance.now() - begun) / 1000;

  const { least, greatest } = extremes(volume.data);
  const { width, height, depth, voxelSize } = volume;
  if (json) {
    printJson({
      command: 'reconstruct', scan: scanPath, out, note, slab: number, of, firstSlice: slab.firstSlice, endSlice: slab.endSlice,
      firstRow: slab.firstRow, endRow: slab.endRow, bytesRead, engine: engineName, doneBy: says, width, height, depth, voxelSize, centre: slab.grid.centre,
      volume: about.volume, beam: 'cone', views: rows.views, columns: rows.columns, rows: geometry.rows, coverage: coverageOf(geometry),
      ...howItWent(scan, undefined).json, least, greatest, seconds, notes, warnings,
    });
  } else {
    process.stdout.write(listing([
      ['result', `${out}, ${width} × ${height} × ${depth} voxels of ${figure(voxelSize)} mm; what it is stands in ${note}`],
      ['slab', `${number} of ${of}: slices ${slab.firstSlice} to ${slab.endSlice - 1} of ${grid.depth}`],
      ['scan', `${scan.title ? `${scan.title}, ` : ''}cone beam, ${rows.views} views, rows ${slab.firstRow} to ${slab.endRow - 1} of ${geometry.rows}; ${inWords(bytesRead)} read`],
      howItWent(scan, undefined).row,
      ['time', `${figure(seconds, 3)} s, engine ${engineName}: ${says}`],
    ]));
  }
  return 0;
}

/** "3/8" → slab 3 of 8. */
function slabNumber(words: string): { number: number; of: number } {
  const [, first, second] = /^(\d+)\/(\d+)$/.exec(words) ?? [];
  const [number, of] = [Number(first), Number(second)];
  if (first === undefined || of > 65536) throw new BadInput(`--slab is ${words}; it has to be two whole numbers with a stroke between, 3/8 for the third of eight slabs.`);
  if (of < 1 || number < 1 || number > of) throw new BadInput(`--slab is ${words}; slabs are counted from 1, so that the first number has to be from 1 to ${Math.max(1, of)}.`);
  return { number, of };
}

/** Where the note about a slab stands: part-3.npy → part-3.json. */
export function noteBeside(path: string): string {
  return `${path.slice(0, path.length - endingOf(path, 'a slab').length)}.json`;
}

interface Wanted { readonly scan: Scan; readonly scanPath: string; readonly words: string; readonly number: number; readonly of: number; readonly signal: AbortSignal }
interface Input {
  readonly rows: Projections;
  readonly slab: Slab;
  /** Of the whole volume, and of the whole detector. */
  readonly grid: VolumeGrid;
  readonly geometry: ConeBeam;
  readonly notes: readonly string[];
  readonly warnings: readonly string[];
  readonly paths: readonly string[];
  readonly bytesRead: number;
}

async function slabInput(wanted: Wanted): Promise<Input> {
  return wanted.scan.frames.kind === 'photographs' ? fromPhotographs(wanted) : fromNumbers(wanted, wanted.scan.frames.file);
}

/** Line integrals: no more is read than the slab needs. */
async function fromNumbers({ scan, scanPath, words, number, of, signal }: Wanted, name: string): Promise<Input> {
  if (scan.detector.axisOffset === undefined) {
    throw new BadInput(`${scanPath}: detector.axisOffset is left out, and the axis is found in whole frames only, which a slab does not read: slices align ${scanPath} says where it is, to be put there.`);
  }
  const path = isAbsolute(name) ? name : join(dirname(scanPath), name);
  if (extname(path).toLowerCase() !== '.npy') throw new BadInput(`${path}: a slab is made of frames in NPY, [view][row from the bottom][column], or of photographs.`);
  const geometry = scanGeometry(scan) as ConeBeam;
  const grid = scanVolumeGrid(scan, geometry);
  const slab = cutSlab(geometry, grid, words, number, of);
  const frames = openFrames(path, [geometry.angles.length, geometry.rows, geometry.detectors]);
  checkRoom(geometry, grid, number, of);
  const { projections, bytesRead } = await frames.rows(slab.firstRow, slab.endRow, scan.detector.mirrored ?? false, { signal, progress: (fraction) => showProgress('Reading rows', fraction) });
  clearProgress();
  return { rows: projections, slab, grid, geometry, notes: [], warnings: warningsAbout(geometry, undefined), paths: [path], bytesRead };
}

/** Photographs: all are developed, whole, because much of it looks at whole frames; the rows are taken then. So the axis can be found, too. */
async function fromPhotographs({ scan, scanPath, words, number, of, signal }: Wanted): Promise<Input> {
  const { projections, geometry: given, notes, paths } = await framesOf(scan, scanPath, signal);
  const { geometry, axis } = await withAxis(scan, projections, given, signal);
  const grid = scanVolumeGrid(scan, geometry);
  const slab = cutSlab(geometry, grid, words, number, of);
  checkRoom(geometry, grid, number, of);
  return { rows: rowsOf(projections, slab), slab, grid, geometry, notes, warnings: warningsAbout(geometry, axis), paths, bytesRead: projections.data.byteLength };
}

function cutSlab(geometry: ConeBeam, grid: VolumeGrid, words: string, number: number, of: number): Slab {
  checkVolumeGrid(grid, Infinity);
  if (of > grid.depth) throw new BadInput(`--slab is ${words}, and the volume has ${grid.depth} slices: it can be cut into ${grid.depth} slabs at most.`);
  const cuts = slabCuts(grid.depth, of);
  return slabOf(geometry, grid, cuts[number - 1], cuts[number]);
}

/** What the filtered frames and the rest take at most beside rows and slab. */
const beside = 200e6;

/** Refuses what will not fit into the memory that is free, with a division that would. */
function checkRoom(geometry: ConeBeam, grid: VolumeGrid, number: number, of: number): void {
  const free = availableMemory();
  const need = (slab: Slab) => ({ rows: 4 * geometry.angles.length * (slab.endRow - slab.firstRow) * geometry.detectors, volume: volumeMemory(slab.grid) });
  const largest = (count: number) => {
    const cuts = slabCuts(grid.depth, count);
    return Math.max(...cuts.slice(1).map((end, k) => { const { rows, volume } = need(slabOf(geometry, grid, cuts[k], end)); return rows + volume + beside; }));
  };
  const cuts = slabCuts(grid.depth, of);
  const { rows, volume } = need(slabOf(geometry, grid, cuts[number - 1], cuts[number]));
  if (rows + volume + beside <= free) return;
  let count = of;
  while (count < grid.depth && largest(count) > free) count = Math.min(grid.depth, 2 * count);
  const instead = largest(count) <= free ? `${count} slabs would fit` : 'no division would fit';
  throw new BadInput(`Slab ${number} of ${of} takes ${inWords(volume)} and its rows of the frames ${inWords(rows)}, and ${inWords(free)} of memory are free here: ${instead}.`);
}
