import { dirname, isAbsolute, join, relative } from 'node:path';
import { BadInput, findAxisSteps, guessOrientation, mostSteps, placeFramesSteps, readScan, run, scanAxis, scanBead, scanGeometry, scanSinogram, turned, writeScan, type Axis, type Geometry, type Placement, type Projections, type Scan, type ScanAxis, type Sinogram } from '../lib/index.ts';
import type { Command } from './command.ts';
import { checkOutput, readBytes, readOneTable, writeWhole } from './files.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';
import { loadPhotographs } from './photographs.ts';
import { framesOf } from './reconstruct-volume.ts';

export const align: Command = {
  name: 'align',
  summary: 'axis offset, tilt, likely lost frames',
  usage: '<scan.json> [--steps 45] [--fix 12=14,20=25 | --bead 20] [--out aligned.scan.json] [--json]',
  details: `
Finds where the rotation axis falls on the detector and how it leans, and, where the scan is in equal steps of which a whole turn has
more than there are frames, which steps are missing. The frames are in order; nothing can tell by how much the whole is turned, so the
first one keeps the angle that the scan file gives it. How sure is a chance: how far the best way stands out among all that were tried.
Angles that are listed one by one are checked against the frames in the same way where they are multiples of one step.
  --steps    how many equal steps the turn had, where the scan file's step does not tell
  --fix      overrules: frame 12 is step 14, frame 20 is step 25, both counted from 0; the others are found between them
  --bead     the frames show one small dense bead that goes round this many mm from the axis, above or below the plane of the source, and
             nothing else as dense: its path tells the magnification (with the scan file's sourceToAxis), the axis and the tilt
  --out      the scan file once more, with what was found filled in`,
  files: ['The scan file'],
  options: ['steps', 'fix', 'bead', 'out'],
  run: async ({ files: [scanPath], options, json, signal }) => {
    const scan = inFile(scanPath!, () => readScan(new TextDecoder().decode(readBytes(scanPath!))));
    if (options.bead !== undefined) return alignBead({ scan, scanPath: scanPath!, options, json, signal });
    const whole = turnOf(scan, options.steps);
    const count = 'list' in scan.angles ? scan.angles.list.length : scan.angles.count;
    const tooMany = whole !== undefined && options.steps === undefined && Math.round((2 * Math.PI) / Math.abs(whole.step)) > mostSteps;
    const turn = tooMany ? undefined : whole;
    const fixed = fixedFrames(options.fix);
    if (fixed.length > 0 && !turn) throw new BadInput('--fix says at which step a frame stands, and the scan is not in equal steps of a whole turn: say how many there were with --steps.');
    if (options.out !== undefined) checkOutput(options.out, [scanPath!]);
    const { frames, geometry, notes: read } = await load(scan, scanPath!, signal);
    const notes = tooMany && count < whole!.steps && !whole!.listed ? [...read, `Note: a turn of ${whole!.steps} steps is too fine to look for the ${whole!.steps - count} frames that are missing (at most ${mostSteps} steps a turn); the angles are taken as the scan file has them.`] : read;

    const begun = performance.now();
    const work = (what: string) => ({ signal, progress: (fraction: number) => showProgress(what, fraction) });
    let placement: Placement | undefined;
    let axis: Axis;
    if (turn) {
      const { angles: _, ...beam } = geometry;
      placement = await run(placeFramesSteps(frames, beam as Parameters<typeof placeFramesSteps>[1], { steps: turn.steps, step: turn.step, fixed }), work('Placing the frames'));
      axis = placement.axis!;
    } else {
      axis = await run(findAxisSteps(frames, geometry), work('Looking for the axis'));
    }
    clearProgress();
    signal.throwIfAborted();
    const seconds = (performance.now() - begun) / 1000;

    const found = scanAxis(scan, geometry, axis);
    const angles = placement && turn ? anglesInScan(scan, turn, placement) : undefined;
    const asListed = placement && turn?.listed ? agreesWith(turn.listed, placement.steps, turn.steps) : undefined;
    const warnings = warningsAbout(axis, placement, asListed);
    for (const sentence of [...notes, ...warnings]) say(sentence);
    const aligned: Scan = {
      ...scan,
      detector: { ...scan.detector, axisOffset: found.offset, ...(scan.beam.shape === 'cone' ? { tilt: found.tilt } : {}) },
      ...(angles && placement!.lost.length > 0 ? { angles: { list: angles } } : {}),
    };
    if (options.out !== undefined) writeScanTo(options.out, aligned, scanPath!);

    if (json) {
      printJson({
        command: 'align', scan: scanPath, beam: geometry.beam, views: frames.views,
        axis: { offset: found.offset, pixels: found.pixels, tilt: found.tilt, deviation: found.deviation, sure: axis.sure, how: axis.how, misfit: axis.misfit },
        ...(placement && turn
          ? {
              frames: {
                steps: turn.steps, step: turn.degrees, lost: placement.lost, of: placement.steps, sure: placement.sure, sureOfFrame: placement.sureOfFrame,
                ...(placement.next ? { next: placement.next } : {}), ...(asListed === undefined ? {} : { asListed }),
                duplicates: placement.duplicates, moved: placement.moved, surprises: placement.surprises, fixed,
              },
              angles,
            }
          : {}),
        ...(options.out === undefined ? {} : { out: options.out }), seconds, notes, warnings,
      });
    } else {
      process.stdout.write(inWords(scan, frames.views, axis, found, turn, placement, asListed, angles, options.out, seconds));
    }
    return 0;
  },
};

