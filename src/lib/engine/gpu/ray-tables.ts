import { writeConeRay } from '../../geometry/cone-ray.ts';
import { detectorIndex } from '../../geometry/detector-position.ts';
import { emptyWalk, walkRay } from '../../project/ray-walk.ts';
import type { ConeBeam, FlatBeam, Grid, VolumeGrid } from '../../types.ts';
import { roundAndRest } from './round-and-rest.ts';

/**
 * Every ray's walk through a slice, worked out by walkRay itself, eight words a ray: place and slope counted from the middle of the grid, each as a round
 * number and its rest (see roundAndRest); the step, mm; first and end; 1 where the walk goes down the rows.
 */
export function flatRays(geometry: FlatBeam, grid: Grid): Float32Array {
  const views = geometry.angles.length, { detectors } = geometry;
  const words = new Float32Array(views * detectors * 8), whole = new Int32Array(words.buffer);
  const walk = emptyWalk();
  for (let ray = 0; ray < views * detectors; ray++) {
    walkRay(walk, geometry, Math.floor(ray / detectors), ray % detectors, grid);
    const down = walk.across === 1;
    const steps = down ? grid.height : grid.width, breadth = down ? grid.width : grid.height;
    words.set(roundAndRest(walk.at + ((steps - 1) / 2) * walk.slope - (breadth - 1) / 2, PIXEL_GRID), 8 * ray);
    words.set(roundAndRest(walk.slope, PIXEL_GRID), 8 * ray + 2);
    words[8 * ray + 4] = walk.step;
    whole.set([walk.first, Math.max(walk.first, walk.end), down ? 1 : 0], 8 * ray + 5);
  }
  return words;
}

/** Where a pixel falls on the detector, cell = (a + b·x + c·y)/(d + e·x + f·y), x and y in pixels from the grid's middle: eight words a view, two empty. */
export function flatPlaces(geometry: FlatBeam, { pixelSize, centre = [0, 0] }: Grid): Float32Array {
  const list: number[] = [], middle = detectorIndex(geometry, 0);
  for (const angle of geometry.angles) {
    const cos = Math.cos(angle), sin = Math.sin(angle), [x, y] = centre;
    const scale = geometry.beam === 'fan' ? geometry.sourceToDetector / geometry.sourceToAxis / geometry.pitch : 1 / geometry.pitch;
    const far = geometry.beam === 'fan' ? geometry.sourceToAxis : Infinity;
    const deep = [1 + (x * sin - y * cos) / far, (pixelSize * sin) / far, (pixelSize * cos) / far];
    const aside = [scale * (x * cos + y * sin), scale * pixelSize * cos, -scale * pixelSize * sin];
    list.push(...aside.map((value, k) => value + middle * deep[k]), ...deep, 0, 0);
  }
  return Float32Array.from(list);
}

/** What places and slopes are rounded to: 24 bits then hold places up to 2,048 pixels from the middle, at steps that are counted in halves. */
const PIXEL_GRID = 2 ** -12;

/** Words a view in coneRays. */
export const CONE_WORDS = 44;

/**
 * What a kernel needs to know of each view of a cone, in voxels from the grid's middle, columns to +x, rows to −y, slices to +z; c and r are a cell's
 * column and row from the detector's middle. 44 words a view, in groups of four:
 *   0–2   the ray's direction = [0] + c·[1] + r·[2], not of length 1; the fourth words: the source
 *   3–5   source × direction, the same way: with it a ray's place on a plane near the grid's middle is a small number, free of cancellation
 *   6–7   whole numbers: the first step along x, y, z of a ray that runs up that axis, and the end of one that runs down it; nothing behind the source
 *   8–10  where a voxel falls on the detector: (column·w, row·w, w) = the first three words · (x, y, z) + the fourth
 */
