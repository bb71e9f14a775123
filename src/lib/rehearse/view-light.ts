import type { Steps } from '../engine/steps.ts';
import type { ConeBeam } from '../types.ts';
import { blurCells } from './blur-cells.ts';
import { lightBehind, type PlanLight } from './plan-light.ts';
import type { PlanObject } from './plan-object.ts';

/** What falls on the screen in one view, in cells finer than those of the picture: shares of what falls on it uncovered, row 0 at the bottom. */
export interface ViewLight {
  readonly light: Float64Array;
  /** The same of the square of the light of each X-ray, for their noise. */
  readonly square: Float64Array;
}

export interface ViewLightOptions {
  /** Of the focal spot's shadow, standard deviation in fine cells. */
  readonly penumbra: number;
  /** How far the object turns while the view is exposed, radians; 0 when left out. */
  readonly turning?: number;
}

/** So many places of the turn are looked at where the object turns on while it is exposed. */
const places = 9;

/**
 * The light of view `view` without noise: exact paths through the solids along one ray a fine cell, every energy by itself, and the penumbra as a bell of the width that it
 * has at the axis, spot · (M − 1) on the screen. (On the source's side of the axis the true one is wider, beyond it narrower.)
 */
export function* viewLightSteps(object: PlanObject, fine: ConeBeam, view: number, beam: Pick<PlanLight, 'energies'>, { penumbra, turning = 0 }: ViewLightOptions): Steps<ViewLight> {
  const { rows, detectors: columns, angles } = fine;
  const cells = rows * columns;
  const light = new Float64Array(cells), square = new Float64Array(cells);
  const behind = lightBehind(beam, object.substances);
  const out = new Float64Array(2);
  const count = turning > 0 ? places : 1;
  for (let place = 0; place < count; place++) {
    const angle = angles[view] + turning * ((place + 0.5) / count - 0.5);
    const paths = yield* object.pathsOf({ ...fine, angles: [angle] }, 0);
    let cell = 0;
    const path = (k: number) => paths[k][cell];
    for (; cell < cells; cell++) {
      behind(path, out);
      light[cell] += out[0] / count;
      square[cell] += out[1] / count;
    }
  }
  blurCells(light, rows, columns, penumbra);
  blurCells(square, rows, columns, penumbra);
  return { light, square };
}
