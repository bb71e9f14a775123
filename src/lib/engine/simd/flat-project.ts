import { detectorPosition } from '../../geometry/detector-position.ts';
import type { FlatBeam, Grid } from '../../types.ts';
import type { Numbers } from '../../reconstruct/operator.ts';
import type { Steps } from '../steps.ts';
import type { Kernels } from './kernels.ts';

/**
 * Line integrals of slices, and their transpose, by the kernels: the matrix of forwardProject. Rays that step from row to row read the picture, rays
 * that step from column to column the same picture turned over its diagonal, so that the two pixels they pass between always lie side by side.
 */

/** The rays of these views, one view after the other. */
export function* projectFlatSteps(kernels: Kernels, picture: Numbers, geometry: FlatBeam, grid: Grid, views: readonly number[]): Steps<Float32Array> {
  kernels.clear();
  const both = takePictures(kernels, grid);
  const { detectors } = geometry, rays = takeRays(kernels, detectors, 4);
  const sums = kernels.take(rays.room);
  for (let row = 0; row < grid.height; row++) {
    kernels.f32(both.down.first + 4 * row * both.down.stride, grid.width).set(picture.subarray(row * grid.width, (row + 1) * grid.width));
  }
  kernels.call.gatherTransposed(both.down.first, both.down.stride, grid.width, grid.height, both.across.first, both.across.stride);
  const result = new Float32Array(views.length * detectors);
  for (const [done, view] of views.entries()) {
    for (const run of runsOf(kernels, geometry, grid, view, rays, 4)) {
      const { first, stride, breadth } = run.down ? both.down : both.across;
      kernels.f32(sums, rays.room).fill(0);
      kernels.call.projectRays(first, stride, breadth, run.firstStep, run.endStep, rays.ats, rays.slopes, run.places, sums);
      const met = kernels.f32(sums, run.count), lengths = kernels.f64(rays.lengths, run.count), from = done * detectors + run.from;
      for (let j = 0; j < run.count; j++) result[from + j] = met[j] * lengths[j];
    }
    yield (done + 1) / views.length;
  }
  return result;
}

/** The transpose of it: a picture from the rays of these views. */
export function* transposeFlatSteps(kernels: Kernels, rays: Numbers, geometry: FlatBeam, grid: Grid, views: readonly number[]): Steps<Float32Array> {
  kernels.clear();
  const { width, height, pixelSize } = grid, { detectors } = geometry;
  const both = takePictures(kernels, grid);
  // Rays of a fan are nearest to each other at the corner of the grid that is nearest to the source. Rays 2.2 pixels apart have no pixel in common.
  const spacing = geometry.beam === 'fan'
    ? (geometry.pitch / geometry.sourceToDetector) * Math.max(0.05 * geometry.sourceToAxis, geometry.sourceToAxis - 0.71 * Math.hypot(width, height) * pixelSize) : geometry.pitch;
  const apart = Math.max(1, Math.min(Math.ceil(detectors / 4), Math.ceil((2.2 * pixelSize) / spacing)));
  const room = takeRays(kernels, detectors, 4 * apart);
  const values = kernels.take(room.room);
  for (const [done, view] of views.entries()) {
    for (const run of runsOf(kernels, geometry, grid, view, room, 4 * apart)) {
      const { first, stride, breadth } = run.down ? both.down : both.across;
      const into = kernels.f32(values, run.places), lengths = kernels.f64(room.lengths, run.count), from = done * detectors + run.from;
      for (let j = 0; j < run.count; j++) into[j] = rays[from + j] * lengths[j];
      into.fill(0, run.count);
      kernels.call.spreadRays(first, stride, breadth, run.firstStep, run.endStep, room.ats, room.slopes, run.count, values, apart);
    }
    yield (done + 1) / views.length;
  }
  kernels.call.scatterTransposed(both.across.first, both.across.stride, height, width, both.down.first, both.down.stride);
  const picture = new Float32Array(width * height);
  for (let row = 0; row < height; row++) picture.set(kernels.f32(both.down.first + 4 * row * both.down.stride, width), row * width);
  return picture;
}