/** Equal steps of a whole turn (or, in a parallel beam, half a one), by the scan file or by --steps. */
interface Turn {
  readonly steps: number;
  /** Radians, + counter-clockwise. */
  readonly step: number;
  /** The same as the scan file counts it. */
  readonly degrees: number;
  /** The step of each frame, where the file lists its angles one by one. */
  readonly listed?: readonly number[];
}

function turnOf(scan: Scan, asked: string | undefined): Turn | undefined {
  const { angles, beam, turn } = scan;
  const sign = turn === 'clockwise' ? -1 : 1;
  const whole = (steps: number, degrees: number, listed?: readonly number[]): Turn => ({ steps, step: (sign * degrees * Math.PI) / 180, degrees, ...(listed ? { listed } : {}) });
  const count = 'list' in angles ? angles.list.length : angles.count;
  if (asked !== undefined) {
    const steps = Number(asked);
    if (!Number.isInteger(steps) || steps < 8) throw new BadInput(`--steps is ${asked}: it should be the number of equal steps in the turn, a whole number from 8.`);
    const half = beam.shape === 'parallel' && !('list' in angles) && Math.abs(Math.abs(angles.step) * steps - 180) < 0.1;
    return whole(steps, ('list' in angles ? 1 : Math.sign(angles.step)) * ((half ? 180 : 360) / steps));
  }
  if (!('list' in angles)) {
    for (const round of beam.shape === 'parallel' ? [180, 360] : [360]) {
      const steps = Math.round(round / Math.abs(angles.step));
      if (Math.abs(steps * Math.abs(angles.step) - round) < 0.01 && count <= steps && steps - count <= steps / 4) return whole(steps, Math.sign(angles.step) * (round / steps));
    }
    return undefined;
  }
  // A list: rising (or falling) multiples of its smallest difference, once round.
  const differences = angles.list.slice(1).map((angle, i) => angle - angles.list[i]!);
  const smallest = Math.min(...differences.map(Math.abs));
  const steps = Math.round(360 / smallest);
  const direction = Math.sign(differences[0] ?? 0);
  const listed = angles.list.map((angle) => Math.round((direction * (angle - angles.list[0]!) * steps) / 360));
  const fits = angles.list.every((angle, i) => Math.abs(direction * (angle - angles.list[0]!) - (listed[i]! * 360) / steps) < 0.01);
  if (!(smallest > 0) || !differences.every((each) => Math.sign(each) === direction) || !fits || listed.at(-1)! >= steps || steps - count > steps / 4) return undefined;
  return whole(steps, (direction * 360) / steps, listed);
}

function fixedFrames(words: string | undefined): [number, number][] {
  if (words === undefined) return [];
  return words.split(',').map((word) => {
    const match = /^\s*(\d+)\s*=\s*(\d+)\s*$/.exec(word);
    if (!match) throw new BadInput(`--fix has ${JSON.stringify(word)}: it should name frames and their steps, counted from 0, as 12=14,20=25.`);
    return [Number(match[1]), Number(match[2])];
  });
}

async function load(scan: Scan, scanPath: string, signal: AbortSignal): Promise<{ frames: Projections | Sinogram; geometry: Geometry; notes: readonly string[] }> {
  if (scan.beam.shape === 'cone') {
    const { projections, geometry, notes } = await framesOf(scan, scanPath, signal);
    return { frames: projections, geometry, notes };
  }
  if (scan.frames.kind === 'photographs') {
    const { projections, geometry, report } = await loadPhotographs(scan, scanPath, {}, { signal, progress: (fraction) => showProgress('Reading photographs', fraction) });
    clearProgress();
    if (projections.rows > 1) throw new BadInput(`${scanPath}: beam.shape is ${JSON.stringify(scan.beam.shape)} and the photographs have ${projections.rows} working rows: many rows are a cone beam ("cone"), and a fan's photographs are cropped to one.`);
    return { frames: projections, geometry, notes: report.warnings.map(({ says }) => `Warning: ${says}`) };
  }
  const path = isAbsolute(scan.frames.file) ? scan.frames.file : join(dirname(scanPath), scan.frames.file);
  const table = await readOneTable(path);
  const geometry = scanGeometry(scan);
  const onItsSide = table.rows !== geometry.angles.length && table.columns === geometry.angles.length && table.rows === geometry.detectors && guessOrientation(table).views === 'columns';
  return { frames: scanSinogram(scan, onItsSide ? turned(table) : table, path), geometry, notes: onItsSide ? [`Note: ${path} has a view in each column, so it was turned to fit the scan's ${geometry.angles.length} angles.`] : [] };
}

