import { FOURS, ONES, WHOLES, WHOLE_ADDRESS, addLines, ends, firsts, madd, setLine, toInteger } from './lines';

/** Voxels whose places among the rows are reckoned from one origin. */
const VOXELS: i32 = 64;

/**
 * Cones. In here a volume lies in columns: voxel (z, row, column) is number (row · wide + column) · tall + z, tall a multiple of 4.
 *
 * An upright detector's column and the axis lie in one plane. So all its rays that step along x, or along y, pass between the same two columns of
 * voxels in step k: these are blended once, and the rays, which in that plane rise by the same distance from each to the next, read from them.
 */

/**
 * One column of an upright detector, over its cells firstRow … endRow − 1. Adds to sums[row], f32, what each ray meets in the steps
 * first … end − 1, not yet times its length of a step.
 * planeStride, oneStride: numbers from a step, and from a column of voxels, to the next.   In step k the rays are at oneAt + k·oneSlope of
 * oneCount columns, and the one to cell `row` at the height slice + (k − source)·(rise + row·riseStep) of `depth` voxels.
 * blend: four times tall + 16 numbers, zeros before they are first used; sums: three numbers beyond the last are read and written.
 */
export function projectColumn(
  volume: usize, planeStride: i32, oneStride: i32, tall: i32, depth: i32, first: i32, end: i32, oneAt: f64, oneSlope: f64, oneCount: i32,
  slice: f64, source: f64, rise: f64, riseStep: f64, firstRow: i32, endRow: i32, sums: usize, blend: usize,
): void {
  const blendStride = (<usize>tall + 16) << 2;
  let slot = 0;
  for (let k = first; k < end; k++) {
    const from = <f64>k - source, step = from * riseStep, start = slice + from * rise;
    // The rows whose rays pass within a voxel of the column, and the voxels that they read.
    let low = firstRow, high = endRow;
    if (step > 0) {
      low = <i32>max(<f64>low, min(<f64>high, floor((-1 - start) / step) + 1));
      high = <i32>min(<f64>high, max(<f64>low, ceil((<f64>depth - start) / step)));
    } else if (!(start > -1 && start < <f64>depth)) continue;
    if (low >= high) continue;
    const one = oneAt + <f64>k * oneSlope, whole = floor(one);
    const i = <i32>whole;
    if (i < -1 || i >= oneCount) continue;
    const bottom = max(0, <i32>floor(start + <f64>low * step) - 1) & ~3, top = min(tall, (<i32>floor(start + <f64>(high - 1) * step) + 6) & ~3);
    const p = f32x4.splat(<f32>(one - whole)), q = f32x4.splat(<f32>(1 - (one - whole)));
    const left = volume + <usize>((k * planeStride + i * oneStride) << 2), right = left + ((<usize>oneStride) << 2);
    const cells = blend + <usize>slot * blendStride + 32;
    if (i < 0) {
      for (let z = (<usize>bottom) << 2; z < (<usize>top) << 2; z += 16) v128.store(cells + z, f32x4.mul(p, v128.load(right + z)));
    } else if (i + 1 >= oneCount) {
      for (let z = (<usize>bottom) << 2; z < (<usize>top) << 2; z += 16) v128.store(cells + z, f32x4.mul(q, v128.load(left + z)));
    } else {
      for (let z = (<usize>bottom) << 2; z < (<usize>top) << 2; z += 16) {
        const near = v128.load(left + z);
        v128.store(cells + z, madd(p, f32x4.sub(v128.load(right + z), near), near));
      }
    }
    setLine(slot, start, step, cells, <f64>(depth - 1));
    store<i32>(firsts + ((<usize>slot) << 2), low);
    store<i32>(ends + ((<usize>slot) << 2), high);
    if (++slot === 4) {
      addLines(4, sums);
      slot = 0;
    }
  }
  if (slot > 0) addLines(slot, sums);
}

/**
 * The transpose: spreads the values of the column's cells, f32 and already times their lengths of a step, over the same voxels. values: 0 in the
 * 16 numbers before cell firstRow and after cell endRow − 1, and in all cells that are not to count.
 */
