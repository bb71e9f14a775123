import type { Steps } from '../engine/steps.ts';
import { magnification } from '../geometry/magnification.ts';
import { fbp } from '../reconstruct/fbp.ts';
import { fdk } from '../reconstruct/fdk.ts';
import type { ConeBeam, FlatBeam, Geometry, Projections, Sinogram } from '../types.ts';

export interface SharpestAxis {
  readonly axisOffset: number;
  readonly tilt: number;
  readonly deviation: { readonly axisOffset: number; readonly tilt: number };
  /** How much Σ|f| grows, as a share, when the axis is put two columns aside. */
  readonly contrast: number;
}

/**
 * The axis whose test slices are sharpest: least Σ|f| over the slices. The mass of a slice hardly depends on where the axis is put,
 * but an axis put wrong doubles edges and draws shadows below 0 beside them, which Σ|f| counts.
 * One slice in a parallel beam or fan. In a cone beam first the offset, from slices near the plane of the source, each taken for a
 * fan's; then tilt and offset from a small volume (fdk), which knows how the rays rise.
 * The scatter is that of seven slabs of the volume, each left out in turn, or of two halves of the views where there is one slice.
 * Source: Donath, Beckmann & Schreyer, J. Opt. Soc. Am. A 23:1048 (2006), citation from memory.
 */
export function* sharpestAxisSteps(frames: Projections, geometry: Geometry, free: Uint8Array): Steps<SharpestAxis> {
  const beam = flatOf(geometry);
  if (geometry.beam !== 'cone' || frames.rows < 16) {
    const sinogram = sliceOf(frames, 0);
    const { offset, contrast } = yield* offsetSteps(sinogram, beam, 0, 0.5);
    const halves = [0, 1].map((half) => halfOf(sinogram, beam, half));
    const offsets: number[] = [];
    for (const [k, half] of halves.entries()) offsets.push((yield* offsetSteps(half.sinogram, half.beam, 0.5 + k / 4, 1 / 4)).offset);
    return { axisOffset: offset, tilt: 0, deviation: { axisOffset: Math.abs(offsets[0]! - offsets[1]!) / 2, tilt: 0 }, contrast };
  }
  const rows = rowsNearSource(frames, geometry, free);
  const first: { offset: number; contrast: number }[] = [];
  for (const [k, row] of rows.entries()) first.push(yield* offsetSteps(sliceOf(frames, row), beam, (0.3 * k) / rows.length, 0.3 / rows.length));
  const start = mean(first.map(({ offset }) => offset));

  const slabsOf = slabBlurs(frames, geometry, free, acrossOf(sliceOf(frames, rows[0]!), beam, 1.4));
  const { pitch } = geometry;
  const searches = [
    { what: 'tilt', step: rad(0.5), each: 8 },
    { what: 'axisOffset', step: 0.5 * pitch, each: 4 },
    { what: 'tilt', step: rad(0.15), each: 4 },
    { what: 'axisOffset', step: 0.25 * pitch, each: 4 },
  ] as const;
  const axis = { axisOffset: start, tilt: 0 };
  const deviation = { axisOffset: 0, tilt: 0 };
  let contrast = 0;
  for (const [turn, { what, step, each }] of searches.entries()) {
    const places = Array.from({ length: 2 * each + 1 }, (_, k) => axis[what] + (k - each) * step);
    const blurs: number[][] = []; // of each place, of each slab
    for (const place of places) {
      blurs.push(slabsOf({ ...axis, [what]: place }));
      yield 0.3 + 0.7 * ((turn + blurs.length / places.length) / searches.length);
    }
    const without = (out: number) => blurs.map((slabs) => slabs.reduce((sum, blur, slab) => sum + (slab === out ? 0 : blur), 0));
    const all = without(-1);
    axis[what] = turn === 0 ? places[all.indexOf(Math.min(...all))]! : bottomOf(places, all);
    const others = blurs[0]!.map((_, slab) => bottomOf(places, without(slab)));
    const n = others.length;
    deviation[what] = Math.hypot(unseen[what](pitch), Math.sqrt(((n - 1) / n) * others.reduce((sum, other) => sum + (other - mean(others)) ** 2, 0)));
    if (turn === 1) contrast = (all[0]! + all.at(-1)!) / 2 / Math.min(...all) - 1;
  }
  return { ...axis, deviation, contrast };
}

/** What the slabs share and so cannot show by their scatter: measured, a short scan's tilt was out by up to 1°. */
const unseen = { axisOffset: (pitch: number) => 0.05 * pitch, tilt: () => rad(0.5) };

type Beam = FlatBeam;
const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
const rad = (degrees: number) => (degrees * Math.PI) / 180;

function flatOf(geometry: Geometry): Beam {
  const { angles, detectors, pitch } = geometry;
  if (geometry.beam === 'parallel') return { beam: 'parallel', angles, detectors, pitch, axisOffset: 0 };
  return { beam: 'fan', angles, detectors, pitch, axisOffset: 0, sourceToAxis: geometry.sourceToAxis, sourceToDetector: geometry.sourceToDetector };
}

