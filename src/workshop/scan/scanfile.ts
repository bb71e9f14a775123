/** The sheet's answers as a scan file, and back. */
import { scanGeometry, type FlatBeam, type Scan } from '../../lib/index.ts';
import { BadInput } from '../../lib/index.ts';
import { methodKeys, wishFrom } from '../method.ts';
import type { Angles, Recipe, Taken } from './model.ts';

/** The name under which the line integrals are handed out beside the scan file. */
export const SINOGRAM_FILE = 'sinogram.npy';

/** The file speaks of line integrals in rows: what is handed out with it is the sinogram as it was used. */
export function scanOf(taken: Taken, recipe: Recipe | undefined, views: number, detectors: number, file = SINOGRAM_FILE): Scan {
  const scan: Scan = {
    format: 'scan',
    version: 1,
    ...(taken.title ? { title: taken.title } : {}),
    beam: taken.beam === 'fan'
      ? { shape: 'fan', sourceToAxis: taken.sourceToAxis, sourceToDetector: taken.sourceToDetector }
      : { shape: 'parallel' },
    detector: { pitch: taken.pitch, columns: detectors, rows: 1, axisOffset: taken.axisOffset, ...(taken.mirrored ? { mirrored: true } : {}) },
    angles: taken.angles.kind === 'even' ? { start: taken.angles.start, step: taken.angles.step, count: views } : { list: taken.angles.list },
    turn: taken.turn,
    frames: { kind: 'line-integrals', file },
  };
  if (!recipe) return scan;
  return {
    ...scan,
    reconstruction: {
      ...methodKeys(recipe.by, { window: recipe.window, ...(recipe.window === 'formula' ? { formula: recipe.formula } : {}), ...(recipe.cutoff === 1 ? {} : { cutoff: recipe.cutoff }) }),
      size: recipe.size, pixelSize: recipe.pixelSize,
      ...(recipe.centre[0] === 0 && recipe.centre[1] === 0 ? {} : { centre: recipe.centre }),
    },
  };
}

export function flatGeometry(taken: Taken, views: number, detectors: number): FlatBeam {
  return scanGeometry(scanOf(taken, undefined, views, detectors)) as FlatBeam;
}

/** Answers out of a scan file; throws BadInput where the file describes something that this page does not make. */
export function takenFrom(scan: Scan, name: string): { taken: Partial<Taken>; recipe?: Partial<Recipe> } {
  const { beam, detector, angles, frames, reconstruction } = scan;
  if (beam.shape === 'cone' || (detector.rows ?? 1) > 1) {
    throw new BadInput(`${name} describes a cone beam with ${detector.rows ?? 'several'} rows of cells; this page makes one slice, from a parallel or fan beam with one row.`);
  }
  if (frames.kind !== 'line-integrals') {
    throw new BadInput(`${name} describes photographs; this page takes line integrals ("kind": "line-integrals") with one row of cells a view.`);
  }
  const kept: Angles = 'list' in angles ? { kind: 'list', list: angles.list } : { kind: 'even', start: angles.start ?? 0, step: angles.step };
  return {
    taken: {
      ...(scan.title ? { title: scan.title } : {}),
      viewsIn: 'rows', numbers: 'line-integrals', unit: 1,
      beam: beam.shape,
      ...(beam.shape === 'fan' ? { sourceToAxis: beam.sourceToAxis, sourceToDetector: beam.sourceToDetector } : {}),
      pitch: detector.pitch, axisOffset: detector.axisOffset ?? 0, mirrored: detector.mirrored ?? false,
      angles: kept, turn: scan.turn ?? 'counterclockwise',
    },
    ...(reconstruction ? { recipe: recipeFrom(reconstruction) } : {}),
  };
}

function recipeFrom(reconstruction: NonNullable<Scan['reconstruction']>): Partial<Recipe> {
  const { window, formula, cutoff, size, pixelSize, centre } = reconstruction;
  const by = wishFrom(reconstruction);
  return {
    ...(by ? { by } : {}), ...(window ? { window } : {}), ...(formula ? { formula } : {}), ...(cutoff === undefined ? {} : { cutoff }),
    ...(size === undefined ? {} : { size }), ...(pixelSize === undefined ? {} : { pixelSize }), ...(centre ? { centre } : {}),
  };
}
