import type { Engine } from '../engine/engine.ts';
import { fdkOn } from '../engine/fdk-on.ts';
import { finish, part, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { checkMemory } from '../files/memory-limit.ts';
import type { Photograph } from '../files/photograph.ts';
import type { Plan } from '../files/plan.ts';
import type { Filter } from '../filter/filter.ts';
import { fieldRadius } from '../geometry/field-radius.ts';
import { magnification } from '../geometry/magnification.ts';
import type { PhotoStep } from '../photos/light.ts';
import { lineIntegralsSteps } from '../photos/line-integrals.ts';
import type { PhotoReport } from '../photos/photo-scan.ts';
import type { ConeBeam, Projections, Volume, VolumeGrid } from '../types.ts';
import { checkVolumeGrid } from '../volume/fit-grid.ts';
import { measureRehearsal, type RehearsalFigures } from './measure-rehearsal.ts';
import { planBlur } from './plan-blur.ts';
import { planGeometry, workingBin } from './plan-geometry.ts';
import { planLight } from './plan-light.ts';
import { planObject } from './plan-object.ts';
import { planSlice } from './plan-slice.ts';
import { planWords } from './plan-words.ts';
import { randomNumbers } from './random-numbers.ts';
import { rehearseEdgeSteps } from './rehearse-edge.ts';
import { sampleRays } from './sample-rays.ts';
import { takePhotograph, type Cells } from './take-photograph.ts';
import { viewLightSteps } from './view-light.ts';

export interface RehearseOptions {
  /** Voxels along the longest edge of the volume; 160 when left out. */
  readonly size?: number;
  /** Camera pixels along an edge of a working cell; so many that there are about as many cells across as voxels (workingBin) when left out. */
  readonly bin?: number;
  /** The ramp when left out. */
  readonly filter?: Filter;
  /** Any whole number: the same gives the same photographs. 1 when left out. */
  readonly seed?: number;
  /** Dark frames, and flat frames, of which the mean is taken; 16 when left out. Infinity for means without noise. */
  readonly calibration?: number;
  /** Photographs that are handed out; 4 when left out, from as many sides. */
  readonly keep?: number;
  /** The object's values, where it is a volume in a file of its own. */
  readonly volume?: Volume;
  /** Where the voxels lie; over the field of view when left out. */
  readonly grid?: VolumeGrid;
  /** Steps of the pipeline to leave out: false for each. */
  readonly steps?: Partial<Readonly<Record<PhotoStep, boolean>>>;
  /** Fine cells along an edge of a working cell, one ray each; 2 when left out. */
  readonly fine?: number;
  /** False leaves out the second set of photographs and the test edge, and with them the figures. */
  readonly measure?: boolean;
  /** What makes the volumes; the plain code when left out. With an engine the steps want `run`. */
  readonly engine?: Pick<Engine, 'reconstruct'>;
}

export interface Rehearsal {
  /** A few of the photographs, as the camera would store them at the working size, with the view each is of. */
  readonly photographs: readonly { readonly view: number; readonly photograph: Photograph }[];
  readonly volume: Volume;
  /** Of the working cells. */
  readonly geometry: ConeBeam;
  readonly bin: number;
  readonly report: PhotoReport;
  readonly figures?: RehearsalFigures;
}

const fewestViews = 8;

/**
 * Takes a planned scan as if it were real: simulated photographs of the plan's object (viewLightSteps, takePhotograph), dark and flat frames, and from there on the very steps of a
 * true scan, lineIntegrals and fdk, at the angles that the stage reaches. Then it measures what came of it beside what was predicted.
 * It works at a size of its own: the photographs are binned so that there are about as many cells across as voxels (size), and a working pixel has the light, the noise and the
 * place of the camera pixels that it stands for. 160 voxels an edge from 45 views take some ten seconds on one core.
 * With a lamp the photographs have the Poisson noise of their electrons, the noise of reading and the steps of grey, and the blur of the lens's opening at the axis.
 * Not in it: scattered X-rays, veiling glare, uneven light, spots, a tube that wanders, an axis beside its place: what the pipeline is there to mend. A true scan is worse.
 * Throws BadInput, one sentence: fewer than 8 views, an object that reaches the source or stands wider than the field, a volume too large for memory, as planObject.
 */
export function rehearse(plan: Plan, options: RehearseOptions = {}): Rehearsal {
  return finish(rehearseSteps(plan, options));
}

/** The same as steps that can be followed and stopped. */
export function* rehearseSteps(plan: Plan, options: RehearseOptions = {}): Steps<Rehearsal> {
  const { size = 160, filter = { window: 'ramp' }, seed = 1, calibration = 16, keep = 4, fine = 2, measure = true } = options;
  if (!Number.isInteger(size) || size < 8 || size > 1024) throw new BadInput(`The volume is to have ${size} voxels along an edge; it should be a whole number from 8 to 1,024.`);
  if (plan.views.count < fewestViews) throw new BadInput(`The plan has ${plan.views.count} views: at least ${fewestViews} are needed, and 45 or more make a good slice.`);
  const bin = options.bin ?? workingBin(plan, size);
  const geometry = planGeometry(plan, bin, true);
  const object = planObject(plan, options.volume);
  checkObject(plan, object.radius);
  const grid = options.grid ?? gridOver(geometry, size);
  checkVolumeGrid(grid);
  const light = planLight(plan, bin);
  const { screen, spot } = planBlur(plan, bin);
  const { angles, rows, detectors: columns } = geometry;
  const views = angles.length;
  checkMemory((measure ? 2 : 1) * views * rows * columns, `${views} simulated photographs of ${columns} × ${rows} pixels`);

  const up = rows === 1 ? 1 : fine;
  const fineBeam: ConeBeam = { ...geometry, detectors: columns * fine, rows: rows * up, pitch: geometry.pitch / fine };
  const toFine = magnification(geometry) / (fineBeam.pitch * 2 * Math.sqrt(2 * Math.log(2))); // standard deviation in fine cells of a width in mm at the axis
  const cells: Cells = { rows, columns, across: fine, up, screenBlur: screen * toFine };
  const random = randomNumbers(seed);
  const dark = [takePhotograph('dark', light, cells, random, calibration)];
  const flat = [takePhotograph('flat', light, cells, random, calibration)];
  const taken: Photograph[] = [], again: Photograph[] = [];
  const upTo = measure ? 0.6 : 0.75;
  for (let view = 0; view < views; view++) {
    const seen = yield* part(viewLightSteps(object, fineBeam, view, light, { penumbra: spot * toFine }), (upTo * view) / views, (upTo * (view + 1)) / views);
    taken.push(takePhotograph(seen, light, cells, random));
    if (measure) again.push(takePhotograph(seen, light, cells, random));
  }

  const pipeline = { encoding: light.curve, turn: ((plan.views.turn ?? 360) * Math.PI) / 180, ...(options.steps && { steps: options.steps }) };
  const [afterIntegrals, afterVolume] = measure ? [0.72, 0.85] : [0.87, 1];
  const { projections, report } = yield* part(lineIntegralsSteps({ views: taken, dark, flat }, pipeline), upTo, afterIntegrals);
  const volume = yield* part(fdkOn(options.engine, projections, geometry, { ...filter, grid }), afterIntegrals, afterVolume);
  const photographs = Array.from({ length: Math.min(keep, views) }, (_, k) => Math.floor((k * views) / Math.min(keep, views))).map((view) => ({ view, photograph: plan.lamp ? mirrored(taken[view]) : taken[view] }));
  const result = { photographs, volume, geometry, bin, report };
  if (!measure) return result;

  // The same scan once more: what differs between the two is noise, and nothing else is.
  const second = yield* part(lineIntegralsSteps({ views: again, dark, flat }, pipeline), afterVolume, 0.95);
  const noise = difference(projections, second.projections);
  const edge = yield* part(rehearseEdgeSteps(plan, { bin, filter, engine: options.engine }), 0.95, 0.98);
  const predicted = planSlice(plan, object, light, sampleRays(object, plan.distances), bin, filter);
  const figures = yield* part(measureRehearsal({ object, volume, geometry, noise, filter, edge, predicted, report, engine: options.engine }), 0.98, 1);
  return { ...result, figures };
}

function checkObject(plan: Plan, radius: number): void {
  const { sourceToAxis, sourceToDetector } = plan.distances;
  const { source } = planWords(plan);
  const nearest = `${Number(radius.toPrecision(3))} mm from the axis`;
  if (radius >= sourceToAxis) throw new BadInput(`The object reaches ${nearest}, and the ${source} stands ${sourceToAxis} mm from it (distances.sourceToAxis): move the ${source} away.`);
  if (plan.lamp) return; // the plane in focus may go through the object
  if (sourceToAxis + radius > sourceToDetector) throw new BadInput(`The object reaches ${nearest}, and the screen stands ${Number((sourceToDetector - sourceToAxis).toPrecision(3))} mm behind it: it would strike the screen as it turns, so move the screen back.`);
}

/** As the camera sees it from the side of the lens, where left and right change places: see planToScan. */
function mirrored(photograph: Photograph): Photograph {
  const { width, data } = photograph;
  return { ...photograph, data: data.map((_, i) => data[i - (i % width) + width - 1 - (i % width)]) };
}

/** Cubic voxels over the cylinder that every view sees. */
function gridOver(geometry: ConeBeam, size: number): VolumeGrid {
  const times = magnification(geometry);
  const voxelSize = Number(((2 * fieldRadius(geometry)) / size).toPrecision(6));
  const seen = (geometry.rows * geometry.pitch) / times;
  return { width: size, height: size, depth: Math.max(1, Math.min(size, Math.round(seen / voxelSize))), voxelSize, centre: [0, 0, -geometry.rowOffset / times] };
}

/** As noisy as one of the two, and without anything else. */
function difference(one: Projections, other: Projections): Projections {
  return { ...one, data: one.data.map((value, i) => (value - other.data[i]) / Math.SQRT2) };
}