/** The usable rows that show the object: three, the nearest to the plane of the source, a few rows apart. */
function rowsNearSource(frames: Projections, geometry: ConeBeam, free: Uint8Array): number[] {
  const level = (frames.rows - 1) / 2 + geometry.rowOffset / geometry.pitch;
  const apart = Math.max(1, Math.round(frames.rows / 30));
  const usable = rowsShowing(frames, free).sort((a, b) => Math.abs(a - level) - Math.abs(b - level));
  const nearest = usable[0]!;
  return [nearest - apart, nearest, nearest + apart].filter((row) => usable.includes(row));
}

function rowsShowing({ rows, columns, data }: Projections, free: Uint8Array): number[] {
  const shadow = new Float64Array(rows);
  for (let i = 0; i < data.length; i++) shadow[Math.floor(i / columns) % rows]! += Math.max(0, data[i]!);
  const greatest = Math.max(...shadow.filter((_, row) => free[row]));
  return Array.from({ length: rows }, (_, row) => row).filter((row) => free[row] && shadow[row]! > 0.3 * greatest);
}

function sliceOf({ views, rows, columns, data }: Projections, row: number): Sinogram {
  const slice = new Float32Array(views * columns);
  for (let view = 0; view < views; view++) slice.set(data.subarray((view * rows + row) * columns, (view * rows + row + 1) * columns), view * columns);
  return { views, detectors: columns, data: slice };
}

/**
 * What gives Σ|f| in seven slabs, one above the other, of a volume made with this axis. The volume takes in what the usable rows show,
 * `across` mm wide in voxels of a 64th of that; the frames are binned to match.
 */
function slabBlurs(frames: Projections, geometry: ConeBeam, free: Uint8Array, across: number): (axis: { axisOffset: number; tilt: number }) => number[] {
  const shown = rowsShowing(frames, free);
  const height = (row: number) => (((row - (frames.rows - 1) / 2) * geometry.pitch - geometry.rowOffset) * geometry.sourceToAxis) / geometry.sourceToDetector;
  const [low, high] = [height(shown[0]!), height(shown.at(-1)!)];
  const wide = 64;
  const voxelSize = across / wide;
  const depth = Math.max(7, Math.round((0.8 * (high - low)) / voxelSize));
  const grid = { width: wide, height: wide, depth, voxelSize, centre: [0, 0, (low + high) / 2] as const };
  const bin = Math.max(1, Math.floor((voxelSize * geometry.sourceToDetector) / geometry.sourceToAxis / geometry.pitch));
  const binned = binnedFrames(frames, bin);
  const coarse = { ...geometry, detectors: binned.columns, rows: binned.rows, pitch: bin * geometry.pitch };
  // Binning may drop a few cells at the far ends, which moves the middle.
  const movedColumns = ((binned.columns * bin - frames.columns) / 2) * geometry.pitch;
  const movedRows = ((binned.rows * bin - frames.rows) / 2) * geometry.pitch;
  const inside = Array.from({ length: wide * wide }, (_, i) => i).filter((i) => (Math.floor(i / wide) - (wide - 1) / 2) ** 2 + ((i % wide) - (wide - 1) / 2) ** 2 < (wide / 2 - 1) ** 2);
  return ({ axisOffset, tilt }) => {
    const beam: ConeBeam = { ...coarse, axisOffset: axisOffset - movedColumns, rowOffset: geometry.rowOffset - movedRows, tilt };
    const { data } = fdk(binned, beam, { window: 'hann', grid });
    const slabs = new Array<number>(7).fill(0);
    for (let z = 0; z < depth; z++) {
      let sum = 0;
      for (const i of inside) sum += Math.abs(data[z * wide * wide + i]!);
      slabs[Math.floor((7 * z) / depth)]! += sum;
    }
    return slabs;
  };
}

/** bin × bin cells averaged into one; cells left over at the far ends are dropped. */
function binnedFrames({ views, rows, columns, data }: Projections, bin: number): Projections {
  const [newRows, newColumns] = [Math.floor(rows / bin), Math.floor(columns / bin)];
  const result = new Float32Array(views * newRows * newColumns);
  for (let view = 0; view < views; view++) {
    for (let row = 0; row < newRows * bin; row++) {
      const to = (view * newRows + Math.floor(row / bin)) * newColumns;
      for (let j = 0; j < newColumns * bin; j++) result[to + Math.floor(j / bin)]! += data[(view * rows + row) * columns + j]! / bin ** 2;
    }
  }
  return { views, rows: newRows, columns: newColumns, data: result };
}

/** The side of a picture that holds the object `times` over, mm. */
function acrossOf(sinogram: Sinogram, beam: Beam, times: number): number {
  const [lowest, highest] = shadowOf(sinogram, beam);
  return (times * (highest - lowest)) / magnification(beam);
}

