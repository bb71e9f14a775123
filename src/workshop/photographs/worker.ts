/** The darkroom of photographs: opens them one at a time, turns their light into line integrals, finds axis and steps, makes the volume. */
import {
  BadInput, binFrame, curveFromExposures, findAxisSteps, isJpeg, isZip, jpegHeader, scanBead, lineIntegralsFrom, photographOf, placeFramesSteps, readPhotograph, reconstructWith, residualsSteps, run, scanAxis, scanRecipe, usualIterations,
  scanGeometry, scanPhotoOptions, scanVolumeGrid, checkVolumeGrid, unpackZip, workingGeometry,
  type Channel, type ColourPixels, type ConeBeam, type CurveReport, type ExposedPhotograph, type LineIntegrals, type Photograph, type Placement, type Scan, type ScanBead, type Volume, type Work,
} from '../../lib/index.ts';
import { workshopEngine } from '../engine.ts';
import { howItWent } from '../method.ts';
import { serveRoom } from '../room.ts';
import { isFull, keepVolume } from './keep.ts';
import type { Checked, Developed, FoundAxis, FoundSteps } from './results.ts';

/** All that the line integrals are made from. */
export interface Source {
  readonly key: string;
  readonly scan: Scan;
  readonly views: readonly Blob[];
  readonly dark: readonly Blob[];
  readonly flat: readonly Blob[];
}

export type Order =
  | { readonly kind: 'open'; readonly name: string; readonly file: Blob; readonly channel: Channel }
  | { readonly kind: 'unpack'; readonly name: string; readonly file: Blob }
  | { readonly kind: 'curve'; readonly series: readonly { readonly name: string; readonly file: Blob; readonly seconds: number }[]; readonly channel: Channel }
  | { readonly kind: 'develop'; readonly source: Source }
  | { readonly kind: 'frame'; readonly source: Source; readonly view: number }
  | { readonly kind: 'stored'; readonly name: string; readonly file: Blob; readonly channel: Channel; readonly bin: number }
  | { readonly kind: 'axis'; readonly source: Source; readonly key: string }
  /** Photographs of a bead, at even steps of one turn, by the scan file's light; radius in mm. */
  | { readonly kind: 'bead'; readonly source: Source; readonly radius: number }
  | { readonly kind: 'steps'; readonly source: Source; readonly key: string; readonly count: number; readonly step: number; readonly fixed: readonly (readonly [number, number])[] }
  | { readonly kind: 'volume'; readonly source: Source; readonly roll: string }
  | { readonly kind: 'check'; readonly source: Source; readonly key: string; readonly turn?: { readonly count: number; readonly step: number; readonly steps: readonly number[] } };

/** What a photograph is like, and a small picture of it. */
export interface Opened {
  readonly width: number;
  readonly height: number;
  readonly saturated: number;
  readonly encoding: Photograph['encoding'];
  readonly thumb: Blob;
}

export interface Grey { readonly width: number; readonly height: number; readonly data: Float32Array }

export interface Results {
  open: Opened;
  unpack: { name: string; file: Blob }[];
  curve: CurveReport;
  develop: Omit<Developed, 'seconds'>;
  /** Line integrals of one view, row 0 at the top. */
  frame: Grey;
  /** A photograph as it is stored, shares of full scale, binned. */
  stored: Grey;
  axis: FoundAxis;
  bead: ScanBead;
  steps: FoundSteps;
  /** unkept: why the volume could not be kept in this browser. */
  volume: { readonly volume: Volume; /** Who made it and how it went. */ readonly how: string; readonly unkept?: 'full' | 'refused' };
  check: Checked;
}

serveRoom<Order>(async (order, work) => {
  switch (order.kind) {
    case 'open': return { result: await opened(order) };
    case 'unpack': return { result: await unpacked(order, work) };
    case 'curve': return { result: await curveOf(order) };
    case 'develop': {
      const { report, projections: { columns, rows } } = await developed(order.source, work);
      const { steps, warnings, exposure, saturated, bytes } = report;
      return { result: { key: order.source.key, steps, warnings, exposure, saturated, bytes, columns, rows } satisfies Results['develop'] };
    }
    case 'frame': return { result: frameOf((await developed(order.source, work)).projections, order.view) };
    case 'stored': {
      const { width, height, data } = binFrame(await photograph(order.file, order.name, order.channel), order.bin);
      return { result: { width, height, data } satisfies Grey, transfer: [data.buffer as ArrayBuffer] };
    }
    case 'axis': return { result: await foundAxis(order.source, order.key, work) };
    case 'bead': return { result: await followedBead(order.source, order.radius, work) };
    case 'steps': return { result: await foundSteps(order, work) };
    case 'volume': {
      const { volume, how } = await made(order.source, work);
      work.signal.throwIfAborted();
      // Kept from here: copying it would hold up the page.
      const unkept = await keepVolume(order.roll, volume).then(() => undefined, (error) => (isFull(error) ? 'full' : 'refused') as 'full' | 'refused');
      return { result: { volume, how, ...(unkept ? { unkept } : {}) } satisfies Results['volume'], transfer: [volume.data.buffer as ArrayBuffer] };
    }
    case 'check': return { result: await checked(order, work) };
  }
});

