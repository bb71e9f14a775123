import { dirname, extname, isAbsolute, join } from 'node:path';
import { BadInput, coverage, guessOrientation, readScan, reconstructWith, scanGeometry, scanGrid, scanRecipe, scanSinogram, statistics, turned, writeNpy, writeTiff, type FlatBeam, type Image, type Scan, type Table2D } from '../lib/index.ts';
import type { Command } from './command.ts';
import { engineFor } from './engine.ts';
import { checkOutput, readBytes, readOneTable, writeWhole } from './files.ts';
import { howItWent, withMethod, workOf } from './method.ts';
import { clearProgress, figure, listing, printJson, say, showProgress } from './output.ts';
import { reconstructVolume } from './reconstruct-volume.ts';
import { reconstructSlab } from './slab.ts';

export const reconstruct: Command = {
  name: 'reconstruct',
  summary: 'the slice or the volume that a scan file describes',
  usage: '<scan.json> --out <result.npy|.tif|.nrrd> [--engine auto|gpu|simd|plain] [--method fbp|sirt|os-sart|cgls|tv] [--iterations n] [--strength mm] [--slab k/n] [--json]',
  details: `
The scan file says where the line integrals are, what the beam was and how to reconstruct; src/lib/files/scan.schema.json describes it.
The result is attenuation in 1/mm: NPY float32 [row][column], or TIFF of 32-bit floats; row 0 is the top (+y), x to the right.
A cone beam makes a volume, from photographs or from line integrals: NRRD, a TIFF of one page a slice, or NPY [slice][row][column], the
lowest slice first. Where the scan file leaves out detector.axisOffset, the axis is looked for.
It is there whole or not at all; its folder is made where it is missing. Ctrl+C stops and leaves nothing behind.
  --out         where the result goes; the ending says the kind of file
  --engine      where the heavy loops run: plain, the readable code of the book; simd, WebAssembly on all cores; gpu, a graphics card, where
                the package webgpu is installed; auto, the fastest here by a short measurement. They agree to 1e-5, gpu to 1e-3
  --method      in place of the scan file's: fbp, or by better and better guesses sirt, os-sart, cgls or tv (total variation)
  --iterations  of an iterative method; --strength of tv, mm. Left out, they are chosen to suit
  --slab        3/8: the third of eight slabs of a cone beam's volume, from only the rows that it needs; slices join puts them together`,
  files: ['The scan file'],
  options: ['out', 'engine', 'method', 'iterations', 'strength', 'slab'],
  run: async ({ files: [scanPath], options, json, signal }) => {
    const { out, engine: asked = 'auto' } = options;
    const scan = withMethod(inFile(scanPath, () => readScan(new TextDecoder().decode(readBytes(scanPath)))), options);
    if (out === undefined) throw new BadInput('--out is missing: it says where the result goes, slice.npy or slice.tif, or of a cone beam volume.nrrd.');
    if (options.slab !== undefined) return reconstructSlab({ scan, scanPath, slab: options.slab, out, asked, json, signal });
    if (scan.beam.shape === 'cone' || scan.frames.kind === 'photographs') return reconstructVolume({ scan, scanPath, out, asked, json, signal });
    const encode = encoderFor(out);
    const named = lineIntegralsOf(scan, scanPath);
    const sinogramPath = isAbsolute(named) ? named : join(dirname(scanPath), named);
    const grid = inFile(scanPath, () => scanGrid(scan));
    const recipe = await scanRecipe(scan).catch((error) => { throw withName(scanPath, error); });
    checkOutput(out, [scanPath, sinogramPath]);

    const table = await readOneTable(sinogramPath);
    const geometry = scanGeometry(scan) as FlatBeam;
    const upright = putUpright(scan, table);
    const sinogram = scanSinogram(scan, upright, sinogramPath);
    const notes = notesAbout(table, upright, sinogramPath);
    const warnings = warningsAbout(geometry);
    for (const sentence of [...notes, ...warnings]) say(sentence);

    const engine = await engineFor(asked, workOf(recipe, grid.width * grid.height * sinogram.views), 'slices', signal);
    const begun = performance.now();
    const { picture: image, iterated } = await reconstructWith(engine, sinogram, geometry, grid, recipe, { signal, progress: (fraction) => showProgress('Reconstructing', fraction) });
    const seconds = (performance.now() - begun) / 1000;
    engine.close();
    clearProgress();
    signal.throwIfAborted();
    writeWhole(out, encode(image));

    const { kind, span, needed } = coverage(geometry);
    const { least, greatest, mean } = statistics(image);
    const degrees = (radians: number) => (radians * 180) / Math.PI;
    if (json) {
      printJson({
        command: 'reconstruct', scan: scanPath, out, engine: engine.name, doneBy: engine.says,
        width: image.width, height: image.height, pixelSize: image.pixelSize, centre: image.centre ?? [0, 0],
        beam: geometry.beam, views: sinogram.views, detectors: sinogram.detectors,
        coverage: { kind, span: degrees(span), needed: degrees(needed) },
        ...howItWent(scan, iterated).json, least, greatest, mean, seconds, notes, warnings,
      });
    } else {
      process.stdout.write(listing([
        ['result', `${out}, ${image.width} × ${image.height} pixels of ${figure(image.pixelSize)} mm`],
        ['scan', `${scan.title ? `${scan.title}, ` : ''}${geometry.beam} beam, ${sinogram.views} views of ${sinogram.detectors} cells over ${figure(degrees(span))}° (${kind})`],
        howItWent(scan, iterated).row,
        ['values', scan.reconstruction?.window === 'none' ? `${figure(least)} to ${figure(greatest)}, without unit (unfiltered)` : `${figure(least)} to ${figure(greatest)} 1/mm`],
        ['time', `${figure(seconds, 3)} s, engine ${engine.name}: ${engine.says}`],
      ]));
    }
    return 0;
  },
};