function halfOf({ detectors, data }: Sinogram, beam: Beam, half: number): { sinogram: Sinogram; beam: Beam } {
  const kept = beam.angles.map((_, view) => view).filter((view) => view % 2 === half);
  const chosen = new Float32Array(kept.length * detectors);
  kept.forEach((view, i) => chosen.set(data.subarray(view * detectors, (view + 1) * detectors), i * detectors));
  return { sinogram: { views: kept.length, detectors, data: chosen }, beam: { ...beam, angles: kept.map((view) => beam.angles[view]!) } };
}

/** Coarse over the middle half of the shadow, then finer, then the lowest point of a parabola. */
function* offsetSteps(narrow: Sinogram, narrowBeam: Beam, from: number, share: number): Steps<{ offset: number; contrast: number }> {
  const [lowest, highest] = shadowOf(narrow, narrowBeam);
  const sinogram = widened(narrow);
  const beam = { ...narrowBeam, detectors: sinogram.detectors };
  const middle = (lowest + highest) / 2;
  const width = highest - lowest;
  // Far off, what the views draw reaches a quarter of the width beyond the object: it must not leave the picture, or less would be counted.
  const blurOf = (offset: number, size: number, across: number) => sumOfSizes(sinogram, { ...beam, axisOffset: offset }, size, (across * width) / magnification(beam));
  const fineBlurOf = (offset: number) => blurOf(offset, 144, 1.4);

  const coarse = width / 80;
  let best = { offset: middle, blur: Infinity };
  for (let k = -20; k <= 20; k++) {
    const offset = middle + k * coarse;
    const blur = blurOf(offset, 80, 1.9);
    if (blur < best.blur) best = { offset, blur };
    yield from + (share * 0.5 * (k + 20)) / 40;
  }
  const fine = coarse / 4;
  const near: typeof best[] = [];
  for (let k = -6; k <= 6; k++) {
    const offset = best.offset + k * fine;
    near.push({ offset, blur: fineBlurOf(offset) });
    yield from + share * (0.5 + (0.3 * (k + 7)) / 13);
  }
  const lowestNear = near.reduce((low, each) => (each.blur < low.blur ? each : low));
  const step = Math.max(fine / 2, beam.pitch / 4);
  const finest = [-3, -2, -1, 0, 1, 2, 3].map((k) => lowestNear.offset + k * step);
  const offset = bottomOf(finest, finest.map(fineBlurOf));
  const [here, left, right] = [offset, offset - 2 * beam.pitch, offset + 2 * beam.pitch].map(fineBlurOf) as [number, number, number];
  yield from + share;
  return { offset, contrast: (left + right) / 2 / here - 1 };
}

/** Σ|f| of a slice of size × size pixels over the disc in it, no finer than its pixels, or noise would outweigh the object. */
function sumOfSizes(sinogram: Sinogram, beam: Beam, size: number, across: number): number {
  const pixelSize = across / size;
  const cutoff = Math.min(1, beam.pitch / magnification(beam) / pixelSize);
  const { data } = fbp(sinogram, beam, { window: 'hann', cutoff, grid: { width: size, height: size, pixelSize } });
  let sum = 0;
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      if ((row - (size - 1) / 2) ** 2 + (column - (size - 1) / 2) ** 2 < (size / 2 - 1) ** 2) sum += Math.abs(data[row * size + column]!);
    }
  }
  return sum;
}

/** The first and last place, mm from the detector's middle, where the mean of all views is above 3 % of its deepest. */
function shadowOf({ detectors, data }: Sinogram, { pitch }: Beam): [number, number] {
  const depth = new Float64Array(detectors);
  data.forEach((value, i) => (depth[i % detectors]! += value));
  const limit = 0.03 * Math.max(...depth);
  const inside = Array.from(depth.keys()).filter((j) => depth[j]! > limit);
  return [(inside[0]! - (detectors - 1) / 2) * pitch, (inside.at(-1)! - (detectors - 1) / 2) * pitch];
}

/** With empty cells at both ends, as no object is there: so that no part of the picture lies beyond the detector, which would pull. */
function widened({ views, detectors, data }: Sinogram): Sinogram {
  const more = Math.ceil(detectors / 3);
  const wide = new Float32Array(views * (detectors + 2 * more));
  for (let view = 0; view < views; view++) wide.set(data.subarray(view * detectors, (view + 1) * detectors), view * (detectors + 2 * more) + more);
  return { views, detectors: detectors + 2 * more, data: wide };
}

/** Where the parabola through values at equal steps, by least squares, is lowest; at most at either end. */
function bottomOf(places: readonly number[], values: readonly number[]): number {
  const n = places.length;
  const half = (n - 1) / 2;
  const squares = places.map((_, k) => (k - half) ** 2);
  const level = mean(squares);
  const slope = values.reduce((sum, value, k) => sum + (k - half) * value, 0) / (level * n);
  const curve = values.reduce((sum, value, k) => sum + (squares[k]! - level) * value, 0) / squares.reduce((sum, square) => sum + (square - level) ** 2, 0);
  if (!(curve > 0)) return places[values.indexOf(Math.min(...values))]!;
  return places[0]! + (places[1]! - places[0]!) * (half + Math.max(-half, Math.min(half, -slope / (2 * curve))));
}
