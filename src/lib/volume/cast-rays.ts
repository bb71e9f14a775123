import { finish, type Steps } from '../engine/steps.ts';
import { checkGrid } from '../reconstruct/match-sinogram.ts';
import type { Image, Volume } from '../types.ts';
import { cameraFrame, type Camera } from './camera.ts';
import { dot, minus, plus, unit, type Point3 } from './point.ts';
import { trilinear } from './trilinear.ts';
import { voxelAt } from './voxel-position.ts';

/** What a value looks like: a stop of a transfer function. */
export interface TransferPoint {
  /** 1/mm, as the volume. */
  readonly value: number;
  /** What it hides, 1/mm: a depth t of it lets exp(−opacity·t) of the light behind it through. */
  readonly opacity: number;
  /** How bright it is, 0…1. */
  readonly brightness: number;
}

/**
 * What a pixel shows of the values along its ray.
 *   'maximum', 'mean': in the unit of the volume.   'integral': times mm; what X-rays along that ray would lose.
 *   'opacity': the brightness, 0…1, of what is neither hidden nor empty, on black. points: at least one, values rising; linear between
 *   them, the first and last hold beyond. shading 0…1: how far a surface darkens as it turns away from the viewer, by Lambert's cosine.
 */
export type Transfer =
  | { readonly kind: 'maximum' | 'mean' | 'integral' }
  | { readonly kind: 'opacity'; readonly points: readonly TransferPoint[]; readonly shading?: number };

/** Cuts away what lies on the side of the plane through `point` to which `normal` points. */
export interface ClipPlane {
  readonly point: Point3;
  readonly normal: Point3;
}

export interface CastOptions {
  readonly clip?: readonly ClipPlane[];
  /** Longest step along a ray, mm; half a voxel when left out. */
  readonly step?: number;
}

/** A picture cast through a volume; pixelSize is mm at the distance of the target. Rays that meet nothing: value and opacity 0. */
export interface CastPicture extends Image {
  /** How much of what is behind is hidden, 0…1, a pixel; 1 wherever a ray met the volume, but for 'opacity'. */
  readonly opacity: Float32Array;
}

/**
 * The volume seen by a camera, one ray through the middle of each pixel, from front to back. The values between voxels are linear, taken
 * at the middles of equal steps between the points where the ray enters and leaves; NaN voxels count as empty.
 *   'opacity': brightness = Σ bᵢ·(1 − e^(−σᵢ·step))·Π_{k<i} e^(−σₖ·step), until less than a thousandth of the light is left.
 * In perspective only what lies before the eye is seen. Throws RangeError for a camera, a transfer function or a step that cannot be.
 * Source: N. Max, IEEE Trans. Vis. Comput. Graph. 1 (1995) 99, absorption plus emission (from memory).
 */
export function castRays(volume: Volume, camera: Camera, transfer: Transfer, options: CastOptions = {}): CastPicture {
  return finish(castRaysSteps(volume, camera, transfer, options));
}

/** The same as steps that can be followed and stopped. */
export function* castRaysSteps(volume: Volume, camera: Camera, transfer: Transfer, { clip = [], step = volume.voxelSize / 2 }: CastOptions = {}): Steps<CastPicture> {
  const { width, height, projection, eye, target, field } = camera;
  if (!(step > 0 && field > 0)) throw new RangeError(`The step along a ray is ${step} mm and the field ${field} mm; both should be above 0.`);
  const pixelSize = field / height;
  checkGrid({ width, height, pixelSize });
  const { right, up, forward, distance } = cameraFrame(camera);
  const planes = clip.map(({ point, normal }) => ({ point, normal: unit(normal, 'The normal of a clip plane') }));
  const look = lookOf(transfer);
  const data = new Float32Array(width * height), opacity = new Float32Array(width * height);
  const seen = { value: 0, opacity: 0 };
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < width; column++) {
      const u = (column - (width - 1) / 2) * pixelSize, v = ((height - 1) / 2 - row) * pixelSize;
      const through = plus(plus(target, right, u), up, v);
      const origin = projection === 'perspective' ? eye : plus(through, forward, -distance);
      const direction = projection === 'perspective' ? unit(minus(through, eye), 'A ray') : forward;
      const [from, to] = stretch(volume, origin, direction, planes, projection === 'perspective' ? 0 : -Infinity);
      if (!(to > from)) continue;
      const count = Math.ceil((to - from) / step - 1e-9);
      look(volume, origin, direction, from, (to - from) / count, count, seen);
      data[row * width + column] = seen.value;
      opacity[row * width + column] = seen.opacity;
    }
    yield (row + 1) / height;
  }
  return { width, height, pixelSize, data, opacity };
}