export function spreadColumn(
  volume: usize, planeStride: i32, oneStride: i32, tall: i32, depth: i32, first: i32, end: i32, oneAt: f64, oneSlope: f64, oneCount: i32,
  slice: f64, source: f64, rise: f64, riseStep: f64, firstRow: i32, endRow: i32, values: usize,
): void {
  for (let k = first; k < end; k++) {
    const from = <f64>k - source, step = from * riseStep, start = slice + from * rise;
    const one = oneAt + <f64>k * oneSlope, whole = floor(one);
    const i = <i32>whole;
    if (i < -1 || i >= oneCount) continue;
    const low = start + <f64>firstRow * step, high = start + <f64>(endRow - 1) * step;
    const bottom = <i32>max(0.0, floor(low)), top = <i32>min(<f64>depth, floor(high) + 2);
    if (bottom >= top) continue;
    const p = one - whole;
    const left = volume + <usize>((k * planeStride + i * oneStride) << 2), right = left + ((<usize>oneStride) << 2);
    const toLeft = i >= 0 ? <f32>(1 - p) : <f32>0, toRight = i + 1 < oneCount ? <f32>p : <f32>0;
    // A side that lies outside gets nothing, and is not touched: the other one stands in for it.
    const l = i >= 0 ? left : right, r = i + 1 < oneCount ? right : left;
    if (step >= 1) spreadPlane(l, r, toLeft, toRight, bottom, top, start, step, firstRow, endRow, values, 1);
    else if (step >= 0.5) spreadPlane(l, r, toLeft, toRight, bottom, top, start, step, firstRow, endRow, values, 2);
    else spreadRows(l, r, toLeft, toRight, depth, start, step, firstRow, endRow, values);
  }
}

/**
 * From the voxels' side: each gets max(0, 1 − |its height − a ray's|) of every ray's value. In rows, voxel z lies at (z − start)/step, and the rays that
 * reach it are the `reach` (1/step, rounded up) rows at or below that and as many above.
 */
@inline
function spreadPlane(left: usize, right: usize, toLeft: f32, toRight: f32, bottom: i32, top: i32, start: f64, step: f64, firstRow: i32, endRow: i32, values: usize, reach: i32): void {
  const perVoxel = 1 / step, slope = f32x4.splat(<f32>perVoxel), steep = f32x4.splat(<f32>step);
  const one = v128.load_splat<u32>(ONES), zero = f32x4.splat(0), fours = v128.load_splat<u32>(FOURS), wholes = v128.load_splat<u32>(WHOLES);
  const shareLeft = f32x4.splat(toLeft), shareRight = f32x4.splat(toRight);
  const both = left !== right;
  for (let block = bottom & ~3; block < top; block += VOXELS) {
    const stop = min(block + VOXELS, top);
    const place = (<f64>block - start) * perVoxel, whole = floor(place);
    const share = f32x4.splat(<f32>(place - whole)), base = i32x4.splat(<i32>values + (toInteger(whole) << 2) - WHOLE_ADDRESS);
    // Places further out than the zeros beside the values reach nobody: hold them there.
    const lowest = f32x4.splat(<f32>(<f64>(firstRow - 4) - whole)), highest = f32x4.splat(<f32>(<f64>(endRow + 4) - whole));
    let k = f32x4(0, 1, 2, 3);
    for (let z = (<usize>block) << 2; z < (<usize>stop) << 2; z += 16) {
      const at = f32x4.pmax(lowest, f32x4.pmin(highest, madd(k, slope, share)));
      const below = f32x4.floor(at), t = f32x4.sub(at, below);
      const address = i32x4.add(i32x4.shl(f32x4.add(below, wholes), 2), base);
      const low = i64x2.extract_lane(address, 0), high = i64x2.extract_lane(address, 1);
      const a = <usize>low, b = <usize>(<u64>low >> 32), c = <usize>high, d = <usize>(<u64>high >> 32);
      const near = f32x4.pmax(zero, f32x4.sub(one, f32x4.mul(steep, t)));
      const far = f32x4.pmax(zero, f32x4.sub(one, f32x4.mul(steep, f32x4.sub(one, t))));
      let sum: v128;
      if (reach === 1) {
        const ab = v128.load_lane<u64>(b, v128.load_zero<u64>(a), 1), cd = v128.load_lane<u64>(d, v128.load_zero<u64>(c), 1);
        sum = f32x4.add(f32x4.mul(near, v128.shuffle<f32>(ab, cd, 0, 2, 4, 6)), f32x4.mul(far, v128.shuffle<f32>(ab, cd, 1, 3, 5, 7)));
      } else {
        const va = v128.load(a - 4), vb = v128.load(b - 4), vc = v128.load(c - 4), vd = v128.load(d - 4);
        // Four rows of four, turned over their diagonal.
        const ab = v128.shuffle<f32>(va, vb, 0, 4, 1, 5), cd = v128.shuffle<f32>(vc, vd, 0, 4, 1, 5);
        const abHigh = v128.shuffle<f32>(va, vb, 2, 6, 3, 7), cdHigh = v128.shuffle<f32>(vc, vd, 2, 6, 3, 7);
        const nearer = f32x4.pmax(zero, f32x4.sub(one, f32x4.mul(steep, f32x4.add(one, t))));
        const farther = f32x4.pmax(zero, f32x4.sub(one, f32x4.mul(steep, f32x4.add(one, f32x4.sub(one, t)))));
        sum = madd(nearer, v128.shuffle<f32>(ab, cd, 0, 1, 4, 5), f32x4.mul(near, v128.shuffle<f32>(ab, cd, 2, 3, 6, 7)));
        sum = madd(far, v128.shuffle<f32>(abHigh, cdHigh, 0, 1, 4, 5), sum);
        sum = madd(farther, v128.shuffle<f32>(abHigh, cdHigh, 2, 3, 6, 7), sum);
      }
      if (both) {
        v128.store(left + z, madd(shareLeft, sum, v128.load(left + z)));
        v128.store(right + z, madd(shareRight, sum, v128.load(right + z)));
      } else v128.store(left + z, f32x4.add(v128.load(left + z), f32x4.mul(f32x4.add(shareLeft, shareRight), sum)));
      k = f32x4.add(k, fours);
    }
  }
}