export function coneRays(geometry: ConeBeam, grid: VolumeGrid): Float32Array {
  const { angles, detectors, rows, sourceToAxis: R, sourceToDetector: S } = geometry;
  const { width, height, depth, voxelSize, centre = [0, 0, 0] } = grid;
  const words = new Float32Array(angles.length * CONE_WORDS), whole = new Int32Array(words.buffer);
  const { pitch, axisOffset, rowOffset, tilt } = geometry;
  const lean = [Math.cos(tilt), Math.sin(tilt)];
  const sizes = [width, height, depth];
  for (const [view, angle] of angles.entries()) {
    const at = view * CONE_WORDS, cos = Math.cos(angle), sin = Math.sin(angle);
    const inVoxels = ([x, y, z]: number[]) => [x / voxelSize, -y / voxelSize, z / voxelSize];
    const source = inVoxels([-R * sin - centre[0], R * cos - centre[1], -centre[2]]);
    // The direction to a cell, mm: S along (sin, −cos) and u along (cos, sin), v up; a detector's row and column lean.
    const toPlace = (u: number, v: number) => [u * cos, u * sin, v];
    const offset = toPlace(-axisOffset * lean[0] + rowOffset * lean[1], -axisOffset * lean[1] - rowOffset * lean[0]);
    const direction = [
      inVoxels([S * sin + offset[0], -S * cos + offset[1], offset[2]]), inVoxels(toPlace(pitch * lean[0], pitch * lean[1])), inVoxels(toPlace(-pitch * lean[1], pitch * lean[0])),
    ];
    for (let k = 0; k < 3; k++) {
      words.set([...direction[k], source[k]], at + 4 * k);
      words.set(cross(source, direction[k]), at + 12 + 4 * k);
      const place = source[k] + (sizes[k] - 1) / 2;
      whole[at + 24 + k] = clamp(Math.ceil(place), sizes[k]);
      whole[at + 28 + k] = clamp(Math.floor(place) + 1, sizes[k]);
    }
    // The voxel at (x, y, z) from the source: u = S·(x cos + y sin)/w, v = S·z/w, w = x sin − y cos.
    const w = [sin, cos, 0], u = [S * cos, -S * sin, 0], v = [0, 0, S]; // of a voxel's steps: its rows run to −y
    const columnOf = w.map((_, k) => (u[k] * lean[0] + v[k] * lean[1]) / pitch + (axisOffset / pitch + (detectors - 1) / 2) * w[k]);
    const rowOf = w.map((_, k) => (v[k] * lean[0] - u[k] * lean[1]) / pitch + (rowOffset / pitch + (rows - 1) / 2) * w[k]);
    for (const [k, line] of [columnOf, rowOf, w].entries()) words.set([...line, -dot(line, source)], at + 32 + 4 * k);
  }
  return words;
}

/**
 * Along which axis the rays of a view's columns walk, one word a column: 0 along x, 1 along y, provided that neither z is longer. Single
 * precision could not tell for a ray at 45°: there both would do, but they are not the same. From 2 on: the ray's row tells, in `ties`.
 * Of a leaning detector this is not kept (4 · 2³⁰: the kernel finds out).
 */
export function coneAxes(geometry: ConeBeam): { axes: Uint32Array; ties: Uint32Array } {
  const { angles, detectors, rows } = geometry;
  const axes = new Uint32Array(angles.length * detectors), ties: number[] = [];
  if (geometry.tilt !== 0) return { axes: axes.fill(0xffffffff), ties: new Uint32Array(1) };
  const ray = new Float64Array(6);
  const alongY = (view: number, column: number, row: number) => (writeConeRay(geometry, view, column, row, ray), Math.abs(ray[3]) >= Math.abs(ray[4]) ? 0 : 1);
  for (let view = 0; view < angles.length; view++) {
    for (let column = 0; column < detectors; column++) {
      const along = alongY(view, column, 0), at = view * detectors + column;
      axes[at] = along;
      if (Math.abs(Math.abs(ray[3]) - Math.abs(ray[4])) > 1e-12) continue;
      axes[at] = 2 + ties.length;
      for (let row = 0; row < rows; row++) ties.push(alongY(view, column, row));
    }
  }
  return { axes, ties: Uint32Array.from(ties.length > 0 ? ties : [0]) };
}

function cross([a, b, c]: number[], [x, y, z]: number[]): number[] {
  return [b * z - c * y, c * x - a * z, a * y - b * x];
}

function dot([a, b, c]: number[], [x, y, z]: number[]): number {
  return a * x + b * y + c * z;
}

function clamp(index: number, count: number): number {
  return Math.min(count, Math.max(0, index));
}