/** From where to where (mm along it) a ray runs inside the volume's faces and the clip planes. */
function stretch(volume: Volume, origin: Point3, direction: Point3, planes: readonly ClipPlane[], nearest: number): [from: number, to: number] {
  const at = voxelAt(volume, origin);
  const sizes = [volume.width, volume.height, volume.depth];
  let from = nearest, to = Infinity;
  for (let axis = 0; axis < 3; axis++) {
    const slope = (axis === 1 ? -direction[axis] : direction[axis]) / volume.voxelSize;
    if (slope === 0) {
      if (!(at[axis] >= -0.5 && at[axis] <= sizes[axis] - 0.5)) return [0, 0];
      continue;
    }
    const one = (-0.5 - at[axis]) / slope, other = (sizes[axis] - 0.5 - at[axis]) / slope;
    from = Math.max(from, Math.min(one, other));
    to = Math.min(to, Math.max(one, other));
  }
  for (const { point, normal } of planes) {
    const away = dot(minus(origin, point), normal), slope = dot(direction, normal);
    if (slope > 0) to = Math.min(to, -away / slope);
    else if (slope < 0) from = Math.max(from, -away / slope);
    else if (away > 0) return [0, 0];
  }
  return [from, to];
}

type Look = (volume: Volume, origin: Point3, direction: Point3, from: number, step: number, count: number, seen: { value: number; opacity: number }) => void;

function lookOf(transfer: Transfer): Look {
  if (transfer.kind === 'opacity') return lookThrough(transfer.points, transfer.shading ?? 0);
  const { kind } = transfer;
  return (volume, origin, direction, from, step, count, seen) => {
    const [c, r, s] = voxelAt(volume, plus(origin, direction, from));
    const dc = (direction[0] * step) / volume.voxelSize, dr = (-direction[1] * step) / volume.voxelSize, ds = (direction[2] * step) / volume.voxelSize;
    let sum = 0, greatest = -Infinity, numbers = 0;
    for (let i = 0; i < count; i++) {
      const value = trilinear(volume, c + (i + 0.5) * dc, r + (i + 0.5) * dr, s + (i + 0.5) * ds);
      if (Number.isNaN(value)) continue;
      numbers++;
      sum += value;
      if (value > greatest) greatest = value;
    }
    seen.opacity = numbers > 0 ? 1 : 0;
    seen.value = numbers === 0 ? 0 : kind === 'maximum' ? greatest : kind === 'mean' ? sum / numbers : sum * step;
  };
}

function lookThrough(points: readonly TransferPoint[], shading: number): Look {
  const wrong = points.findIndex(({ value, opacity, brightness }, i) => !(opacity >= 0 && brightness >= 0 && brightness <= 1 && (i === 0 ? Number.isFinite(value) : value > points[i - 1].value)));
  if (points.length === 0 || wrong >= 0) {
    throw new RangeError(points.length === 0
      ? 'The transfer function has no point and needs at least one.'
      : `Point ${wrong} of the transfer function (counted from 0) does not fit: values have to rise, opacities to be 0 or more, brightnesses to lie between 0 and 1.`);
  }
  if (!(shading >= 0 && shading <= 1)) throw new RangeError(`The shading is ${shading} and should lie between 0 and 1.`);
  const values = Float64Array.from(points, ({ value }) => value);
  const opacities = Float64Array.from(points, ({ opacity }) => opacity), brightnesses = Float64Array.from(points, ({ brightness }) => brightness);
  const last = values.length - 1;
  const between = (levels: Float64Array, value: number): number => {
    if (value <= values[0]) return levels[0];
    if (value >= values[last]) return levels[last];
    let i = 1;
    while (value > values[i]) i++;
    return levels[i - 1] + ((value - values[i - 1]) / (values[i] - values[i - 1])) * (levels[i] - levels[i - 1]);
  };
  return (volume, origin, direction, from, step, count, seen) => {
    const [c0, r0, s0] = voxelAt(volume, plus(origin, direction, from));
    const dc = (direction[0] * step) / volume.voxelSize, dr = (-direction[1] * step) / volume.voxelSize, ds = (direction[2] * step) / volume.voxelSize;
    let left = 1, light = 0;
    for (let i = 0; i < count && left > 1e-3; i++) {
      const c = c0 + (i + 0.5) * dc, r = r0 + (i + 0.5) * dr, s = s0 + (i + 0.5) * ds;
      const value = trilinear(volume, c, r, s);
      const sigma = Number.isNaN(value) ? 0 : between(opacities, value);
      if (sigma === 0) continue;
      const hidden = 1 - Math.exp(-sigma * step);
      const lit = shading === 0 ? 1 : 1 - shading + shading * facing(volume, c, r, s, direction);
      light += left * hidden * lit * between(brightnesses, value);
      left *= 1 - hidden;
    }
    seen.value = light;
    seen.opacity = 1 - left;
  };
}

/** Cosine between the line of sight and the steepest rise of the values, by differences over two voxels; 1 where they do not change. */
function facing(volume: Volume, c: number, r: number, s: number, direction: Point3): number {
  const { width, height, depth } = volume;
  const difference = (ahead: number, behind: number) => (Number.isNaN(ahead - behind) ? 0 : ahead - behind);
  const x = difference(trilinear(volume, Math.min(c + 1, width - 1), r, s), trilinear(volume, Math.max(c - 1, 0), r, s));
  const y = difference(trilinear(volume, c, Math.max(r - 1, 0), s), trilinear(volume, c, Math.min(r + 1, height - 1), s));
  const z = difference(trilinear(volume, c, r, Math.min(s + 1, depth - 1)), trilinear(volume, c, r, Math.max(s - 1, 0)));
  const length = Math.sqrt(x * x + y * y + z * z);
  return length > 0 ? Math.abs(x * direction[0] + y * direction[1] + z * direction[2]) / length : 1;
}
