/** What the solid picture shows, from the sliders' state to numbers that either way of drawing it can use: on the graphics card or ray by ray. */
import { cameraAround, type Camera, type ClipPlane, type Transfer, type TransferPoint, type VolumeGrid } from '../../lib/index.ts';
import type { Greys } from '../scan/model.ts';
import type { Ends, SolidView } from './model.ts';
import { middleOf, reach } from './planes.ts';

/** What the worker found out about the values as a whole. */
export interface Facts {
  readonly least: number;
  readonly greatest: number;
  /** Half-way between the commonest values inside and outside, 1/mm. */
  readonly threshold: number;
  /** From black to white where all but 1 % of the voxels are seen, 1/mm: a few dense grains do not count. */
  readonly spread: number;
}

/** The settings with nothing left open. Values in 1/mm. */
export interface Look {
  readonly threshold: number;
  readonly ramp: number;
  readonly opacity: number;
  readonly clip: readonly [x: Ends, y: Ends, z: Ends];
}

/** How dark the least dense part of the object is, and how far a surface darkens as it turns away: the same in both ways of drawing. */
export const dimmest = 0.4, shading = 0.75;

export function lookOf(grid: VolumeGrid, facts: Facts, { threshold = facts.threshold, ramp, opacity, clip }: SolidView): Look {
  return {
    threshold,
    ramp: Math.max(ramp ?? Number((facts.spread / 10).toPrecision(2)), Number.MIN_VALUE),
    opacity: opacity ?? Number((0.5 / grid.voxelSize).toPrecision(2)),
    clip: clip ?? wholeClip(grid),
  };
}

/** Nothing cut away. */
export function wholeClip(grid: VolumeGrid): Look['clip'] {
  const ends = reach(grid).map((half, axis): Ends => [middleOf(grid)[axis] - half, middleOf(grid)[axis] + half]);
  return [ends[0], ends[1], ends[2]];
}

/** One end of what is left along an axis moved; it never passes the other end. Back at both faces it is nothing cut away. */
export function clipMoved(grid: VolumeGrid, clip: SolidView['clip'], axis: 0 | 1 | 2, end: 0 | 1, to: number): SolidView['clip'] {
  const whole = wholeClip(grid);
  const ends = [...(clip ?? whole)] as [Ends, Ends, Ends];
  const [from, till] = ends[axis], [least, most] = whole[axis];
  ends[axis] = end === 0 ? [Math.max(least, Math.min(to, till)), till] : [from, Math.min(most, Math.max(to, from))];
  return ends.every((each, i) => each[0] <= whole[i][0] && each[1] >= whole[i][1]) ? undefined : ends;
}

export function cameraOf(grid: VolumeGrid, { facing, projection, zoom }: Pick<SolidView, 'facing' | 'projection' | 'zoom'>, width: number, height: number): Camera {
  const steepest = 89.9; // straight down there is no "up"
  const tilt = Math.min(steepest, Math.max(-steepest, facing.tilt));
  const camera = cameraAround(grid, { azimuth: (facing.turn * Math.PI) / 180, elevation: (tilt * Math.PI) / 180, projection, width, height });
  return { ...camera, field: camera.field / zoom };
}

/** For rays cast by the library. The stops lie wherever opacity or brightness bends, so that linear between them is exact. */
export function transferOf(shows: SolidView['shows'], { threshold, ramp, opacity }: Look, greys: Greys): Transfer {
  if (shows === 'maximum') return { kind: 'maximum' };
  if (shows === 'sum') return { kind: 'integral' };
  const steep = shows === 'surface' ? ramp / 20 : ramp;
  const share = (value: number, from: number, to: number) => Math.min(1, Math.max(0, (value - from) / (to - from)));
  const point = (value: number): TransferPoint => ({
    value, opacity: (shows === 'surface' ? 20 : 1) * opacity * share(value, threshold, threshold + steep),
    brightness: shows === 'surface' ? 1 : dimmest + (1 - dimmest) * share(value, greys.low, greys.high),
  });
  const values = [...new Set([threshold, threshold + steep, greys.low, greys.high])].sort((a, b) => a - b);
  return { kind: 'opacity', points: values.map(point), shading };
}

export function clipPlanes(grid: VolumeGrid, { clip }: Pick<Look, 'clip'>): ClipPlane[] {
  const whole = wholeClip(grid);
  return clip.flatMap(([from, to], axis): ClipPlane[] => {
    const at = (value: number, sign: number): ClipPlane => ({ point: [0, 1, 2].map((i) => (i === axis ? value : 0)) as never, normal: [0, 1, 2].map((i) => (i === axis ? sign : 0)) as never });
    return [...(from > whole[axis][0] ? [at(from, -1)] : []), ...(to < whole[axis][1] ? [at(to, 1)] : [])];
  });
}

/** What the screen of a rig keeps of its light behind such a line integral. */
export const transmission = (sum: number) => Math.exp(-sum);
