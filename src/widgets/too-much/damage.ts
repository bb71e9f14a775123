import { pixelPosition } from '../../lib/index.ts';
import type { Image } from '../../lib/index.ts';
import { object, slope } from './object.ts';

/** What a picture of the object lost, and what it has that the object has not. */
export interface Damage {
  /** Of each faint disc's contrast against what is round it, the share that is left. */
  readonly left: readonly number[];
  /** Of them, those of which less than half is left. */
  readonly lost: number;
  /** Of the ramp, the share that hardly rises: by less than a fifth of the true slope from one pixel to the next. */
  readonly flat: number;
  /** Even patches that look like details and stand where the object has none, and their area in mm². */
  readonly invented: readonly Patch[];
}
export interface Patch { readonly x: number; readonly y: number; readonly area: number }

/** From one pixel to the next within an even patch, at most this, 1/mm. */
const even = 0.0003;
/** A patch differs from what is round it by at least this: a quarter of the fainter details' contrast. */
const step = 0.0005;
const [least, most] = [5, 60]; // mm²: of a disc from 2.5 to 8.7 mm across

export function damageOf(picture: Image, truth: Image): Damage {
  const left = object.details.map((detail) => contrastOf(picture, detail) / detail.contrast);
  return { left, lost: left.filter((share) => share < 0.5).length, flat: flatShare(picture), invented: inventedIn(picture, truth) };
}

/** Mean within 70 % of a disc's radius, less that of a ring from 1 to 2 mm outside it. */
function contrastOf(picture: Image, { x, y, radius }: { x: number; y: number; radius: number }): number {
  const distance = (i: number) => Math.hypot(...offset(picture, i, x, y));
  return meanWhere(picture, (i) => distance(i) < Math.max(0.7 * radius, 0.75 * picture.pixelSize)) - meanWhere(picture, (i) => distance(i) > radius + 1 && distance(i) < radius + 2);
}

function offset(picture: Image, i: number, x: number, y: number): [number, number] {
  const [px, py] = pixelPosition(picture, i % picture.width, Math.floor(i / picture.width));
  return [px - x, py - y];
}

function meanWhere({ data }: Image, holds: (i: number) => boolean): number {
  let [sum, count] = [0, 0];
  for (let i = 0; i < data.length; i++) if (holds(i)) [sum, count] = [sum + data[i], count + 1];
  return count > 0 ? sum / count : 0;
}

function flatShare(picture: Image): number {
  let [flat, all] = [0, 0];
  for (let i = 0; i + 1 < picture.data.length; i++) {
    const [x, y] = offset(picture, i, 0, 0);
    if (y > object.ramp.top - 4 || y < -26 || Math.hypot(x + picture.pixelSize, y) > object.radius - 4 || Math.hypot(x, y) > object.radius - 4) continue;
    all++;
    if (Math.abs(picture.data[i + 1] - picture.data[i]) < 0.2 * slope * picture.pixelSize) flat++;
  }
  return all > 0 ? flat / all : 0;
}

/** Patches in which no pixel differs from its neighbour by more than `even`, of a detail's size, away from true edges, with a step round them of which the truth has less than a quarter. */
function inventedIn(picture: Image, truth: Image): Patch[] {
  const { width, height, pixelSize } = picture;
  const edges = nearEdges(truth);
  const patchOf = new Int32Array(width * height).fill(-1);
  const found: Patch[] = [];
  for (let start = 0; start < patchOf.length; start++) {
    if (patchOf[start] >= 0) continue;
    const pixels = [start];
    patchOf[start] = start;
    for (let k = 0; k < pixels.length; k++) {
      const i = pixels[k];
      for (const next of neighbours(i, width, height)) {
        if (patchOf[next] >= 0 || Math.abs(picture.data[next] - picture.data[i]) >= even) continue;
        patchOf[next] = start;
        pixels.push(next);
      }
    }
    const area = pixels.length * pixelSize ** 2;
    if (area < least || area > most || pixels.some((i) => edges[i] || outside(picture, i))) continue;
    const round = roundAbout(pixels, patchOf, start, width, height);
    const mean = ({ data }: Image, list: readonly number[]) => list.reduce((sum, i) => sum + data[i], 0) / list.length;
    const [seen, real] = [picture, truth].map((image) => mean(image, pixels) - mean(image, round));
    if (Math.abs(seen) < step || Math.abs(real) > Math.abs(seen) / 4) continue;
    const places = pixels.map((i) => offset(picture, i, 0, 0));
    found.push({ x: places.reduce((sum, [x]) => sum + x, 0) / places.length, y: places.reduce((sum, [, y]) => sum + y, 0) / places.length, area });
  }
  return found;
}

const outside = (picture: Image, i: number) => Math.hypot(...offset(picture, i, 0, 0)) > object.field;

/** Pixels within two of a step in the truth that is steeper than the ramp. */
function nearEdges({ width, height, pixelSize, data }: Image): Uint8Array {
  const steep = 4 * slope * pixelSize;
  const near = new Uint8Array(data.length);
  for (let i = 0; i < data.length; i++) {
    if (!neighbours(i, width, height).some((next) => Math.abs(data[next] - data[i]) > steep)) continue;
    for (const each of square(i, 2, width, height)) near[each] = 1;
  }
  return near;
}

function roundAbout(pixels: readonly number[], patchOf: Int32Array, patch: number, width: number, height: number): number[] {
  const round = new Set<number>();
  for (const i of pixels) for (const each of square(i, 2, width, height)) if (patchOf[each] !== patch) round.add(each);
  return [...round];
}

function neighbours(i: number, width: number, height: number): number[] {
  const column = i % width;
  return [column > 0 ? i - 1 : -1, column < width - 1 ? i + 1 : -1, i - width, i + width].filter((next) => next >= 0 && next < width * height);
}

function square(i: number, reach: number, width: number, height: number): number[] {
  const [column, row] = [i % width, Math.floor(i / width)];
  const list: number[] = [];
  for (let y = Math.max(0, row - reach); y <= Math.min(height - 1, row + reach); y++) for (let x = Math.max(0, column - reach); x <= Math.min(width - 1, column + reach); x++) list.push(y * width + x);
  return list;
}