interface Bordered {
  /** Address of its first pixel. */
  readonly first: number;
  readonly stride: number;
  /** Pixels side by side. */
  readonly breadth: number;
}

/** Room for a picture with a border of zeros, and for the same turned over its diagonal. */
function takePictures(kernels: Kernels, { width, height }: Grid): { down: Bordered; across: Bordered } {
  const take = (breadth: number, length: number): Bordered => {
    const stride = breadth + 2;
    return { first: kernels.take(stride * (length + 2) + 4) + 4 * (stride + 1), stride, breadth };
  };
  return { down: take(width, height), across: take(height, width) };
}

interface RayRoom {
  readonly ats: number;
  readonly slopes: number;
  readonly lengths: number;
  readonly room: number;
}

function takeRays(kernels: Kernels, detectors: number, group: number): RayRoom {
  const room = Math.ceil(detectors / group) * group;
  return { ats: kernels.take(room, 'f64'), slopes: kernels.take(room, 'f64'), lengths: kernels.take(room, 'f64'), room };
}

/** Neighbouring rays of a view that step the same way. Their places, slopes and lengths of a step stand in the RayRoom, from its beginning. */
interface Run {
  readonly down: boolean;
  readonly from: number;
  readonly count: number;
  /** count, filled up to whole groups with rays that meet nothing. */
  readonly places: number;
  readonly firstStep: number;
  readonly endStep: number;
}

/** The rays of a view as walkRay (ray-walk.ts) has them, run by run. */
function* runsOf(kernels: Kernels, geometry: FlatBeam, grid: Grid, view: number, { ats, slopes, lengths, room }: RayRoom, group: number): Generator<Run, void, void> {
  const { width, height, pixelSize, centre = [0, 0] } = grid;
  const { detectors } = geometry, beta = geometry.angles[view];
  const cosBeta = Math.cos(beta), sinBeta = Math.sin(beta), fan = geometry.beam === 'fan';
  const at = kernels.f64(ats, room), slope = kernels.f64(slopes, room), length = kernels.f64(lengths, room);
  let down = true, forward = true, from = 0;

  const close = (end: number): Run => {
    let firstStep = 0, endStep = down ? height : width;
    if (fan) { // nothing behind the source counts
      const source = down
        ? (height - 1) / 2 - (geometry.sourceToAxis * cosBeta - centre[1]) / pixelSize
        : (width - 1) / 2 + (-geometry.sourceToAxis * sinBeta - centre[0]) / pixelSize;
      if (forward) firstStep = Math.min(endStep, Math.max(0, Math.ceil(source)));
      else endStep = Math.max(0, Math.min(endStep, Math.floor(source) + 1));
    }
    const count = end - from, places = Math.ceil(count / group) * group;
    at.fill(-1, count, places);
    slope.fill(0, count, places);
    return { down, from, count, places, firstStep, endStep };
  };

  for (let j = 0; j < detectors; j++) {
    let s = detectorPosition(geometry, j), cos = cosBeta, sin = sinBeta;
    if (fan) { // θ = β + γ, s = R sin γ, tan γ = s/S
      const far = Math.sqrt(s * s + geometry.sourceToDetector ** 2), sinGamma = s / far, cosGamma = geometry.sourceToDetector / far;
      cos = cosBeta * cosGamma - sinBeta * sinGamma;
      sin = sinBeta * cosGamma + cosBeta * sinGamma;
      s = geometry.sourceToAxis * sinGamma;
    }
    const itsDown = Math.abs(cos) >= Math.abs(sin), itsForward = (itsDown ? cos : sin) > 0;
    if (j > from && (itsDown !== down || (fan && itsForward !== forward))) {
      yield close(j);
      from = j;
    }
    down = itsDown;
    forward = itsForward;
    const distance = (s - centre[0] * cos - centre[1] * sin) / pixelSize + ((width - 1) / 2) * cos - ((height - 1) / 2) * sin;
    at[j - from] = down ? distance / cos : -distance / sin;
    slope[j - from] = down ? sin / cos : cos / sin;
    length[j - from] = pixelSize / Math.abs(down ? cos : sin);
  }
  yield close(detectors);
}
