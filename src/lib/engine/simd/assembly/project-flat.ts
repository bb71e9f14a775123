import { ONES, WHOLES, WHOLE_ADDRESS, interpolate, madd } from './lines';

/** Steps of a ray whose places are reckoned from one origin. */
const STEPS: i32 = 64;

/**
 * Joseph's walk (see ray-walk.ts) along `count` rays that all step from row to row of a picture: ray j is at ats[j] + k·slopes[j] in step k,
 * f64 in pixels, first ≤ k < end. Adds to sums[j], f32, what it meets there, not yet times the length of a step.
 * pixels: pixel 0 of row 0 of a picture with a border of zeros one pixel wide, `stride` numbers to a row, `breadth` pixels between the borders.
 * Beyond the border nothing is met: places are held between −1 and `breadth`, where the interpolant is 0.
 * Arrays of rays have a multiple of four places.
 */
export function projectRays(pixels: usize, stride: i32, breadth: i32, first: i32, end: i32, ats: usize, slopes: usize, count: i32, sums: usize): void {
  for (let block = first; block < end; block += STEPS) {
    const stop = min(block + STEPS, end);
    for (let j = 0; j < count; j += 4) {
      const sum = sums + ((<usize>j) << 2);
      const at = ats + ((<usize>j) << 3), slope = slopes + ((<usize>j) << 3);
      if (!meet(at, 8, slope, 8, breadth, block, stop)) continue;
      const base = begin(at, 8, slope, 8, breadth, pixels, stride, meetFirst);
      v128.store(sum, f32x4.add(v128.load(sum), along(base, stride, meetEnd - meetFirst)));
    }
  }
}

let meetFirst: i32 = 0, meetEnd: i32 = 0, inside: bool = false;

/** The steps, of first … end − 1, in which any of four rays may meet the picture; false: none. atStride, slopeStride: bytes from ray to ray. */
function meet(at: usize, atStride: usize, slope: usize, slopeStride: usize, breadth: i32, first: i32, end: i32): bool {
  let least: f64 = <f64>end, most: f64 = <f64>first - 1;
  inside = true;
  for (let lane: usize = 0; lane < 4; lane++) {
    const a = load<f64>(at + lane * atStride), b = load<f64>(slope + lane * slopeStride);
    const enter = a + <f64>first * b, leave = a + <f64>(end - 1) * b;
    const low = min(enter, leave), high = max(enter, leave);
    if (low > -1 && high < <f64>breadth) {
      least = <f64>first;
      most = <f64>end - 1;
      continue;
    }
    inside = false;
    if (high <= -1 || low >= <f64>breadth) continue;
    const p = (-1 - a) / b, q = (<f64>breadth - a) / b;
    least = min(least, ceil(min(p, q)));
    most = max(most, floor(max(p, q)));
  }
  meetFirst = <i32>max(<f64>first, least);
  meetEnd = <i32>min(<f64>end, most + 1);
  return meetEnd > meetFirst;
}

/** Scratch that `begin` leaves for the loop: the four rays' shares, slopes, lowest and highest places. */
const state: usize = memory.data(64, 16);

/** Where four rays are in step k: whole pixels as addresses, with what WHOLES adds taken off, and the rest in `state`. */
@inline
function begin(at: usize, atStride: usize, slope: usize, slopeStride: usize, breadth: i32, pixels: usize, stride: i32, k: i32): v128 {
  const row = <i32>pixels + ((k * stride) << 2) - WHOLE_ADDRESS;
  for (let lane: usize = 0; lane < 4; lane++) {
    const b = load<f64>(slope + lane * slopeStride), place = load<f64>(at + lane * atStride) + <f64>k * b;
    const whole = floor(max(-1.0, min(<f64>breadth, place)));
    store<f32>(state + (lane << 2), <f32>(place - whole));
    store<f32>(state + (lane << 2), <f32>b, 16);
    store<f32>(state + (lane << 2), <f32>(-1.0 - whole), 32);
    store<f32>(state + (lane << 2), <f32>(<f64>breadth - whole), 48);
    store<i32>(bases + (lane << 2), row + ((<i32>whole) << 2));
  }
  return v128.load(bases);
}

const bases: usize = memory.data(16, 16);

/** The sums of four rays over so many steps from where they begin. */
@inline
function along(from: v128, stride: i32, steps: i32): v128 {
  const share = v128.load(state), slope = v128.load(state, 16), down = i32x4.splat(stride << 2);
  const wholes = v128.load_splat<u32>(WHOLES), ones = v128.load_splat<u32>(ONES);
  let base = from, sum = f32x4.splat(0), k = f32x4.splat(0);
  if (inside) {
    for (let step = 0; step < steps; step++) {
      sum = f32x4.add(sum, interpolate(madd(k, slope, share), base, wholes));
      base = i32x4.add(base, down);
      k = f32x4.add(k, ones);
    }
  } else {
    const lowest = v128.load(state, 32), highest = v128.load(state, 48);
    for (let step = 0; step < steps; step++) {
      const place = f32x4.pmax(lowest, f32x4.pmin(highest, madd(k, slope, share)));
      sum = f32x4.add(sum, interpolate(place, base, wholes));
      base = i32x4.add(base, down);
      k = f32x4.add(k, ones);
    }
  }
  return sum;
}

