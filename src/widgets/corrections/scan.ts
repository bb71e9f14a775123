import { discMask, parallelBeam } from '../../lib/index.ts';
import type { Grid, Image, ParallelBeam, Sinogram } from '../../lib/index.ts';
import type { Specimen } from '../frame/definition.ts';
import { remember } from '../frame/remember.ts';
import { gridFor, pictureOf, shadowsOf } from '../specimen/specimen.ts';
import { noisy } from '../window/model.ts';

/** A specimen scanned from few views over half a turn, and what is known of it. */
export interface Scan {
  readonly key: string;
  readonly grid: Grid;
  readonly truth: Image;
  /** The field: nothing lies outside it. */
  readonly mask: Uint8Array;
  readonly beam: ParallelBeam;
  readonly sinogram: Sinogram;
  /** Standard deviation of the noise in it. */
  readonly noise: number;
}

/** noise: in % of the greatest line integral. The cells are as large as the pixels, size² of them. Kept for the next setting. */
export function scanOf(subject: Specimen, size: number, views: number, noise: number): Scan {
  const key = `${subject.key} ${size} ${views} ${noise}`;
  return remember('few-views-scan', key, () => {
    const { grid, truth, mask } = remember('few-views-truth', `${subject.key} ${size}`, () => {
      const grid = gridFor(subject, size);
      return { grid, truth: pictureOf(subject, grid), mask: discMask(grid, 0, 0, subject.radius) };
    }, 6);
    const beam = parallelBeam({ views, detectors: size + 1, pitch: grid.pixelSize });
    const clean = shadowsOf(subject, beam);
    const greatest = clean.data.reduce((most, p) => Math.max(most, p), 0);
    return { key, grid, truth, mask, beam, sinogram: noisy(clean, noise / 100), noise: (noise / 100) * greatest };
  }, 6);
}