/** From the rays' side, for rays so dense that many reach one voxel. */
function spreadRows(left: usize, right: usize, toLeft: f32, toRight: f32, depth: i32, start: f64, step: f64, firstRow: i32, endRow: i32, values: usize): void {
  for (let row = firstRow; row < endRow; row++) {
    const place = start + <f64>row * step;
    if (!(place > -1 && place < <f64>depth)) continue;
    const whole = floor(place), z = <i32>whole;
    const value = load<f32>(values + ((<usize>row) << 2)), far = <f32>(place - whole) * value, near = value - far;
    if (z >= 0) {
      const l = left + ((<usize>z) << 2), r = right + ((<usize>z) << 2);
      store<f32>(l, load<f32>(l) + toLeft * near);
      store<f32>(r, load<f32>(r) + toRight * near);
    }
    if (z + 1 < depth) {
      const l = left + ((<usize>(z + 1)) << 2), r = right + ((<usize>(z + 1)) << 2);
      store<f32>(l, load<f32>(l) + toLeft * far);
      store<f32>(r, load<f32>(r) + toRight * far);
    }
  }
}

/** One ray of any kind, as cone-walk.ts describes it; strides in numbers. What it meets, not yet times the length of a step. */
export function projectRay(
  volume: usize, first: i32, insideFirst: i32, insideEnd: i32, end: i32, along: i32, oneAt: f64, oneSlope: f64, oneStride: i32, oneCount: i32,
  otherAt: f64, otherSlope: f64, otherStride: i32, otherCount: i32,
): f64 {
  let sum: f64 = 0;
  const one = <usize>oneStride << 2, other = <usize>otherStride << 2;
  for (let k = first; k < end; k++) {
    const x = oneAt + <f64>k * oneSlope, y = otherAt + <f64>k * otherSlope;
    const i = <i32>floor(x), j = <i32>floor(y);
    const p = <f32>(x - <f64>i), q = <f32>(y - <f64>j);
    const near = volume + <usize>((k * along + i * oneStride + j * otherStride) << 2);
    if (k >= insideFirst && k < insideEnd) {
      const a = load<f32>(near), b = load<f32>(near + other);
      const c = a + p * (load<f32>(near + one) - a), d = b + p * (load<f32>(near + one + other) - b);
      sum += <f64>(c + q * (d - c));
      continue;
    }
    let value: f32 = 0;
    if (j >= 0 && j < otherCount) {
      if (i >= 0 && i < oneCount) value += (1 - p) * (1 - q) * load<f32>(near);
      if (i + 1 >= 0 && i + 1 < oneCount) value += p * (1 - q) * load<f32>(near + one);
    }
    if (j + 1 >= 0 && j + 1 < otherCount) {
      if (i >= 0 && i < oneCount) value += (1 - p) * q * load<f32>(near + other);
      if (i + 1 >= 0 && i + 1 < oneCount) value += p * q * load<f32>(near + one + other);
    }
    sum += <f64>value;
  }
  return sum;
}

