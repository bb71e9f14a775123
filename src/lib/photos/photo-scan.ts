import type { Photograph } from '../files/photograph.ts';
import type { Projections } from '../types.ts';
import type { FrameWarning } from './frame-faults.ts';
import type { Glare } from './glare.ts';
import type { Hardening } from './hardening.ts';
import type { PhotoStep, Rectangle, StepReport } from './light.ts';
import type { Curve } from './linearise.ts';

/** Photographs in order, all at hand or asked for one at a time, so that a scan larger than memory can be taken. */
export type PhotoFrames<P = Photograph> = readonly P[] | { readonly count: number; readonly frame: (k: number) => P; readonly name?: (k: number) => string };

/** Where the frames are. A frame may be a promise for lineIntegralsFrom, and must be at hand for lineIntegrals. */
export interface PhotoScan<P = Photograph> {
  /** One a view, in the order of the angles. */
  readonly views: PhotoFrames<P>;
  /** Beam off. */
  readonly dark?: PhotoFrames<P>;
  /** Beam on, no object. */
  readonly flat?: PhotoFrames<P>;
}

export interface PhotoOptions {
  /** How the camera wrote light down. */
  readonly encoding: Curve;
  /** The part of every photograph that is kept; all of it when left out. */
  readonly crop?: Rectangle;
  /** Pixels along an edge of the square that becomes one working pixel; 1 when left out. */
  readonly bin?: number;
  /** Left and right change places: the photographs are of the source's side of the screen, or by one mirror. */
  readonly mirrored?: boolean;
  /** Scattered light; sigma in pixels of the photograph. None is taken off when left out. */
  readonly glare?: Glare;
  /** A part of the photographs that the object never covers; found when left out. */
  readonly open?: Rectangle;
  /** Least transmission; 0.001 when left out. */
  readonly floor?: number;
  /** A polynomial against beam hardening; none when left out. */
  readonly hardening?: Hardening;
  /** What the angles say that the scan is: radians from the first view to where the first would come again. For a warning only. */
  readonly turn?: number;
  /** Steps to leave out: false for each. */
  readonly steps?: Partial<Readonly<Record<PhotoStep, boolean>>>;
}

export interface PhotoReport {
  /** What each step did, in order. */
  readonly steps: readonly StepReport[];
  readonly warnings: readonly FrameWarning[];
  /** Exposure of each view against the mean of all. */
  readonly exposure: readonly number[];
  /** Share of each view's pixels that are saturated. */
  readonly saturated: readonly number[];
  /** Bytes that the line integrals take. */
  readonly bytes: number;
}

export interface LineIntegrals {
  /** −ln of transmission, row 0 at the bottom. */
  readonly projections: Projections;
  readonly report: PhotoReport;
}

export type FrameKind = 'views' | 'dark' | 'flat';

/** How many frames of each kind there are, and what to call one in a sentence. */
export interface FrameList {
  readonly count: Readonly<Record<FrameKind, number>>;
  readonly nameOf: (kind: FrameKind, k: number) => string;
}

export function frameList(scan: PhotoScan<unknown>): FrameList {
  const count = (frames?: PhotoFrames<unknown>) => (frames === undefined ? 0 : isList(frames) ? frames.length : frames.count);
  const words: Record<FrameKind, string> = { views: 'View', dark: 'Dark frame', flat: 'Flat frame' };
  return {
    count: { views: count(scan.views), dark: count(scan.dark), flat: count(scan.flat) },
    nameOf: (kind, k) => {
      const frames = scan[kind];
      return (frames && !isList(frames) ? frames.name?.(k) : undefined) ?? `${words[kind]} ${k + 1}`;
    },
  };
}

export const frameOf = <P>(frames: PhotoFrames<P>, k: number): P => (isList(frames) ? frames[k] : frames.frame(k));

const isList = <P>(frames: PhotoFrames<P>): frames is readonly P[] => Array.isArray(frames);
