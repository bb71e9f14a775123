import { BadInput, discMask, fanBeam, fbp, otsuThreshold } from '../../lib/index.ts';
import type { FanBeam, Grid, Image, Sinogram } from '../../lib/index.ts';
import { fromRoot } from '../../layouts/from-root.ts';
import { remember } from '../frame/remember.ts';

/** A measured scan as the built book carries it, or the news that it does not. src/pages/measured/disc.json.ts writes it. */
export type MeasuredFile = { readonly there: false } | {
  readonly there: true;
  readonly title: string;
  /** Who measured it, where it is published, under which licence, and what was done to it here. */
  readonly credit: string;
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
  /** mm on the detector, after cells were put together. */
  readonly pitch: number;
  readonly detectors: number;
  /** Radians, one a view. */
  readonly angles: readonly number[];
  /** Line integrals, [view][cell], little-endian float32, base64. */
  readonly data: string;
};

/** What is said where the data were not beside the book. */
export const missing = 'The measured discs lay nowhere beside this book when it was built, so there is none to show here. They are published at Zenodo, DOI 10.5281/zenodo.7418878, under CC BY 4.0; bring one of their sinograms to “Your own scan”, and choose its slice as specimen.';

/** Every so-manieth view, and so many neighbouring cells put together by their mean: as few numbers as pixels of 128² ask for. */
export function thinned({ data, detectors }: Sinogram, geometry: FanBeam, step: number, cells: number): { sinogram: Sinogram; geometry: FanBeam } {
  if (detectors % cells !== 0) throw new BadInput(`${detectors} cells cannot be put together by ${cells}; it has to divide them.`);
  const angles = geometry.angles.filter((_, view) => view % step === 0);
  const few = detectors / cells;
  const less = new Float32Array(angles.length * few);
  for (let i = 0; i < less.length; i++) {
    const from = Math.floor(i / few) * step * detectors + (i % few) * cells;
    let sum = 0;
    for (let k = 0; k < cells; k++) sum += data[from + k];
    less[i] = sum / cells;
  }
  return { sinogram: { views: angles.length, detectors: few, data: less }, geometry: { ...geometry, angles, detectors: few, pitch: cells * geometry.pitch } };
}

export interface Measured {
  readonly title: string;
  readonly credit: string;
  readonly geometry: FanBeam;
  readonly sinogram: Sinogram;
}

let asked: Promise<Measured | undefined> | undefined;
let arrived: Measured | undefined;

/** The scan that lies in the built book; undefined where there is none. Fetched once, when a reader first asks for it. */
export function measuredScan(): Promise<Measured | undefined> {
  asked ??= fetchScan().then((scan) => (arrived = scan), (failure) => {
    asked = undefined; // to be tried again with the next setting
    throw failure;
  });
  return asked;
}

/** The same, if it is there by now. */
export function measuredNow(): Measured | undefined {
  void measuredScan().catch(() => {});
  return arrived;
}

async function fetchScan(): Promise<Measured | undefined> {
  const answer = await fetch(address()).catch(() => undefined);
  if (!answer?.ok) throw new BadInput('The measured disc could not be fetched; the book needs its file measured/disc.json, which lies beside its pages.');
  return unpack((await answer.json()) as MeasuredFile);
}

export function unpack(file: MeasuredFile): Measured | undefined {
  if (!file.there) return undefined;
  const { title, credit, angles, detectors, pitch, sourceToAxis, sourceToDetector } = file;
  const bytes = Uint8Array.from(atob(file.data), (letter) => letter.charCodeAt(0));
  return { title, credit, geometry: fanBeam({ angles, detectors, pitch, sourceToAxis, sourceToDetector }), sinogram: { views: angles.length, detectors, data: new Float32Array(bytes.buffer) } };
}

/** In the page by its root; the worker has no page, but its script lies in a folder of that root. */
function address(): string {
  if (typeof document !== 'undefined') return fromRoot('measured/disc.json');
  return new URL(import.meta.env.DEV ? '/measured/disc.json' : '../measured/disc.json', self.location.href).href;
}

/** What all the views show, and what is acrylic in it by Otsu's threshold: the segmentation that a reader can make from the data. */
export function reference(scan: Measured, size: number): { grid: Grid; mask: Uint8Array; picture: Image; solid: Uint8Array; contrast: number } {
  return remember('priors-reference', `${size}`, () => {
    const grid = { width: size, height: size, pixelSize: field / size };
    const picture = fbp(scan.sinogram, scan.geometry, { window: 'ramp', grid });
    const threshold = otsuThreshold(picture);
    return { grid, mask: discMask(grid, 0, 0, field / 2), picture, solid: Uint8Array.from(picture.data, (value) => Number(value > threshold)), contrast: 2 * threshold };
  });
}

/** Side of the picture, mm: what the detector sees all round. */
export const field = 75.9;

/** So many of its views, evenly over the whole turn, to the nearest that was taken. */
export function fewOf({ geometry, sinogram }: Measured, views: number): { geometry: FanBeam; sinogram: Sinogram } {
  const { detectors, data } = sinogram;
  const taken = Array.from({ length: views }, (_, k) => Math.round((k * sinogram.views) / views));
  const few = new Float32Array(views * detectors);
  taken.forEach((view, k) => few.set(data.subarray(view * detectors, (view + 1) * detectors), k * detectors));
  return { geometry: { ...geometry, angles: taken.map((view) => geometry.angles[view]) }, sinogram: { views, detectors, data: few } };
}