/** What writes the result, by the ending of its name. */
function encoderFor(out: string): (image: Image) => Uint8Array {
  const ending = extname(out).toLowerCase();
  if (ending === '.npy') return ({ height, width, data }) => writeNpy([height, width], data);
  if (ending === '.tif' || ending === '.tiff') {
    return ({ width, height, data, pixelSize }) => writeTiff(width, height, [data], 'float32', `attenuation in 1/mm, pixels of ${pixelSize} mm`);
  }
  if (ending === '.nrrd') throw new BadInput(`${out}: NRRD is for volumes, which a cone beam makes: give the slice a name that ends in .npy or .tif.`);
  throw new BadInput(`${out}: the name of the result must end in .npy or .tif.`);
}

/** Puts the name of the file before the sentence about what is in it. */
function inFile<T>(name: string, read: () => T): T {
  try {
    return read();
  } catch (error) {
    throw withName(name, error);
  }
}

function withName(name: string, error: unknown): unknown {
  return error instanceof BadInput && !error.message.startsWith(name) ? new BadInput(`${name}: ${error.message}`) : error;
}

/** The name of the sinogram. Throws BadInput where the scan is one that cannot be reconstructed yet. */
function lineIntegralsOf(scan: Scan, scanPath: string): string {
  if (scan.frames.kind !== 'line-integrals') throw new BadInput(`${scanPath}: frames.kind is ${JSON.stringify(scan.frames.kind)}, and a slice is made of line integrals.`);
  if ((scan.detector.rows ?? 1) > 1) throw new BadInput(`${scanPath}: detector.rows is ${scan.detector.rows}, and one row of cells makes a slice: describe one row.`);
  return scan.frames.file;
}

/** What was done, or not done, about the way the sinogram lies. */
function notesAbout(table: Table2D, upright: Table2D, name: string): string[] {
  if (upright !== table) return [`Note: ${name} has a view in each column, so it was turned to fit the scan's ${upright.rows} angles.`];
  const { views, sure } = guessOrientation(table);
  if (table.rows !== table.columns || views === 'rows' || sure < 0.8) return [];
  return [`Note: ${name} has as many rows as columns and looks as if its views lay in columns; its rows were taken for the views, so turn it if the slice looks wrong.`];
}

/** Where the scan's angles and cells fit the table only when it is turned, turned it is. */
function putUpright(scan: Scan, table: Table2D): Table2D {
  const views = scanGeometry(scan).angles.length;
  const { columns } = scan.detector;
  const fits = ({ rows, columns: width }: Table2D) => rows === views && width === columns;
  return !fits(table) && table.rows === columns && table.columns === views ? turned(table) : table;
}

function warningsAbout(geometry: FlatBeam): string[] {
  const { kind, span, needed, missing } = coverage(geometry);
  const degrees = (radians: number) => `${figure((radians * 180) / Math.PI, 4)}°`;
  if (kind !== 'incomplete') return [];
  const gap = missing > 0 ? `with gaps of ${degrees(missing)} in all within the ${degrees(span)} that they span` : `they span ${degrees(span)} and ${degrees(needed)} are needed`;
  return [`Warning: the views leave rays out (${gap}), so that the slice is wrong in shape and in value.`];
}
