import type { Engine } from '../engine/engine.ts';
import { fdkOn } from '../engine/fdk-on.ts';
import { part, type Steps } from '../engine/steps.ts';
import type { Plan } from '../files/plan.ts';
import type { Filter } from '../filter/filter.ts';
import { fieldRadius } from '../geometry/field-radius.ts';
import { magnification } from '../geometry/magnification.ts';
import { projectPathsSteps } from '../phantom/project-solids.ts';
import { cylinder } from '../phantom/solids.ts';
import type { ConeBeam } from '../types.ts';
import { blurCells } from './blur-cells.ts';
import { edgeOfDisc, type EdgeOfDisc } from './edge-of-disc.ts';
import { planBlur } from './plan-blur.ts';
import { planGeometry } from './plan-geometry.ts';
import type { PlanObject } from './plan-object.ts';
import { viewLightSteps } from './view-light.ts';

export interface RehearseEdgeOptions {
  /** Camera pixels along an edge of a working cell; 1 when left out. */
  readonly bin?: number;
  readonly filter?: Filter;
  /** How far the object turns while a view is exposed, radians; 0 when left out. */
  readonly turning?: number;
  /** From the axis to the middle of the test disc, mm; 7.3 cells when left out. Where the object turns, the sides of the disc that face the way it moves are looked at. */
  readonly aside?: number;
  /** What makes the slice; the plain code when left out. */
  readonly engine?: Pick<Engine, 'reconstruct'>;
}

/** A disc that takes 4 % of the light: so little that the logarithm of a blurred edge is a blurred edge. */
const faint = 0.04;
/** Fine cells across a cell. */
const across = 5;
/** So many views at least, an odd number: fewer would meet the rim with the cells in too few places. */
const fewestViews = 241;

/**
 * The sharpness of a slice, measured on a rehearsed one: photographs of a faint upright cylinder in the plan's beam, without noise, through its spot, screen, cells and filter, and
 * the rim of its slice. The disc stands a few cells beside the axis and is seen in 241 views at least: on the axis the rim would meet the cells in the same place in every view,
 * and in few views in few places, which sharpens or blurs it by up to a fifth. What too few views do to a slice is not in it.
 * Throws BadInput, one sentence, as planGeometry.
 */
export function* rehearseEdgeSteps(plan: Plan, { bin = 1, filter = { window: 'ramp' }, turning = 0, aside: asked, engine }: RehearseEdgeOptions = {}): Steps<EdgeOfDisc> {
  const whole = planGeometry({ ...plan, views: { ...plan.views, count: Math.max(fewestViews, plan.views.count) } }, bin);
  const { spot, screen, cell } = planBlur(plan, bin);
  const aside = asked ?? 7.3 * cell;
  const widest = Math.max(cell, Math.hypot(spot, screen));
  const radius = Math.min(14 * cell + 4 * widest, 0.8 * fieldRadius(whole) - aside);
  // Only the columns that the disc may cover: an even number fewer, so that the middle stays where it is.
  const covered = 2 * Math.ceil((1.1 * (radius + aside)) / cell + 8);
  const fewer = 2 * Math.max(0, Math.floor((whole.detectors - covered) / 2));
  const geometry: ConeBeam = { ...whole, detectors: whole.detectors - fewer, rows: 1, rowOffset: 0 };
  const solids = [{ ...cylinder([aside, 0, -1e3], [aside, 0, 1e3], radius), name: 'disc', attenuation: faint / (2 * radius) }];
  const disc: PlanObject = {
    substances: [{ name: 'disc', attenuation: faint / (2 * radius) }], radius: radius + aside, bottom: -1e3, top: 1e3, solids,
    *pathsOf(beam, view) {
      return (yield* projectPathsSteps(solids, { ...beam, angles: [beam.angles[view]] })).map(({ paths: { data } }) => data);
    },
  };
  const fine: ConeBeam = { ...geometry, detectors: geometry.detectors * across, pitch: geometry.pitch / across, rows: 1 };
  const toFine = magnification(geometry) / (fine.pitch * 2 * Math.sqrt(2 * Math.log(2))); // standard deviation in fine cells of a width in mm at the axis
  const views = geometry.angles.length, columns = geometry.detectors;
  const data = new Float32Array(views * columns);
  for (let view = 0; view < views; view++) {
    const { light } = yield* part(viewLightSteps(disc, fine, view, { energies: [{ keV: 60, light: 1, square: 1 }] }, { penumbra: spot * toFine, turning }), (0.7 * view) / views, (0.7 * (view + 1)) / views);
    blurCells(light, 1, fine.detectors, screen * toFine);
    for (let column = 0; column < columns; column++) {
      let sum = 0;
      for (let x = 0; x < across; x++) sum += light[column * across + x];
      data[view * columns + column] = -Math.log(sum / across);
    }
  }
  const reach = Math.min(0.6 * radius, Math.max(4 * cell, 3 * Math.hypot(widest, aside * turning)));
  const pixelSize = cell / 4;
  const size = 2 * Math.ceil((radius + reach) / pixelSize) + 1;
  const { data: slice } = yield* part(fdkOn(engine, { views, rows: 1, columns, data }, geometry, { ...filter, grid: { width: size, height: size, depth: 1, voxelSize: pixelSize, centre: [aside, 0, 0] } }), 0.7, 1);
  const picture = { width: size, height: size, pixelSize, centre: [aside, 0] as const, data: slice };
  return edgeOfDisc(picture, { centre: [aside, 0], radius, reach, step: cell / 6, ...(turning > 0 && { facing: Math.PI / 2 }) });
}
