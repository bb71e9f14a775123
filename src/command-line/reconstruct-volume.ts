import { dirname, extname, isAbsolute, join } from 'node:path';
import { BadInput, checkMemory, checkVolumeGrid, coverage, findAxisSteps, reconstructWith, run, scanGeometry, scanRecipe, scanVolumeGrid, type ConeBeam, type Projections, type Scan } from '../lib/index.ts';
import { engineFor } from './engine.ts';
import { checkOutput } from './files.ts';
import { openFrames } from './frame-rows.ts';
import { howItWent, workOf } from './method.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';
import { loadPhotographs } from './photographs.ts';
import { endingOf, layoutFor, writeVolume } from './volume-file.ts';

interface Task {
  readonly scan: Scan;
  readonly scanPath: string;
  readonly out: string;
  /** The engine. */
  readonly asked: string;
  readonly json: boolean;
  readonly signal: AbortSignal;
}

/** The volume of a cone-beam scan, from photographs or from line integrals; an axis that the scan file leaves out is looked for. */
export async function reconstructVolume({ scan, scanPath, out, asked, json, signal }: Task): Promise<number> {
  endingOf(out);
  if (scan.beam.shape !== 'cone') throw new BadInput(`${scanPath}: beam.shape is ${JSON.stringify(scan.beam.shape)}, and a volume is made of a cone beam ("cone"); a slice is made of line integrals with one row of cells.`);
  const recipe = await recipeOf(scan, scanPath);
  checkOutput(out, [scanPath]);
  const begun = performance.now();
  const { projections, geometry: given, notes, paths } = await framesOf(scan, scanPath, signal);
  checkOutput(out, paths);
  const { geometry, axis } = await withAxis(scan, projections, given, signal);
  const grid = scanVolumeGrid(scan, geometry);
  checkVolumeGrid(grid);
  const layout = layoutFor(out, grid, scan.title);
  const warnings = warningsAbout(geometry, axis);
  for (const sentence of [...notes, ...warnings]) say(sentence);

  const engine = await engineFor(asked, workOf(recipe, grid.width * grid.height * grid.depth * projections.views), 'volumes', signal);
  const { picture: volume, iterated } = await reconstructWith(engine, projections, geometry, grid, recipe, { signal, progress: (fraction) => showProgress('Reconstructing', fraction) });
  const seconds = (performance.now() - begun) / 1000;
  engine.close();
  clearProgress();
  signal.throwIfAborted();
  await writeVolume(out, volume, layout);

  const { least, greatest } = extremes(volume.data);
  const degrees = (radians: number) => (radians * 180) / Math.PI;
  const { width, height, depth, voxelSize } = volume;
  if (json) {
    printJson({
      command: 'reconstruct', scan: scanPath, out, engine: engine.name, doneBy: engine.says, width, height, depth, voxelSize, centre: grid.centre ?? [0, 0, 0],
      beam: 'cone', views: projections.views, columns: projections.columns, rows: projections.rows,
      axis: { offset: geometry.axisOffset, pixels: geometry.axisOffset / geometry.pitch, tilt: degrees(geometry.tilt), found: axis !== undefined },
      coverage: coverageOf(geometry), ...howItWent(scan, iterated).json, least, greatest, seconds, notes, warnings,
    });
  } else {
    process.stdout.write(listing([
      ['result', `${out}, ${width} × ${height} × ${depth} voxels of ${figure(voxelSize)} mm`],
      ['scan', `${scan.title ? `${scan.title}, ` : ''}cone beam, ${projections.views} views of ${projections.columns} × ${projections.rows} cells`],
      ['axis', `${figure(geometry.axisOffset)} mm from the middle (${figure(geometry.axisOffset / geometry.pitch)} cells), leaning ${figure(degrees(geometry.tilt))}°${axis ? `; found from ${axis.how}` : ''}`],
      howItWent(scan, iterated).row,
      ['values', scan.reconstruction?.window === 'none' ? `${figure(least)} to ${figure(greatest)}, without unit (unfiltered)` : `${figure(least)} to ${figure(greatest)} 1/mm`],
      ['time', `${figure(seconds, 3)} s, engine ${engine.name}: ${engine.says}`],
    ]));
  }
  return 0;
}