/** Its transpose; value: already times the length of a step. */
export function spreadRay(
  volume: usize, first: i32, insideFirst: i32, insideEnd: i32, end: i32, along: i32, oneAt: f64, oneSlope: f64, oneStride: i32, oneCount: i32,
  otherAt: f64, otherSlope: f64, otherStride: i32, otherCount: i32, value: f32,
): void {
  const one = <usize>oneStride << 2, other = <usize>otherStride << 2;
  for (let k = first; k < end; k++) {
    const x = oneAt + <f64>k * oneSlope, y = otherAt + <f64>k * otherSlope;
    const i = <i32>floor(x), j = <i32>floor(y);
    const p = <f32>(x - <f64>i), q = <f32>(y - <f64>j);
    const near = volume + <usize>((k * along + i * oneStride + j * otherStride) << 2);
    const toFar = q * value, toNear = value - toFar;
    const whole = k >= insideFirst && k < insideEnd;
    if (whole || (j >= 0 && j < otherCount)) {
      if (whole || (i >= 0 && i < oneCount)) store<f32>(near, load<f32>(near) + (1 - p) * toNear);
      if (whole || (i + 1 >= 0 && i + 1 < oneCount)) store<f32>(near + one, load<f32>(near + one) + p * toNear);
    }
    if (whole || (j + 1 >= 0 && j + 1 < otherCount)) {
      if (whole || (i >= 0 && i < oneCount)) store<f32>(near + other, load<f32>(near + other) + (1 - p) * toFar);
      if (whole || (i + 1 >= 0 && i + 1 < oneCount)) store<f32>(near + one + other, load<f32>(near + one + other) + p * toFar);
    }
  }
}

/**
 * Slices firstSlice … endSlice − 1 of a volume, from slices of width · height numbers into columns: that of pixel (row, column) is number
 * row · wide + column, of `tall` numbers.
 */
export function toColumns(slices: usize, width: i32, height: i32, firstSlice: i32, endSlice: i32, columns: usize, wide: i32, tall: i32): void {
  turnVolume(slices, width, height, firstSlice, endSlice, columns, wide, tall, true);
}

/** And back. */
export function fromColumns(slices: usize, width: i32, height: i32, firstSlice: i32, endSlice: i32, columns: usize, wide: i32, tall: i32): void {
  turnVolume(slices, width, height, firstSlice, endSlice, columns, wide, tall, false);
}

/** Sixteen pixels at a time, a line of cache wide. */
@inline
function turnVolume(slices: usize, width: i32, height: i32, firstSlice: i32, endSlice: i32, columns: usize, wide: i32, tall: i32, there: bool): void {
  for (let row = 0; row < height; row++) {
    for (let from = 0; from < width; from += 16) {
      const to = min(from + 16, width);
      for (let z = firstSlice; z < endSlice; z++) {
        let voxel = slices + (((<usize>(z - firstSlice) * <usize>height + <usize>row) * <usize>width + <usize>from) << 2);
        let column = columns + ((<usize>(row * wide + from) * <usize>tall + <usize>z) << 2);
        for (let pixel = from; pixel < to; pixel++) {
          if (there) store<f32>(column, load<f32>(voxel));
          else store<f32>(voxel, load<f32>(column));
          voxel += 4;
          column += (<usize>tall) << 2;
        }
      }
    }
  }
}