/** A JPEG of more pixels than this is decoded by the browser, which is ten times as fast; smaller ones as the command line does, to the same values. */
const largePicture = 2e6;

async function photograph(file: Blob, name: string, channel: Channel): Promise<Photograph> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  if (isJpeg(bytes)) {
    try {
      const { width, height } = jpegHeader(bytes);
      if (width * height > largePicture) return photographOf(await decode(bytes), { channel });
    } catch {
      // Whatever it is, our own reader says it in a sentence.
    }
  }
  return readPhotograph(bytes, name, { channel, decode });
}

/** The browser's own decoder: upright by the file's own word, values as they are stored. */
async function decode(bytes: Uint8Array): Promise<ColourPixels> {
  const bitmap = await createImageBitmap(new Blob([bytes as Uint8Array<ArrayBuffer>]), { colorSpaceConversion: 'none', premultiplyAlpha: 'none' });
  const { width, height } = bitmap;
  const context = new OffscreenCanvas(width, height).getContext('2d', { willReadFrequently: true })!;
  context.drawImage(bitmap, 0, 0);
  bitmap.close();
  return { width, height, data: context.getImageData(0, 0, width, height).data };
}

const thumbWidth = 144;

async function opened({ file, name, channel }: Order & { kind: 'open' }): Promise<Opened> {
  const picture = await photograph(file, name, channel);
  const { width, height, saturated, encoding } = picture;
  const small = binFrame(picture, Math.max(1, Math.round(Math.min(width / thumbWidth, height))));
  const canvas = new OffscreenCanvas(small.width, small.height);
  const context = canvas.getContext('2d')!;
  const pixels = context.createImageData(small.width, small.height);
  for (let i = 0; i < small.data.length; i++) {
    const grey = Math.min(255, 255 * small.data[i]);
    pixels.data.set([grey, grey, grey, 255], 4 * i);
  }
  context.putImageData(pixels, 0, 0);
  return { width, height, saturated: saturated / (width * height), encoding, thumb: await canvas.convertToBlob({ type: 'image/jpeg', quality: 0.8 }) };
}

async function curveOf({ series, channel }: Order & { kind: 'curve' }): Promise<CurveReport> {
  const exposed: ExposedPhotograph[] = [];
  for (const { name, file, seconds } of series) exposed.push({ photograph: await photograph(file, name, channel), seconds });
  return curveFromExposures(exposed);
}

async function unpacked({ name, file }: Order & { kind: 'unpack' }, { signal, progress }: Required<Work>): Promise<Results['unpack']> {
  if (file.size > 2e9) throw new BadInput(`${name} has ${(file.size / 1e9).toFixed(1)} GB: a ZIP of at most 2 GB is unpacked here; choose its folder instead.`);
  const bytes = new Uint8Array(await file.arrayBuffer());
  if (!isZip(bytes)) throw new BadInput(`${name} is not a ZIP archive, whatever its name says.`);
  const files: Results['unpack'] = [];
  try {
    const entries = unpackZip(bytes);
    for (const [k, entry] of entries.entries()) {
      signal.throwIfAborted();
      files.push({ name: entry.name, file: new Blob([(await entry.read()) as Uint8Array<ArrayBuffer>]) });
      progress((k + 1) / entries.length);
    }
  } catch (error) {
    throw error instanceof BadInput ? new BadInput(`${name}: ${error.message}`) : error;
  }
  return files;
}

interface Last extends LineIntegrals { readonly key: string; readonly geometry: (scan: Scan) => ConeBeam }
let last: Last | undefined;

/** The line integrals of this source: those at hand, or made now. Only one set is held at a time. */
async function developed(source: Source, work: Work): Promise<Last> {
  if (last?.key === source.key) return last;
  last = undefined;
  return (last = await integralsOf(source, work));
}

async function integralsOf(source: Source, work: Work): Promise<Last> {
  const { scan } = source;
  const { frames } = scan;
  if (frames.kind !== 'photographs') throw new RangeError('a roll is of photographs');
  const channel = frames.channel ?? 'green';
  const of = (files: readonly Blob[], names: readonly string[] = []) => ({ count: files.length, frame: (k: number) => photograph(files[k], names[k], channel), name: (k: number) => names[k] });
  const options = scanPhotoOptions(scan);
  const { columns: width, rows: height = 1 } = scan.detector;
  const integrals = await lineIntegralsFrom({ views: of(source.views, frames.files), dark: of(source.dark, frames.dark), flat: of(source.flat, frames.flat) }, options, work);
  return { ...integrals, key: source.key, geometry: (now) => workingGeometry(scanGeometry(now) as ConeBeam, { width, height }, options) };
}