export async function recipeOf(scan: Scan, scanPath: string) {
  try {
    return await scanRecipe(scan);
  } catch (error) {
    throw error instanceof BadInput ? new BadInput(`${scanPath}: ${error.message}`) : error;
  }
}

interface Frames { readonly projections: Projections; readonly geometry: ConeBeam; readonly notes: readonly string[]; readonly paths: readonly string[] }

/** The line integrals: out of the photographs, with what was noticed on the way, or out of a file of numbers [view][row from the bottom][column]. */
export async function framesOf(scan: Scan, scanPath: string, signal: AbortSignal): Promise<Frames> {
  const { frames } = scan;
  if (frames.kind === 'photographs') {
    const { projections, report, geometry, paths } = await loadPhotographs(scan, scanPath, {}, { signal, progress: (fraction) => showProgress('Reading photographs', fraction) });
    clearProgress();
    return { projections, geometry: geometry as ConeBeam, paths, notes: [...report.steps.filter(({ done }) => done).map(({ says }) => says), ...report.warnings.map(({ says }) => `Warning: ${says}`)] };
  }
  const path = isAbsolute(frames.file) ? frames.file : join(dirname(scanPath), frames.file);
  const geometry = scanGeometry(scan) as ConeBeam;
  const wanted = [geometry.angles.length, geometry.rows, geometry.detectors] as const;
  if (extname(path).toLowerCase() !== '.npy') throw new BadInput(`${path}: the frames of a cone beam are read from NPY, ${wanted.join(' × ')} numbers: view, row from the bottom, column.`);
  const file = openFrames(path, wanted);
  checkMemory(file.header.count, `${path}, ${file.header.inWords},`);
  const { projections } = await file.rows(0, geometry.rows, scan.detector.mirrored ?? false, { signal, progress: (fraction) => showProgress('Reading frames', fraction) });
  clearProgress();
  return { projections, geometry, notes: [], paths: [path] };
}

type Found = Awaited<ReturnType<typeof seekAxis>>;

export async function withAxis(scan: Scan, projections: Projections, geometry: ConeBeam, signal: AbortSignal): Promise<{ geometry: ConeBeam; axis?: Found }> {
  if (scan.detector.axisOffset !== undefined) return { geometry };
  const axis = await seekAxis(projections, geometry, signal);
  return { axis, geometry: { ...geometry, axisOffset: axis.axisOffset, tilt: scan.detector.tilt === undefined ? axis.tilt : geometry.tilt } };
}

async function seekAxis(projections: Projections, geometry: ConeBeam, signal: AbortSignal) {
  const axis = await run(findAxisSteps(projections, geometry), { signal, progress: (fraction) => showProgress('Looking for the axis', fraction) });
  clearProgress();
  return axis;
}

export function warningsAbout(geometry: ConeBeam, axis: Found | undefined): string[] {
  const { kind, span, needed } = coverageOf(geometry);
  return [
    ...(kind === 'incomplete' ? [`Warning: the views span ${figure(span)}° and leave rays out (${figure(needed)}° without gaps are needed), so that the volume is wrong in shape and in value.`] : []),
    ...(axis && axis.sure < 0.9 ? [`Warning: the axis was looked for and is not sure (${Math.round(100 * axis.sure)} %): set detector.axisOffset if the picture has double edges.`] : []),
  ];
}

export function coverageOf(geometry: ConeBeam) {
  const { rows, rowOffset, tilt, ...fan } = geometry;
  const { kind, span, needed } = coverage({ ...fan, beam: 'fan' });
  return { kind, span: (span * 180) / Math.PI, needed: (needed * 180) / Math.PI };
}

export function extremes(data: Float32Array): { least: number; greatest: number } {
  let least = Infinity, greatest = -Infinity;
  for (const value of data) {
    if (value < least) least = value;
    if (value > greatest) greatest = value;
  }
  return { least, greatest };
}
