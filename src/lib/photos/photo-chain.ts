import { part } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import type { Photograph } from '../files/photograph.ts';
import type { Projections } from '../types.ts';
import { averageFrames } from './average-frames.ts';
import { findBadPixels, mendPixels } from './bad-pixels.ts';
import { binFrame, workingSize } from './bin-frame.ts';
import { fillColumns, findDeadColumns } from './dead-columns.ts';
import { divideByFlat } from './divide-flat.ts';
import { estimateFlat } from './estimate-flat.ts';
import { evenExposure, levelTogether } from './exposure.ts';
import { findSameFrames, findTruncation, type FrameWarning } from './frame-faults.ts';
import { frameIntake } from './frame-intake.ts';
import { removeGlare } from './glare.ts';
import { turnSeen } from './half-turn.ts';
import { straighten } from './hardening.ts';
import { photoSteps, type Light, type PhotoStep, type StepReport } from './light.ts';
import { noiseByLevel } from './noise-by-level.ts';
import { openRegionSteps, type OpenRegion } from './open-region.ts';
import type { FrameKind, FrameList, LineIntegrals, PhotoOptions } from './photo-scan.ts';
import * as say from './photo-sentences.ts';
import { suppressRingsSteps } from './rings.ts';
import { removeSpots } from './spots.ts';
import { subtractDark } from './subtract-dark.ts';
import { takeLogarithm } from './take-logarithm.ts';
import { markedRegion, storeFrame, turnedFrame } from './working-frame.ts';

/** Asks for a photograph. */
export interface Ask {
  readonly kind: FrameKind;
  readonly k: number;
}

/** Work that yields how far it has come, 0…1, and, where it needs a photograph, a question that the next call of next() answers. */
export type Chain<T> = Generator<number | Ask, T, Photograph | undefined>;

const fewest = 8;
/** Where in the progress the views begin and end. */
const viewsFrom = 0.1, viewsTo = 0.85;

