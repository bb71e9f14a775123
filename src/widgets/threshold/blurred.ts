import { finish, part, voxelizeSolidsSteps, type Steps, type Volume } from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';
import { known, type ObjectName } from './shapes.ts';

/** Edge of the fine voxels in which the object is made and blurred, mm; the coarser ones are whole numbers of them. */
const fine = 0.5;
const grid = { width: 60, height: 60, depth: 48, voxelSize: fine };

/**
 * How much of each voxel the object fills, 0…1, seen through a blur: exact shares of fine voxels, times a Gaussian of standard deviation
 * `sigma` (mm), then means of whole fine voxels. Kept; voxel: 0.5, 1, 1.5 or 2 mm.
 */
export function* sharesSteps(object: ObjectName, sigma: number, voxel: number): Steps<Volume> {
  const sharp = yield* part(kept('threshold-sharp', object, 3, () => voxelizeSolidsSteps([{ ...known[object].form, attenuation: 1 }], grid, { samples: 3 })), 0, 0.4);
  const blurred = sigma === 0 ? sharp : yield* part(kept('threshold-blurred', `${object} ${sigma}`, 4, () => blurredSteps(sharp, sigma / fine)), 0.4, 0.9);
  const factor = Math.round(voxel / fine);
  return factor === 1 ? blurred : remember('threshold-binned', `${object} ${sigma} ${voxel}`, () => binned(blurred, factor), 8);
}

/** The same at once. */
export const shares = (object: ObjectName, sigma: number, voxel: number): Volume => finish(sharesSteps(object, sigma, voxel));

function* kept(name: string, key: string, most: number, make: () => Steps<Volume>): Steps<Volume> {
  const place = remember(name, key, () => ({ volume: undefined as Volume | undefined }), most);
  place.volume ??= yield* make();
  return remember(name, key, () => place, most).volume!;
}

/** A Gaussian of standard deviation sigma (voxels), along one axis after the other, cut off at 4 sigma; beyond the volume there is nothing. */
function* blurredSteps({ data, ...box }: Volume, sigma: number): Steps<Volume> {
  const reach = Math.ceil(4 * sigma);
  const kernel = Float64Array.from({ length: 2 * reach + 1 }, (_, i) => Math.exp(-((i - reach) ** 2) / (2 * sigma * sigma)));
  const sum = kernel.reduce((total, value) => total + value, 0);
  const { width, height, depth } = box;
  const blurred = data.slice();
  const axes = [{ count: width, step: 1 }, { count: height, step: width }, { count: depth, step: width * height }];
  const line = new Float64Array(Math.max(width, height, depth));
  for (const [k, { count, step }] of axes.entries()) {
    const lines = blurred.length / count;
    for (let l = 0; l < lines; l++) {
      const first = Math.floor(l / step) * step * count + (l % step);
      let some = 0;
      for (let at = 0; at < count; at++) some += line[at] = blurred[first + at * step];
      if (some === 0) continue; // nothing in it to spread
      for (let at = 0; at < count; at++) {
        const end = Math.min(reach, count - 1 - at);
        let value = 0;
        for (let j = Math.max(-reach, -at); j <= end; j++) value += kernel[j + reach] * line[at + j];
        blurred[first + at * step] = value / sum;
      }
      if (l % 500 === 0) yield (k + l / lines) / 3;
    }
  }
  return { ...box, data: blurred };
}

function binned({ width, height, depth, voxelSize, data }: Volume, factor: number): Volume {
  const small = { width: width / factor, height: height / factor, depth: depth / factor };
  const sums = new Float32Array(small.width * small.height * small.depth);
  for (let slice = 0, i = 0; slice < depth; slice++) {
    for (let row = 0; row < height; row++) {
      const line = (Math.floor(slice / factor) * small.height + Math.floor(row / factor)) * small.width;
      for (let column = 0; column < width; column++) sums[line + Math.floor(column / factor)] += data[i++];
    }
  }
  return { ...small, voxelSize: voxelSize * factor, data: sums.map((sum) => sum / factor ** 3) };
}