/**
 * The transpose: spreads values[j], f32, already times the length of a step, over the same pixels with the same weights.
 * apart: the four rays that are followed at once are so many apart, enough never to meet in a pixel: else one would wait for the other's store.
 * Arrays of rays have a multiple of 4 · apart places, those beyond the last ray of value 0.
 */
export function spreadRays(pixels: usize, stride: i32, breadth: i32, first: i32, end: i32, ats: usize, slopes: usize, count: i32, values: usize, apart: i32): void {
  const gap = (<usize>apart) << 3;
  const wholes = v128.load_splat<u32>(WHOLES), ones = v128.load_splat<u32>(ONES);
  for (let block = first; block < end; block += STEPS) {
    const stop = min(block + STEPS, end);
    for (let group = 0; group < count; group += 4 * apart) {
      for (let j = group; j < group + apart; j++) {
        const at = ats + ((<usize>j) << 3), slope = slopes + ((<usize>j) << 3), from = values + ((<usize>j) << 2);
        const value = f32x4(load<f32>(from), load<f32>(from + (gap >> 1)), load<f32>(from + gap), load<f32>(from + gap + (gap >> 1)));
        if (!v128.any_true(value)) continue;
        if (!meet(at, gap, slope, gap, breadth, block, stop)) continue;
        let base = begin(at, gap, slope, gap, breadth, pixels, stride, meetFirst);
        const share = v128.load(state), slopes4 = v128.load(state, 16), lowest = v128.load(state, 32), highest = v128.load(state, 48);
        const down = i32x4.splat(stride << 2);
        let k = f32x4.splat(0);
        for (let step = meetFirst; step < meetEnd; step++) {
          const place = f32x4.pmax(lowest, f32x4.pmin(highest, madd(k, slopes4, share)));
          const whole = f32x4.floor(place);
          const toFar = f32x4.mul(value, f32x4.sub(place, whole)), toNear = f32x4.sub(value, toFar);
          const address = i32x4.add(i32x4.shl(f32x4.add(whole, wholes), 2), base);
          const low = v128.shuffle<f32>(toNear, toFar, 0, 4, 1, 5), high = v128.shuffle<f32>(toNear, toFar, 2, 6, 3, 7);
          const p = <usize>i32x4.extract_lane(address, 0), q = <usize>i32x4.extract_lane(address, 1);
          const r = <usize>i32x4.extract_lane(address, 2), s = <usize>i32x4.extract_lane(address, 3);
          // One after the other: at the border two of them may after all lie on the same pixel.
          v128.store_lane<u64>(p, f32x4.add(v128.load_zero<u64>(p), low), 0);
          v128.store_lane<u64>(q, f32x4.add(v128.load_lane<u64>(q, low, 1), v128.shuffle<f32>(low, f32x4.splat(0), 4, 4, 2, 3)), 1);
          v128.store_lane<u64>(r, f32x4.add(v128.load_zero<u64>(r), high), 0);
          v128.store_lane<u64>(s, f32x4.add(v128.load_lane<u64>(s, high, 1), v128.shuffle<f32>(high, f32x4.splat(0), 4, 4, 2, 3)), 1);
          base = i32x4.add(base, down);
          k = f32x4.add(k, ones);
        }
      }
    }
  }
}

/** target[column][row] = source[row][column], each with so many numbers to its rows. */
export function gatherTransposed(source: usize, sourceStride: i32, width: i32, height: i32, target: usize, targetStride: i32): void {
  transposeBlocks(source, sourceStride, width, height, target, targetStride, false);
}

/** target[column][row] += source[row][column]. */
export function scatterTransposed(source: usize, sourceStride: i32, width: i32, height: i32, target: usize, targetStride: i32): void {
  transposeBlocks(source, sourceStride, width, height, target, targetStride, true);
}

/** In squares of 16 numbers, a line of cache wide. */
@inline
function transposeBlocks(source: usize, sourceStride: i32, width: i32, height: i32, target: usize, targetStride: i32, adding: bool): void {
  for (let top = 0; top < height; top += 16) {
    const bottom = min(top + 16, height);
    for (let left = 0; left < width; left += 16) {
      const right = min(left + 16, width);
      for (let column = left; column < right; column++) {
        let to = target + ((<usize>column * <usize>targetStride + <usize>top) << 2);
        let from = source + ((<usize>top * <usize>sourceStride + <usize>column) << 2);
        for (let row = top; row < bottom; row++) {
          store<f32>(to, adding ? load<f32>(to) + load<f32>(from) : load<f32>(from));
          to += 4;
          from += (<usize>sourceStride) << 2;
        }
      }
    }
  }
}