/** The chain of lineIntegralsFrom: all its steps in order, each in a file of its own. */
export function* photoChain({ count, nameOf }: FrameList, options: PhotoOptions): Chain<LineIntegrals> {
  if (count.views < fewest) throw new BadInput(`There ${count.views === 1 ? 'is 1 photograph' : `are ${count.views} photographs`} of views: at least ${fewest} are needed, and 45 or more make a good slice.`);
  const { encoding, bin = 1, glare, hardening, mirrored = false, floor = 0.001 } = options;
  const on = (step: PhotoStep) => options.steps?.[step] ?? true;
  const reports = new Map<PhotoStep, StepReport>();
  const keep = (report: StepReport) => { if (on(report.step)) reports.set(report.step, report); };
  const warnings: FrameWarning[] = [];
  const { light, facts } = frameIntake(on('linearise') ? encoding : 'linear', options.crop, nameOf);
  const ask = function* (kind: FrameKind, k: number): Chain<Light> { return light((yield { kind, k })!, kind, k); };

  // Dark and flat: means of their frames, the dark taken off the flat.
  const average = function* (kind: 'dark' | 'flat', from: number): Chain<ReturnType<ReturnType<typeof averageFrames>['mean']> | undefined> {
    if (!on(kind) || count[kind] === 0) return undefined;
    const frames = averageFrames(`The ${kind} frames`);
    for (let k = 0; k < count[kind]; k++) {
      frames.add(yield* ask(kind, k));
      yield from + (0.5 * viewsFrom * (k + 1)) / count[kind];
    }
    return frames.mean();
  };
  const dark = yield* average('dark', 0);
  const flat = yield* average('flat', 0.5 * viewsFrom);
  if (dark && flat) {
    checkBrightness(meanOf(dark.light), meanOf(flat.light));
    subtractDark(flat.light, dark.light);
  }
  keep(say.onDark(dark?.frames ?? 0, dark ? meanOf(dark.light) : 0, dark?.outliers ?? 0));
  const { hot, dead } = on('pixels') ? findBadPixels(dark?.light, flat?.light) : { hot: [], dead: [] };
  const bad = new Set([...hot, ...dead]);
  if (flat) mendPixels(flat.light, bad);
  keep(say.onPixels(dark !== undefined || flat !== undefined, hot.length, dead.length, bad.size));

  // The views, one after the other.
  const prepared = (frame: Light): Light => {
    if (dark) subtractDark(frame, dark.light);
    mendPixels(frame, bad);
    return frame;
  };
  const onWorkingGrid = (frame: Light): Light => {
    const small = binFrame(frame, bin);
    return glare && on('glare') ? removeGlare(small, { share: glare.share, ...(glare.sigma === undefined ? {} : { sigma: glare.sigma / bin }) }) : small;
  };
  let before: Light | undefined;
  let here = prepared(yield* ask('views', 0));
  const working = workingSize(here.width, here.height, count.views, bin);
  const { rows, columns } = working;
  const projections: Projections = { views: count.views, rows, columns, data: new Float32Array(count.views * rows * columns) };
  // What lies half the width from the axis moves so far from one view to the next, if they go round in equal steps.
  const reach = Math.max(2, Math.ceil((Math.PI * here.width) / count.views));
  const noise = on('spots') ? noiseByLevel(here) : undefined;
  let spots = 0, framesWithSpots = 0;
  for (let view = 0; view < count.views; view++) {
    const after = view + 1 < count.views ? prepared(yield* ask('views', view + 1)) : undefined;
    let clear = here;
    if (on('spots')) {
      // In a copy: a neighbour whose spots are gone already would say of a spot of the object's that it is not there.
      clear = { ...here, data: here.data.slice() };
      const found = removeSpots(clear, { neighbours: [before, after].filter((frame) => frame !== undefined), reach, ...(noise ? { noise } : {}) });
      spots += found;
      if (found > 0) framesWithSpots++;
    }
    storeFrame(onWorkingGrid(clear), projections, view, mirrored);
    before = here;
    here = after ?? here;
    yield viewsFrom + ((view + 1) / count.views) * (viewsTo - viewsFrom);
  }
  keep(say.onLinearise(encoding, facts));
  keep(say.onSpots(spots, framesWithSpots, count.views, count.views * here.data.length));
  keep(say.onBin(bin, count.views, working));
  keep(say.onGlare(glare));
  warnings.push(...say.saturationWarnings(facts, nameOf), ...say.channelWarnings(facts), ...say.sameWarnings(findSameFrames(projections), nameOf));

  // Transmissions: over the flat, and to one exposure.
  let region: OpenRegion | undefined = options.open ? markedRegion(options.open, options, projections) : undefined;
  if (flat) keep(say.onFlat(flat.frames, flat.outliers, divideByFlat(projections, turnedFrame(onWorkingGrid(flat.light), mirrored))));
  else if (on('flat')) {
    const estimated = estimateFlat(projections);
    divideByFlat(projections, estimated.flat);
    region ??= estimated.region;
    keep(say.onEstimatedFlat(estimated.region.share, estimated.misfit));
  }
  region ??= yield* part(openRegionSteps(projections), viewsTo, viewsTo + 0.05) as Chain<OpenRegion>;
  let levels: Float64Array = new Float64Array(count.views).fill(1);
  if (region.share > 0 && on('exposure')) levels = evenExposure(projections, region);
  // Without a flat nothing else says how bright the open beam is.
  else if (region.share > 0 && !flat) levelTogether(projections, region);
  const overall = levels.reduce((sum, level) => sum + level, 0) / count.views;
  const exposure = Array.from(levels, (level) => level / overall);
  keep(say.onExposure(exposure, region.share, options.open !== undefined));

  // Line integrals.
  if (on('logarithm')) {
    keep(say.onLogarithm(takeLogarithm(projections.data, floor), projections.data.length, floor));
    if (on('columns')) {
      const columnsDead = findDeadColumns(projections);
      fillColumns(projections, columnsDead);
      keep(say.onColumns(columnsDead));
    }
    yield viewsTo + 0.08;
    warnings.push(...say.truncationWarnings(findTruncation(projections), rows, nameOf));
    if ((options.turn ?? 0) > 1.9 * Math.PI && turnSeen(projections).turn === 'half') warnings.push(say.halfTurnWarning);
    if (on('rings')) {
      const { changed, moved } = yield* part(suppressRingsSteps(projections), viewsTo + 0.08, 0.99) as Chain<{ changed: number; moved: number }>;
      keep(say.onRings(changed, moved, rows * columns));
    }
    if (hardening && on('hardening')) straighten(projections.data, hardening);
    keep(say.onHardening(hardening));
  }
  const steps = photoSteps.map((step) => reports.get(step) ?? (on(step) ? say.needsLogarithm(step) : say.switchedOff(step)));
  return { projections, report: { steps, warnings, exposure, saturated: facts.saturated.views, bytes: working.bytes } };
}

const meanOf = ({ data }: Light) => data.reduce((sum, value) => sum + value, 0) / data.length;

function checkBrightness(dark: number, flat: number): void {
  if (dark < 0.9 * flat) return;
  throw new BadInput(`The dark frames are ${dark < flat ? 'nearly as bright as' : 'brighter than'} the flat ones (${say.percent(dark)} against ${say.percent(flat)} of full scale): dark is with the beam off and flat with the beam on and no object, so they may have changed places.`);
}