function anglesInScan({ angles }: Scan, { degrees }: Turn, { steps }: Placement): number[] {
  const start = 'list' in angles ? angles.list[0]! : (angles.start ?? 0);
  return steps.map((step) => Number((start + step * degrees).toFixed(6)));
}

/** Whether the frames stand where the list has them, up to a common turn. */
function agreesWith(listed: readonly number[], steps: readonly number[], round: number): boolean {
  return steps.every((step, i) => (((step - listed[i]! - steps[0]! + listed[0]!) % round) + round) % round === 0);
}

/** What a bead of known path tells, instead of what the object itself does. */
async function alignBead({ scan, scanPath, options, json, signal }: { scan: Scan; scanPath: string; options: Readonly<Record<string, string | undefined>>; json: boolean; signal: AbortSignal }): Promise<number> {
  const radius = Number(options.bead);
  if (!(radius > 0)) throw new BadInput(`--bead is ${options.bead}: it should be the bead's distance from the rotation axis, a number of mm above 0.`);
  const { beam } = scan;
  if (beam.shape !== 'cone') throw new BadInput(`${scanPath}: beam.shape is ${JSON.stringify(beam.shape)}; the path of a bead is seen in a cone beam ("cone").`);
  if (options.steps !== undefined || options.fix !== undefined) throw new BadInput('--bead is given with --steps or --fix: missing frames are looked for in a scan of the object, without --bead.');
  if (options.out !== undefined) checkOutput(options.out, [scanPath]);
  const begun = performance.now();
  const { projections, geometry, notes } = await framesOf(withoutMedians(scan), scanPath, signal);
  const bead = scanBead(scan, geometry, projections, radius);
  const seconds = (performance.now() - begun) / 1000;
  const found: Scan = { ...scan, beam: { ...beam, sourceToDetector: bead.sourceToDetector }, detector: { ...scan.detector, axisOffset: bead.offset, tilt: bead.tilt } };
  const warnings = bead.byFlatness !== undefined && Math.abs(bead.byFlatness / beam.sourceToAxis - 1) > 0.1
    ? [`Warning: by how flat its path is, the source would stand ${figure(bead.byFlatness)} mm from the axis, and the scan file says ${figure(beam.sourceToAxis)} mm: measure that distance again, and the bead's.`]
    : [];
  for (const sentence of [...notes, ...warnings]) say(sentence);
  if (options.out !== undefined) writeScanTo(options.out, found, scanPath);
  if (json) {
    printJson({ command: 'align', scan: scanPath, beam: 'cone', views: projections.views, bead: { radius, ...bead }, ...(options.out === undefined ? {} : { out: options.out }), seconds, notes, warnings });
    return 0;
  }
  process.stdout.write(listing([
    ['scan', `${scan.title ? `${scan.title}, ` : ''}cone beam, ${projections.views} frames of a bead ${figure(radius)} mm from the axis`],
    ['magnification', `${figure(bead.magnification, 5)}, as it was ${figure(beam.sourceToDetector / beam.sourceToAxis, 5)} by the scan file's distances`],
    ['axis offset', `${figure(bead.offset, 4)} mm, or ${figure(Math.abs(bead.pixels), 4)} cells ${bead.offset < 0 ? 'to lower columns' : 'to higher columns'} from the middle`],
    ['tilt', `${figure(bead.tilt, 3)}°`],
    ['track', `an ellipse to ${figure(bead.rms, 2)} mm, root mean square${bead.byFlatness === undefined ? '; too flat to tell how far the source is' : `; by its flatness the source is ${figure(bead.byFlatness, 3)} mm from the axis`}`],
    ['for the scan', `"sourceToDetector": ${bead.sourceToDetector}, "axisOffset": ${bead.offset}, "tilt": ${bead.tilt}`],
    ...(options.out === undefined ? [] : [['written', options.out] as [string, string]]),
    ['time', `${figure(seconds, 3)} s`],
  ]));
  return 0;
}

/** A small bead is itself what these two steps take away. */
function withoutMedians(scan: Scan): Scan {
  const { frames } = scan;
  return frames.kind === 'photographs' ? { ...scan, frames: { ...frames, without: [...new Set([...(frames.without ?? []), 'spots' as const, 'rings' as const])] } } : scan;
}

