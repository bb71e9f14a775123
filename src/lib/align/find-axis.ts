import { finish, part, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { coverage } from '../geometry/coverage.ts';
import { ringOf } from '../geometry/ring.ts';
import { erf } from '../phantom/erf.ts';
import { turnSeen } from '../photos/half-turn.ts';
import type { Geometry, Projections, Sinogram } from '../types.ts';
import { asFrames, freeRows, pickFrames } from './frames.ts';
import { mirrorLine, type MirrorLine } from './mirror-line.ts';
import { sharpestAxisSteps, type SharpestAxis } from './sharpest-axis.ts';
import { turnWeights, weightedMean } from './view-means.ts';

export interface Axis {
  /** Where the rotation axis falls on the detector, mm from its middle (in a cone beam: in the row of the source's plane), + to higher columns. */
  readonly axisOffset: number;
  /** The same in columns. */
  readonly axisOffsetPixels: number;
  /** How far its image leans from the columns, radians, + towards higher columns going up; 0 where one row cannot show it. */
  readonly tilt: number;
  /** Standard deviations of the two, mm and radians: how far they scatter when parts of the views (or rows) are left out. */
  readonly deviation: { readonly axisOffset: number; readonly tilt: number };
  /** The chance, by that scatter, that the offset is right to half a column. */
  readonly sure: number;
  /** opposite views: the mean of a whole turn is its own mirror image.   sharpness: of a test slice. */
  readonly how: 'opposite views' | 'sharpness';
  /** opposite views: what of that mean picture is not mirrored, as a share of it.   sharpness: how much more Σ|f| is two columns aside. */
  readonly misfit: number;
  /** Rows that took part: those whose ends stay free of the object in every frame. */
  readonly rows: number;
}

/**
 * Finds where the rotation axis falls on the detector, and how it leans. The geometry's own axisOffset and tilt are not used.
 * Opposite views: in a turn each point of the object draws, on a flat detector in any beam, a track that is its own mirror image about
 * the axis (the ray to one side has its opposite in the ray to the other side), so that the mean of all views of a whole turn is its own
 * mirror image too. The mirror line of that one picture, found by least squares over all rows, is the axis: in a cone beam at every
 * height, and with no need that each view has its opposite. Views are weighed so that lost frames do not pull (turnWeights).
 * Sharpness: where part of the turn is missing, of half a turn in a parallel beam and of a short scan in a fan or cone, the offset whose
 * test slice has the least Σ|f|: an axis put wrong draws shadows below 0 beside every edge. In a cone beam, of a small volume.
 * frames: line integrals, as asFrames takes them.
 * Error: on exact scenes of 160 × 96 cells with 40 to 45 noisy views below 0.02 columns and 0.03°. By sharpness, on a few short scans and
 * half turns, mostly below 0.15 columns (0.35 at worst); the tilt of a short scan only to about a degree.
 * Throws BadInput, one sentence: fewer than 8 frames, a blank one, angles ≠ frames, no opposite views, half a turn given as a whole one,
 * an object that leaves the frame at a side.
 * Source: the symmetry is elementary; Σ|f|: Donath, Beckmann & Schreyer, J. Opt. Soc. Am. A 23:1048 (2006), citation from memory.
 */
export function findAxis(frames: Projections | Sinogram, geometry: Geometry): Axis {
  return finish(findAxisSteps(frames, geometry));
}

export function* findAxisSteps(frames: Projections | Sinogram, geometry: Geometry): Steps<Axis> {
  const whole = asFrames(frames, geometry);
  const { angles } = geometry;
  if (angles.length !== whole.views) throw new BadInput(`There are ${whole.views} frames and ${angles.length} angles: there is one angle for each frame.`);
  const free = freeRows(whole);
  yield 0.05;
  const { gaps } = ringOf(angles, 2 * Math.PI);
  const goesRound = Math.max(...gaps) <= widestGap;
  if (goesRound) return yield* part(fromOppositesSteps(whole, geometry, free), 0.1, 1);
  if (coverage(geometry).kind === 'incomplete') throw new BadInput(noOpposites(geometry));
  return yield* part(fromSharpnessSteps(whole, geometry, free), 0.1, 1);
}

/** A gap that the mean over a turn can be told across: an eighth of the turn, 45°. */
const widestGap = Math.PI / 4 + 1e-6;

/**
 * Only where it is plain: the frames join at the ends as half a turn's do, and their mean has no mirror line. (A thing that is its own
 * mirror image joins at the ends too; its axis comes out right all the same.) Only frames in the order of their angles can be asked.
 */
function refuseHalfTurn(frames: Projections, angles: readonly number[], { misfit }: MirrorLine): void {
  const sign = Math.sign(angles[1]! - angles[0]!);
  const inOrder = angles.every((angle, i) => i === 0 || sign * (angle - angles[i - 1]!) > 0);
  if (!inOrder || misfit < 0.05 || turnSeen(frames).turn !== 'half') return;
  throw new BadInput('The frames show half a turn and their angles a whole one: the last frame joins the mirror image of the first, so the step should be half of what is given.');
}

function* fromOppositesSteps(frames: Projections, geometry: Geometry, free: Uint8Array): Steps<Axis> {
  const { views, rows, columns, data } = frames;
  const level = (rows - 1) / 2 + (geometry.beam === 'cone' ? geometry.rowOffset / geometry.pitch : 0);
  const lineOf = (weights: ArrayLike<number>, start?: MirrorLine) => mirrorLine({ rows, columns, data: weightedMean(data, rows * columns, weights) }, free, level, start);
  const line = lineOf(turnWeights(geometry.angles));
  refuseHalfTurn(frames, geometry.angles, line);
  yield 0.4;

  // Jackknife: left out in turn, every fifth view.
  const others: MirrorLine[] = [];
  const groups = 5;
  for (let group = 0; group < groups; group++) {
    const kept = Array.from({ length: views }, (_, view) => view).filter((view) => view % groups !== group);
    const weights = new Float64Array(views);
    turnWeights(kept.map((view) => geometry.angles[view]!)).forEach((weight, i) => (weights[kept[i]!] = weight));
    others.push(lineOf(weights, line));
    yield 0.4 + (0.6 * (group + 1)) / groups;
  }
  const scatter = (of: (line: MirrorLine) => number) => {
    const mean = others.reduce((sum, other) => sum + of(other), 0) / groups;
    return Math.sqrt(((groups - 1) / groups) * others.reduce((sum, other) => sum + (of(other) - mean) ** 2, 0));
  };
  return describe({
    axisOffset: (line.column - (columns - 1) / 2) * geometry.pitch,
    tilt: line.lean,
    deviation: { axisOffset: scatter(({ column }) => column) * geometry.pitch, tilt: scatter(({ lean }) => lean) },
    how: 'opposite views', misfit: line.misfit, rows: count(free),
  }, geometry.pitch);
}

/**
 * Rays that are seen twice hide a wrong axis: they blur where a single one would draw double. So of a scan that sees more than it needs
 * only an arc that just sees every ray is used; both such arcs, from its beginning and from its end, and their mean.
 */
function* fromSharpnessSteps(frames: Projections, geometry: Geometry, free: Uint8Array): Steps<Axis> {
  const { start, span, needed } = coverage(geometry);
  const along = geometry.angles.map((angle) => (((angle - start) % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI));
  const enough = 1.03 * needed;
  const arcs = span > 1.03 * enough ? [along.map((at) => at <= enough), along.map((at) => at >= span - enough)] : [along.map(() => true)];
  const found: SharpestAxis[] = [];
  for (const [k, arc] of arcs.entries()) {
    const kept = geometry.angles.map((_, view) => view).filter((view) => arc[view]);
    found.push(yield* part(sharpestAxisSteps(pickFrames(frames, kept), { ...geometry, angles: kept.map((view) => geometry.angles[view]!) }, free), k / arcs.length, (k + 1) / arcs.length));
  }
  const mean = (of: (axis: SharpestAxis) => number) => found.reduce((sum, axis) => sum + of(axis), 0) / found.length;
  const apart = (of: (axis: SharpestAxis) => number) => Math.abs(of(found[0]!) - of(found.at(-1)!)) / 2;
  return describe({
    axisOffset: mean(({ axisOffset }) => axisOffset), tilt: mean(({ tilt }) => tilt),
    deviation: { axisOffset: Math.hypot(mean(({ deviation }) => deviation.axisOffset), apart(({ axisOffset }) => axisOffset)), tilt: Math.hypot(mean(({ deviation }) => deviation.tilt), apart(({ tilt }) => tilt)) },
    how: 'sharpness', misfit: mean(({ contrast }) => contrast), rows: count(free),
  }, geometry.pitch);
}

function describe(axis: Omit<Axis, 'axisOffsetPixels' | 'sure'>, pitch: number): Axis {
  const deviation = axis.deviation.axisOffset / pitch;
  // A picture that is no more like its mirror image than by chance has no mirror line, however firmly it stands.
  const likeness = axis.how === 'opposite views' ? Math.max(0, 1 - (axis.misfit / 0.5) ** 2) : 1;
  return { ...axis, axisOffsetPixels: axis.axisOffset / pitch, sure: likeness * (deviation > 0 ? erf(0.5 / deviation / Math.SQRT2) : 1) };
}

const count = (free: Uint8Array) => free.reduce((sum, one) => sum + one, 0);

function noOpposites(geometry: Geometry): string {
  const { span, needed } = coverage(geometry);
  const degrees = (radians: number) => `${Math.round((radians * 180) / Math.PI)}°`;
  return `There are no opposite views to find the axis from: the views span ${degrees(span)}, and a whole turn or at least ${degrees(needed)} without wide gaps are needed.`;
}
