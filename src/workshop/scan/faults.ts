/** What stands in the way of a slice: one sentence for each answer that cannot be, beside its field. */
import type { Table2D } from '../../lib/index.ts';
import { wishFaults } from '../method.ts';
import { shape, type Recipe, type Taken } from './model.ts';
import { counted, figure, weighed } from './words.ts';

export type Faults = Readonly<Partial<Record<keyof Taken | keyof Recipe | 'iterations' | 'strength', string>>>;

/** Widest slice made here, pixels: 64 MB of numbers, and as much again for each picture shown of it. */
export const WIDEST = 4096;

export function faultsOf(table: Table2D, taken: Taken, recipe: Recipe): Faults {
  const { views, detectors } = shape(table, taken);
  const faults: Partial<Record<keyof Faults, string>> = {};
  if (views < 2) faults.viewsIn = `There is ${counted(views, 'view')}; a slice needs at least two, from different sides.`;
  if (detectors < 2) faults.viewsIn = `Each view has ${counted(detectors, 'cell')}; a shadow needs at least two.`;
  if (taken.numbers === 'brightness' && !(taken.bright > 0)) faults.bright = `The open beam’s brightness is ${figure(taken.bright)}; it must be above 0.`;
  if (!(taken.unit > 0)) faults.unit = `A line integral of 1 cannot be written as ${figure(taken.unit)}; it must be above 0.`;
  if (!(taken.pitch > 0)) faults.pitch = `The cells are ${figure(taken.pitch)} mm apart; it must be more than 0.`;
  if (taken.beam === 'fan') {
    if (!(taken.sourceToAxis > 0)) faults.sourceToAxis = `The source is ${figure(taken.sourceToAxis)} mm from the axis; it must be more than 0.`;
    if (!(taken.sourceToDetector >= taken.sourceToAxis)) {
      faults.sourceToDetector = `The detector is ${figure(taken.sourceToDetector)} mm from the source and the axis ${figure(taken.sourceToAxis)} mm: the detector must lie behind the axis.`;
    }
  }
  const row = detectors * taken.pitch;
  if (Math.abs(taken.axisOffset) >= row / 2) faults.axisOffset = `The detector ends ${figure(row / 2)} mm from its middle, so the axis cannot fall at ${figure(taken.axisOffset)} mm.`;
  if (taken.angles.kind === 'list' && taken.angles.list.length !== views) {
    faults.angles = `The list has ${counted(taken.angles.list.length, 'angle')} and the sinogram ${counted(views, 'view')}; there must be one angle a view.`;
  }
  if (taken.angles.kind === 'even' && taken.angles.step === 0) faults.angles = 'The step is 0°, so every view would be the same one; it must not be 0.';
  if (!Number.isInteger(recipe.size) || recipe.size < 8) faults.size = `The picture cannot be ${figure(recipe.size)} pixels wide; it must be a whole number from 8.`;
  if (recipe.size > WIDEST) {
    faults.size = `A slice of ${recipe.size} × ${recipe.size} pixels would take ${weighed(recipe.size ** 2 * 4)}, and as much again to show; at most ${WIDEST} × ${WIDEST} (${weighed(WIDEST ** 2 * 4)}) is made here.`;
  }
  if (!(recipe.pixelSize > 0)) faults.pixelSize = `A pixel cannot be ${figure(recipe.pixelSize)} mm wide; it must be more than 0.`;
  Object.assign(faults, wishFaults(recipe.by));
  if (!recipe.by && !(recipe.cutoff > 0 && recipe.cutoff <= 1)) faults.cutoff = `The cut-off is ${figure(recipe.cutoff)} of the Nyquist frequency; it must be above 0 and at most 1.`;
  if (!recipe.by && recipe.window === 'formula' && recipe.formula.trim() === '') faults.formula = 'The formula is empty; write one in f and fc, such as 0.5 + 0.5 * cos(pi * f / fc).';
  return faults;
}

/** The first of them, for a place that has room for one. */
export function firstFault(faults: Faults): string | undefined {
  return Object.values(faults).find((sentence) => sentence !== undefined);
}

/** Numbers that could be read and yet are no sinogram: one sentence, or nothing. That they are finite is checkFinite's business. */
export function unusable(table: Table2D, name: string): string | undefined {
  const { rows, columns, data } = table;
  if (rows < 2 || columns < 2) {
    return `${name} holds ${rows} × ${columns} numbers; a sinogram needs at least two views of two cells each.`;
  }
  const first = data[0];
  if (data.every((value) => value === first)) return `${name} holds the same number, ${figure(first)}, everywhere; a sinogram has shadows in it.`;
  return undefined;
}
