/**
 * How a volume is looked at, as one plain object that can be kept and read back, and everything that may happen to it as pure
 * functions from view to view. Nothing here draws or waits. Places in mm; angles in degrees, as the sliders say them.
 */
import type { Point3, VolumeGrid } from '../../lib/index.ts';
import type { ColourMap } from '../../widgets/film/grey.ts';
import type { Greys } from '../scan/model.ts';
import { held, middleOf, reach, stepped } from './planes.ts';

/** The cut on which one coordinate is constant, or the plane that is turned freely. */
export type CutName = 'z' | 'y' | 'x' | 'free';
export const cutNames: readonly CutName[] = ['z', 'y', 'x', 'free'];

/** Which way a direction points: turn about the z axis, 0 towards −y, counter-clockwise from above; tilt above the horizon. Degrees. */
export interface Facing {
  readonly turn: number;
  readonly tilt: number;
}

export type MeasureKind = 'distance' | 'angle' | 'circle' | 'region';

/** What was measured, not what came out: the figures follow from the points, and for a region from the volume. */
export interface Measure {
  readonly id: number;
  readonly name: string;
  readonly kind: MeasureKind;
  /** Two of a distance; three of an angle, its vertex the second; three on a circle; the middle of a region. */
  readonly points: readonly Point3[];
  /** Of a region: its radius, mm, and the direction that its disc faces. */
  readonly radius?: number;
  readonly facing?: Point3;
}

export type SolidKind = 'solid' | 'surface' | 'maximum' | 'sum';
export type Ends = readonly [from: number, to: number];

/** The solid picture: what is shown of the volume, from where, and what is cut away. */
export interface SolidView {
  readonly shows: SolidKind;
  /** Where the object begins, 1/mm; the library's suggestion when left out. */
  readonly threshold?: number;
  /** From the threshold up to full opacity, 1/mm; a tenth of the usual window when left out. */
  readonly ramp?: number;
  /** What a dense place hides, 1/mm; two voxels' worth when left out. */
  readonly opacity?: number;
  readonly facing: Facing;
  readonly projection: 'orthographic' | 'perspective';
  /** 1: the whole volume just fits, whichever way it is turned. */
  readonly zoom: number;
  /** What is left of the volume along x, y and z, mm. */
  readonly clip?: readonly [x: Ends, y: Ends, z: Ends];
  /** Passes of smoothing of the surface. */
  readonly smooth: number;
  /** Pieces of the surface smaller than this are left out, mm³. */
  readonly least: number;
}

export interface SavedView {
  readonly version: 1;
  /** Where the four cuts meet. */
  readonly cross: Point3;
  /** The direction that the free plane faces; it goes through the cross-hair. */
  readonly free: Facing;
  /** How many times the cuts are magnified, and about which point. */
  readonly zoom: number;
  readonly middle: Point3;
  /** The cut last touched: it is what is taken away, and regions lie in it. */
  readonly cut: CutName;
  /** The cut that has the whole width; none: all alike. */
  readonly large?: CutName;
  readonly slab: { readonly thickness: number; readonly shows: 'mean' | 'maximum' };
  /** Fitted to the volume when left out. */
  readonly greys?: Greys;
  readonly map: ColourMap;
  /** What a press on a cut does. */
  readonly press: 'cross' | 'greys' | 'mark';
  readonly measuring: MeasureKind;
  /** Of the next region, mm. */
  readonly radius: number;
  /** Points marked for the measurement under way. */
  readonly marks: readonly Point3[];
  readonly measures: readonly Measure[];
  /** Earlier lists of measurements, newest last, and those that were undone. */
  readonly before: readonly (readonly Measure[])[];
  readonly after: readonly (readonly Measure[])[];
  /** Energy that the attenuations belong to, and how uncertain it is, keV. */
  readonly keV?: number;
  readonly keVSpread: number;
  readonly solid: SolidView;
}

export const pointsOf: Readonly<Record<MeasureKind, number>> = { distance: 2, angle: 3, circle: 3, region: 1 };
export const titleOf: Readonly<Record<MeasureKind, string>> = { distance: 'Distance', angle: 'Angle', circle: 'Circle', region: 'Region' };

/** Lists of measurements that can be gone back to. */
const mostUndone = 100;
export const mostZoom = 8;

export function usualView(grid: VolumeGrid, keV?: number): SavedView {
  const middle = held(grid, middleOf(grid));
  return {
    version: 1, cross: stepped(grid, middle, 0, 0), free: { turn: 30, tilt: 45 }, zoom: 1, middle, cut: 'z',
    slab: { thickness: 0, shows: 'mean' }, map: 'grey', press: 'cross',
    measuring: 'distance', radius: roundedLength(5 * grid.voxelSize), marks: [], measures: [], before: [], after: [], keV, keVSpread: 5,
    solid: { shows: 'solid', facing: { turn: 30, tilt: 20 }, projection: 'orthographic', zoom: 1, smooth: 0, least: 0 },
  };
}