const writeScanTo = (path: string, scan: Scan, from: string) => writeWhole(path, new TextEncoder().encode(writeScan(moved(scan, from, path))));

/** The same scan file for another folder: its relative paths still lead to the frames. */
function moved(scan: Scan, from: string, to: string): Scan {
  const path = (name: string) => (isAbsolute(name) || dirname(from) === dirname(to) ? name : relative(dirname(to), join(dirname(from), name)).replaceAll('\\', '/'));
  const { frames } = scan;
  if (frames.kind === 'line-integrals') return { ...scan, frames: { ...frames, file: path(frames.file) } };
  return { ...scan, frames: { ...frames, files: frames.files.map(path), ...(frames.dark ? { dark: frames.dark.map(path) } : {}), ...(frames.flat ? { flat: frames.flat.map(path) } : {}) } };
}

function warningsAbout(axis: Axis, placement: Placement | undefined, asListed: boolean | undefined): string[] {
  const warnings: string[] = [];
  const list = (frames: readonly number[]) => `${frames.length === 1 ? 'Frame' : 'Frames'} ${frames.join(', ')} (counted from 0)`;
  if (axis.sure < 0.9) warnings.push('Warning: the axis is not well determined by these frames; try a few offsets about it and keep the one whose slice is sharpest.');
  if (!placement) return warnings;
  if (placement.sure < 0.9) warnings.push(`Warning: another way to place the frames fits nearly as well (chance ${percent(placement.next?.sure ?? 0)}): compare the slices of both, and fix what you know with --fix.`);
  if (asListed === false) warnings.push('Warning: the frames do not fit the angles that the scan file lists; they fit those given here better.');
  for (const { frame, of } of placement.duplicates) warnings.push(`Warning: frame ${frame} repeats frame ${of} (counted from 0), and is given the same angle: leave one of them out.`);
  if (placement.moved.length > 0) warnings.push(`Warning: ${list(placement.moved).replace('F', 'f')} look as if the stage moved while they were taken: leave them out.`);
  const odd = placement.surprises.map((_, frame) => frame).filter((frame) => placement.surprises[frame]! > 2.5 && !placement.moved.includes(frame));
  if (odd.length > 0) warnings.push(`Warning: ${list(odd).replace('F', 'f')} fit badly with all the others: look at them.`);
  return warnings;
}

const percent = (chance: number) => (chance > 0.9995 ? 'over 99.9 %' : chance < 0.0005 ? 'under 0.1 %' : `${figure(100 * chance, 3)} %`);

function inWords(scan: Scan, views: number, axis: Axis, found: ScanAxis, turn: Turn | undefined, placement: Placement | undefined, asListed: boolean | undefined, angles: readonly number[] | undefined, out: string | undefined, seconds: number): string {
  const side = found.offset < 0 ? 'to lower columns' : 'to higher columns';
  const rows: [string, string][] = [
    ['scan', `${scan.title ? `${scan.title}, ` : ''}${scan.beam.shape} beam, ${views} frames`],
    ['axis offset', `${figure(found.offset, 4)} mm ± ${figure(found.deviation.offset, 2)}, or ${figure(Math.abs(found.pixels), 4)} cells ${side} from the middle; from ${axis.how}`],
  ];
  if (scan.beam.shape === 'cone') rows.push(['tilt', `${figure(found.tilt, 3)}° ± ${figure(found.deviation.tilt, 2)}°`]);
  if (placement && turn) {
    const { lost, sure, next } = placement;
    rows.push(['frames', `${views} of ${turn.steps} steps of ${figure(Math.abs(turn.degrees), 6)}°; ${lost.length === 0 ? 'none is missing' : `missing: ${lost.join(', ')} (counted from 0)`}${asListed ? ', as the scan file has it' : ''}`]);
    if (lost.length > 0) rows.push(['sure', percent(sure)]);
    if (next && next.sure >= 0.0005) rows.push(['next best', `missing: ${next.lost.join(', ')}; chance ${percent(next.sure)}`]);
  }
  rows.push(['for the scan', `"axisOffset": ${found.offset}${scan.beam.shape === 'cone' ? `, "tilt": ${found.tilt}` : ''}${angles && placement!.lost.length > 0 && !asListed ? `, "angles": {"list": [${angles.join(', ')}]}` : ''}`]);
  if (out !== undefined) rows.push(['written', out]);
  rows.push(['time', `${figure(seconds, 3)} s`]);
  return listing(rows);
}

/** Puts the name of the file before the sentence about what is in it. */
function inFile<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    throw error instanceof BadInput && !error.message.startsWith(name) ? new BadInput(`${name}: ${error.message}`) : error;
  }
}