/** Part of the progress. */
const within = ({ signal, progress }: Work, from: number, to: number): Work => ({ ...(signal ? { signal } : {}), progress: (fraction) => progress?.(from + (to - from) * fraction) });
/** How much of the way the line integrals are, where they have to be made first. */
const making = (source: Source) => (last?.key === source.key ? 0 : 0.7);

function frameOf({ rows, columns, data }: LineIntegrals['projections'], view: number): Grey {
  const frame = new Float32Array(rows * columns);
  for (let row = 0; row < rows; row++) frame.set(data.subarray((view * rows + row) * columns, (view * rows + row + 1) * columns), (rows - 1 - row) * columns);
  return { width: columns, height: rows, data: frame };
}

async function foundAxis(source: Source, key: string, work: Work): Promise<FoundAxis> {
  const share = making(source);
  const { projections, geometry } = await developed(source, within(work, 0, share));
  const working = geometry(source.scan);
  const axis = await run(findAxisSteps(projections, working), within(work, share, 1));
  return { key, axis: scanAxis(source.scan, working, axis), sure: axis.sure, how: axis.how };
}

/** Beside the line integrals of the roll, which stay at hand. */
async function followedBead(source: Source, radius: number, work: Work): Promise<ScanBead> {
  const { projections, geometry } = await integralsOf(source, work);
  const working = geometry(source.scan);
  if (projections.columns !== working.detectors || projections.rows !== working.rows) throw new BadInput(`The bead's photographs make frames of ${projections.columns} × ${projections.rows} cells and those of the scan ${working.detectors} × ${working.rows}: take them with the same camera, unmoved, and the same settings.`);
  return scanBead(source.scan, working, projections, radius);
}

async function foundSteps({ source, key, count, step, fixed }: Order & { kind: 'steps' }, work: Work): Promise<FoundSteps> {
  const share = 0.5 * making(source);
  const { projections, geometry } = await developed(source, within(work, 0, share));
  const { angles: _, ...beam } = geometry(source.scan);
  const found: Placement = await run(placeFramesSteps(projections, beam, { steps: count, step, fixed }), within(work, share, 1));
  const { steps, lost, sure, sureOfFrame, next, duplicates, moved, surprises } = found;
  return { key, count, steps, lost, sure, sureOfFrame, ...(next ? { next } : {}), duplicates, moved, surprises };
}

async function made(source: Source, work: Work): Promise<{ volume: Volume; how: string }> {
  const { scan } = source;
  const grid = scanVolumeGrid(scan, workingGeometryOf(scan));
  checkVolumeGrid(grid); // before anything is computed
  const recipe = await scanRecipe(scan);
  const share = making(source);
  const { projections, geometry } = await developed(source, within(work, 0, share));
  const rounds = recipe.method === 'fbp' ? 1 : 8 * (recipe.iterations ?? usualIterations[recipe.method]);
  const { engine, told } = await workshopEngine(grid.width * grid.height * grid.depth * projections.views * rounds, 'volumes', { signal: work.signal });
  const done = await reconstructWith(engine, projections, geometry(scan), grid, recipe, within(work, share, 1));
  return { volume: done.picture, how: howItWent(done, engine, told) };
}

function workingGeometryOf(scan: Scan): ConeBeam {
  return workingGeometry(scanGeometry(scan) as ConeBeam, { width: scan.detector.columns, height: scan.detector.rows ?? 1 }, scanPhotoOptions(scan));
}

/** Voxels along an edge of the volume that frames are checked against: coarse, since a frame at a wrong angle is off by more. */
const checkSize = 96;

async function checked({ source, key, turn }: Order & { kind: 'check' }, work: Work): Promise<Checked> {
  const share = 0.6 * making(source);
  const { projections, geometry } = await developed(source, within(work, 0, share));
  const beam = geometry(source.scan);
  if (turn) {
    const { angles: _, ...detector } = beam;
    const { surprises, ahead } = await run(placeFramesSteps(projections, detector, { steps: turn.count, step: turn.step, fixed: turn.steps.map((step, frame) => [frame, step] as const), axis: 'keep' }), within(work, share, 1));
    return { key, how: 'steps', surprises, ahead };
  }
  const { reconstruction: _, ...scan } = source.scan;
  const grid = scanVolumeGrid({ ...scan, reconstruction: { method: 'fbp', size: checkSize } }, beam);
  const { engine } = await workshopEngine(grid.width * grid.height * grid.depth * projections.views, 'volumes', { signal: work.signal });
  const volume = await engine.reconstruct(projections, beam, { window: 'hann', grid }, within(work, share, share + 0.1));
  return { key, how: 'volume', residuals: [...(await run(residualsSteps(projections, volume, beam), within(work, share + 0.1, 1)))] };
}