export function change(view: SavedView, changes: Partial<SavedView>): SavedView {
  return { ...view, ...changes };
}

export function changeSolid(view: SavedView, changes: Partial<SolidView>): SavedView {
  return { ...view, solid: { ...view.solid, ...changes } };
}

/** The cross-hair put at a point, held inside the volume; where the cuts are magnified, what they show moves along with it. */
export function moveCross(view: SavedView, grid: VolumeGrid, to: Point3): SavedView {
  const cross = held(grid, to);
  return { ...view, cross, middle: followed(view, grid, cross) };
}

/** Magnified about the cross-hair. */
export function magnify(view: SavedView, grid: VolumeGrid, zoom: number): SavedView {
  const held = Math.min(mostZoom, Math.max(1, zoom));
  return { ...view, zoom: held, middle: held === 1 ? middleOf(grid) : view.cross };
}

/** The middle of what the magnified cuts show, moved no further than the cross-hair needs to stay in the picture. */
function followed({ zoom, middle }: SavedView, grid: VolumeGrid, cross: Point3): Point3 {
  if (zoom <= 1) return middle;
  const half = reach(grid).map((length) => (0.9 * length) / zoom);
  return cross.map((at, axis) => Math.min(at + half[axis], Math.max(at - half[axis], middle[axis]))) as unknown as Point3;
}

/** A point marked for the measurement under way; the last one that it needs makes it. facing: of the cut on which it was marked. */
export function mark(view: SavedView, point: Point3, facing: Point3): SavedView {
  const marks = [...view.marks, point];
  if (marks.length < pointsOf[view.measuring]) return { ...view, marks };
  const id = 1 + view.measures.reduce((most, each) => Math.max(most, each.id), 0);
  const region = view.measuring === 'region' ? { radius: view.radius, facing } : {};
  const made: Measure = { id, name: freshName(view), kind: view.measuring, points: marks, ...region };
  return { ...withMeasures(view, [...view.measures, made]), marks: [] };
}

export function unmark(view: SavedView): SavedView {
  return { ...view, marks: view.marks.slice(0, -1) };
}

/** Another kind of measurement; points already marked stay, as far as it can use them. */
export function measure(view: SavedView, measuring: MeasureKind): SavedView {
  return { ...view, measuring, marks: view.marks.slice(0, pointsOf[measuring] - 1) };
}

export function rename(view: SavedView, id: number, name: string): SavedView {
  if (view.measures.some((each) => each.id === id && each.name === name)) return view;
  return withMeasures(view, view.measures.map((each) => (each.id === id ? { ...each, name } : each)));
}

export function remove(view: SavedView, id: number): SavedView {
  return withMeasures(view, view.measures.filter((each) => each.id !== id));
}

export function removeAll(view: SavedView): SavedView {
  return view.measures.length === 0 ? view : withMeasures(view, []);
}

export function undo(view: SavedView): SavedView {
  if (view.marks.length > 0) return unmark(view);
  const [measures] = view.before.slice(-1);
  return measures ? { ...view, measures, before: view.before.slice(0, -1), after: [...view.after, view.measures] } : view;
}

export function redo(view: SavedView): SavedView {
  const [measures] = view.after.slice(-1);
  return measures ? { ...view, measures, after: view.after.slice(0, -1), before: [...view.before, view.measures] } : view;
}

function withMeasures(view: SavedView, measures: readonly Measure[]): SavedView {
  return { ...view, measures, before: [...view.before, view.measures].slice(-mostUndone), after: [] };
}

function freshName({ measures, measuring }: SavedView): string {
  const taken = new Set(measures.map(({ name }) => name));
  let number = 1;
  while (taken.has(`${titleOf[measuring]} ${number}`)) number++;
  return `${titleOf[measuring]} ${number}`;
}

/** Two figures: a length that reads well in a field. */
const roundedLength = (length: number) => Number(length.toPrecision(2));

/**
 * A view that was kept, made to fit this volume: what is missing, of another kind or out of range becomes what it usually is, and
 * points outside the volume are brought to its edge. Whatever it is given, it gives a view.
 */
export function restoredView(kept: unknown, grid: VolumeGrid, keV?: number): SavedView {
  const usual = usualView(grid, keV);
  if (!isRecord(kept) || kept.version !== 1) return usual;
  const free = isRecord(kept.free) ? kept.free : {}, slab = isRecord(kept.slab) ? kept.slab : {}, solid = isRecord(kept.solid) ? kept.solid : {};
  const diagonal = 2 * Math.hypot(...reach(grid));
  const lists = (value: unknown) => (Array.isArray(value) ? value.slice(-mostUndone).map(measuresOf) : []);
  const measuring = oneOf(kept.measuring, ['distance', 'angle', 'circle', 'region'] as const, usual.measuring);
  return {
    version: 1,
    cross: held(grid, pointOf(kept.cross) ?? usual.cross),
    free: facingOf(free, usual.free),
    zoom: numberOf(kept.zoom, 1, mostZoom) ?? 1,
    middle: held(grid, pointOf(kept.middle) ?? usual.middle),
    cut: oneOf(kept.cut, cutNames, 'z'),
    large: oneOf(kept.large, [...cutNames, undefined], undefined),
    slab: { thickness: numberOf(slab.thickness, 0, diagonal) ?? 0, shows: oneOf(slab.shows, ['mean', 'maximum'] as const, 'mean') },
    greys: greysOf(kept.greys),
    map: oneOf(kept.map, ['grey', 'cividis'] as const, 'grey'),
    press: oneOf(kept.press, ['cross', 'greys', 'mark'] as const, 'cross'),
    measuring,
    radius: numberOf(kept.radius, 1e-6, diagonal) ?? usual.radius,
    marks: pointsIn(kept.marks).slice(0, pointsOf[measuring] - 1),
    measures: measuresOf(kept.measures), before: lists(kept.before), after: lists(kept.after),
    keV: numberOf(kept.keV, 1e-3, 1e5) ?? keV, keVSpread: numberOf(kept.keVSpread, 0, 1e5) ?? usual.keVSpread,
    solid: {
      shows: oneOf(solid.shows, ['solid', 'surface', 'maximum', 'sum'] as const, 'solid'),
      threshold: numberOf(solid.threshold), ramp: numberOf(solid.ramp, 0), opacity: numberOf(solid.opacity, 0),
      facing: facingOf(isRecord(solid.facing) ? solid.facing : {}, usual.solid.facing),
      projection: oneOf(solid.projection, ['orthographic', 'perspective'] as const, 'orthographic'),
      zoom: numberOf(solid.zoom, 0.2, 20) ?? 1,
      clip: clipOf(solid.clip),
      smooth: Math.round(numberOf(solid.smooth, 0, 50) ?? 0), least: numberOf(solid.least, 0) ?? 0,
    },
  };
}

const isRecord = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

function numberOf(value: unknown, from = -Infinity, to = Infinity): number | undefined {
  return typeof value === 'number' && Number.isFinite(value) && value >= from && value <= to ? value : undefined;
}

function oneOf<T>(value: unknown, allowed: readonly T[], usual: T): T {
  return allowed.includes(value as T) ? (value as T) : usual;
}

function pointOf(value: unknown): Point3 | undefined {
  return Array.isArray(value) && value.length === 3 && value.every((each) => numberOf(each) !== undefined) ? (value as unknown as Point3) : undefined;
}

const pointsIn = (value: unknown): Point3[] => (Array.isArray(value) ? value.flatMap((each) => pointOf(each) ? [pointOf(each)!] : []) : []);

function facingOf({ turn, tilt }: Record<string, unknown>, usual: Facing): Facing {
  return { turn: numberOf(turn, -180, 180) ?? usual.turn, tilt: numberOf(tilt, -90, 90) ?? usual.tilt };
}

function greysOf(value: unknown): Greys | undefined {
  const { low, high } = isRecord(value) ? value : {};
  return numberOf(low) !== undefined && numberOf(high) !== undefined ? { low: low as number, high: high as number } : undefined;
}

function clipOf(value: unknown): SolidView['clip'] {
  const ends = (each: unknown) => Array.isArray(each) && each.length === 2 && each.every((end) => numberOf(end) !== undefined);
  return Array.isArray(value) && value.length === 3 && value.every(ends) ? (value as unknown as SolidView['clip']) : undefined;
}

function measuresOf(value: unknown): Measure[] {
  if (!Array.isArray(value)) return [];
  return value.flatMap((each): Measure[] => {
    if (!isRecord(each)) return [];
    const kind = oneOf<MeasureKind | undefined>(each.kind, ['distance', 'angle', 'circle', 'region'], undefined);
    const points = pointsIn(each.points);
    if (!kind || points.length !== pointsOf[kind] || numberOf(each.id) === undefined || typeof each.name !== 'string') return [];
    const common = { id: each.id as number, name: each.name, kind, points };
    if (kind !== 'region') return [common];
    const radius = numberOf(each.radius, 0), facing = pointOf(each.facing);
    return radius !== undefined && facing ? [{ ...common, radius, facing }] : [];
  });
}
