/**
 * Reading along lines: the one loop that smearing back and projecting have in common. A row of numbers (sums) gets, at its place k, the
 * value of another row of numbers (cells) at start + k·step, interpolated linearly between two of them, from up to four such rows at once.
 *
 * Places are worked out in single precision, relative to a whole cell and for BLOCK numbers at a time, so that they are right to some
 * millionths of a cell. A cell and its neighbour are fetched together, as 64 bits.
 */

/** Numbers for which a place is reckoned from one origin. */
export const BLOCK: i32 = 128;
/**
 * 3 · 2²²: single-precision numbers from 2²³ to 2²⁴ count in whole steps, so the last bits of (this + n) are those of n.
 * In memory, as are 4 and 1: a constant the compilers make anew in every turn of a loop, and a number that was loaded they keep.
 */
export const WHOLES: usize = memory.data<f32>([12582912]);
/** What the bits of that sum, times 4, have too much; wraps round, as addresses do. */
export const WHOLE_ADDRESS: i32 = 0x2D000000;
export const FOURS: usize = memory.data<f32>([4]);
export const ONES: usize = memory.data<f32>([1]);
/** Of four numbers the lowest byte of each, four times; and where the bytes of a number lie. */
const SPREAD: usize = memory.data<u8>([0, 0, 0, 0, 4, 4, 4, 4, 8, 8, 8, 8, 12, 12, 12, 12], 16);
const BYTES: usize = memory.data<u8>([0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3, 0, 1, 2, 3], 16);
/** Steps up to a cell, less what rounding could make of three of them. */
const ALMOST_ONE: f64 = 0.9999;

/** Four lines: start f64, step f64, address of cell 0 as i32, last place that may be read f64, all at multiples of 8. */
export const LINE: usize = 32;
export const lines: usize = memory.data(4 * 32, 16);

@inline
export function setLine(slot: i32, start: f64, step: f64, cells: usize, last: f64): void {
  const line = lines + <usize>slot * LINE;
  store<f64>(line, start);
  store<f64>(line, step, 8);
  store<f64>(line, last, 16);
  store<i32>(line, <i32>cells, 24);
}

@inline
export function ramp(): v128 {
  return f32x4(0, 1, 2, 3);
}

/** a · b + c; in one step, rounded once, where the machine has that (relaxed SIMD). */
@inline
export function madd(a: v128, b: v128, c: v128): v128 {
  return ASC_FEATURE_RELAXED_SIMD ? f32x4.relaxed_madd(a, b, c) : f32x4.add(f32x4.mul(a, b), c);
}

/** A whole number that is at most 2³¹ from 0, as i32: quicker than the conversion, which looks for what is not. */
@inline
export function toInteger(whole: f64): i32 {
  return <i32>reinterpret<i64>(whole + 6755399441055744);
}

/** The values at four places, cells counted from base. */
@inline
export function interpolate(at: v128, base: v128, wholes: v128): v128 {
  const whole = f32x4.floor(at);
  const share = f32x4.sub(at, whole);
  const address = i32x4.add(i32x4.shl(f32x4.add(whole, wholes), 2), base);
  const low = i64x2.extract_lane(address, 0), high = i64x2.extract_lane(address, 1);
  const a = v128.load_lane<u64>(<usize>(<u64>low >> 32), v128.load_zero<u64>(<usize>low), 1);
  const b = v128.load_lane<u64>(<usize>(<u64>high >> 32), v128.load_zero<u64>(<usize>high), 1);
  const near = v128.shuffle<f32>(a, b, 0, 2, 4, 6), far = v128.shuffle<f32>(a, b, 1, 3, 5, 7);
  return madd(share, f32x4.sub(far, near), near);
}

@inline
function swizzle(bytes: v128, which: v128): v128 {
  return ASC_FEATURE_RELAXED_SIMD ? i8x16.relaxed_swizzle(bytes, which) : i8x16.swizzle(bytes, which);
}

/**
 * The same where the four places rise by at most a cell from each to the next: all that is read then lies in four cells and their four neighbours,
 * which are fetched at once and put in order. addressMany: as base. rise: the bytes of four numbers.
 */
@inline
function interpolateRising(at: v128, base: v128, wholes: v128, spread: v128, bytes: v128): v128 {
  const whole = f32x4.floor(at);
  const share = f32x4.sub(at, whole);
  const address = i32x4.add(i32x4.shl(f32x4.add(whole, wholes), 2), base);
  const cell = <usize><u32>i32x4.extract_lane(address, 0);
  const which = i8x16.add(swizzle(i32x4.sub(address, v128.shuffle<i32>(address, address, 0, 0, 0, 0)), spread), bytes);
  const near = swizzle(v128.load(cell), which), far = swizzle(v128.load(cell, 4), which);
  return madd(share, f32x4.sub(far, near), near);
}

/** The same where they fall. */
@inline
function interpolateFalling(at: v128, base: v128, wholes: v128, spread: v128, bytes: v128): v128 {
  const whole = f32x4.floor(at);
  const share = f32x4.sub(at, whole);
  const address = i32x4.add(i32x4.shl(f32x4.add(whole, wholes), 2), base);
  const cell = <usize><u32>i32x4.extract_lane(address, 3);
  const which = i8x16.add(swizzle(i32x4.sub(address, v128.shuffle<i32>(address, address, 3, 3, 3, 3)), spread), bytes);
  const near = swizzle(v128.load(cell), which), far = swizzle(v128.load(cell, 4), which);
  return madd(share, f32x4.sub(far, near), near);
}

/** What findInside found: of `count` places of a line, those from firstInside up to but not endInside lie in 0 … last, but for rounding (1e-9). */
export let firstInside: i32 = 0;
export let endInside: i32 = 0;

export function findInside(start: f64, step: f64, last: f64, count: i32): void {
  const there = start + <f64>(count - 1) * step;
  firstInside = 0;
  endInside = count;
  if (start >= -1e-9 && start <= last + 1e-9 && there >= -1e-9 && there <= last + 1e-9) return;
  let first: f64 = 0, end: f64 = <f64>count;
  if (step > 0) {
    first = max(first, ceil(-(start + 1e-9) / step));
    end = min(end, floor((last - start + 1e-9) / step) + 1);
  } else if (step < 0) {
    first = max(first, ceil((last - start + 1e-9) / step));
    end = min(end, floor(-(start + 1e-9) / step) + 1);
  } else if (start < -1e-9 || start > last + 1e-9) end = 0;
  firstInside = <i32>min(first, <f64>count);
  endInside = <i32>max(end, 0);
}

/** Adds four lines to sums[from … end − 1]; both are multiples of 4, and all lines stay where they may be read. */
export function addFourLines(sums: usize, from: i32, end: i32): void {
  const step0 = load<f64>(lines, 8), step1 = load<f64>(lines, 40), step2 = load<f64>(lines, 72), step3 = load<f64>(lines, 104);
  const way = wayOf(min(min(step0, step1), min(step2, step3)), max(max(step0, step1), max(step2, step3)));
  const steps = f32x4(<f32>step0, <f32>step1, <f32>step2, <f32>step3);
  const cells = i32x4(load<i32>(lines, 24), load<i32>(lines, 56), load<i32>(lines, 88), load<i32>(lines, 120));
  for (let block = from; block < end; block += BLOCK) {
    const stop = min(block + BLOCK, end);
    const start0 = load<f64>(lines) + <f64>block * step0, start1 = load<f64>(lines, 32) + <f64>block * step1;
    const start2 = load<f64>(lines, 64) + <f64>block * step2, start3 = load<f64>(lines, 96) + <f64>block * step3;
    addBlock(sums + ((<usize>block) << 2), sums + ((<usize>stop) << 2), f64x2(start0, start1), f64x2(start2, start3), steps, cells, way);
  }
}

/** Whether the places of four lines rise by less than a cell from each to the next (1), or fall (−1), or neither (0). */
@inline
export function wayOf(leastStep: f64, mostStep: f64): i32 {
  return leastStep >= 0 && mostStep < ALMOST_ONE ? 1 : mostStep <= 0 && leastStep > -ALMOST_ONE ? -1 : 0;
}

/** Wholes as i32, four of them: as toInteger. */
@inline
export function toIntegers(wholes01: v128, wholes23: v128): v128 {
  const add = f64x2.splat(6755399441055744);
  return v128.shuffle<i32>(f64x2.add(wholes01, add), f64x2.add(wholes23, add), 0, 2, 4, 6);
}

@inline
export function toSingle(two: v128, andTwo: v128): v128 {
  return v128.shuffle<f32>(f32x4.demote_f64x2_zero(two), f32x4.demote_f64x2_zero(andTwo), 0, 1, 4, 5);
}

/**
 * Adds four lines to the numbers from `sum` up to `last`, at most BLOCK, a multiple of 4. starts: of each line, f64, where the first number falls.
 * steps: f32.   cells: addresses of cell 0.   way: see wayOf.
 */
export function addBlock(sum: usize, last: usize, starts01: v128, starts23: v128, steps: v128, cells: v128, way: i32): void {
  const wholes = v128.load_splat<u32>(WHOLES), fours = v128.load_splat<u32>(FOURS);
  const whole01 = f64x2.floor(starts01), whole23 = f64x2.floor(starts23);
  const shares = toSingle(f64x2.sub(starts01, whole01), f64x2.sub(starts23, whole23));
  const bases = i32x4.sub(i32x4.add(cells, i32x4.shl(toIntegers(whole01, whole23), 2)), i32x4.splat(WHOLE_ADDRESS));
  const step0 = v128.shuffle<f32>(steps, steps, 0, 0, 0, 0), share0 = v128.shuffle<f32>(shares, shares, 0, 0, 0, 0), base0 = v128.shuffle<i32>(bases, bases, 0, 0, 0, 0);
  const step1 = v128.shuffle<f32>(steps, steps, 1, 1, 1, 1), share1 = v128.shuffle<f32>(shares, shares, 1, 1, 1, 1), base1 = v128.shuffle<i32>(bases, bases, 1, 1, 1, 1);
  const step2 = v128.shuffle<f32>(steps, steps, 2, 2, 2, 2), share2 = v128.shuffle<f32>(shares, shares, 2, 2, 2, 2), base2 = v128.shuffle<i32>(bases, bases, 2, 2, 2, 2);
  const step3 = v128.shuffle<f32>(steps, steps, 3, 3, 3, 3), share3 = v128.shuffle<f32>(shares, shares, 3, 3, 3, 3), base3 = v128.shuffle<i32>(bases, bases, 3, 3, 3, 3);
  let k = ramp();
  if (way === 0) {
    for (; sum < last; sum += 16) {
      let value = v128.load(sum);
      value = f32x4.add(value, interpolate(madd(k, step0, share0), base0, wholes));
      value = f32x4.add(value, interpolate(madd(k, step1, share1), base1, wholes));
      value = f32x4.add(value, interpolate(madd(k, step2, share2), base2, wholes));
      value = f32x4.add(value, interpolate(madd(k, step3, share3), base3, wholes));
      v128.store(sum, value);
      k = f32x4.add(k, fours);
    }
    return;
  }
  const spread = v128.load(SPREAD), bytes = v128.load(BYTES);
  if (way > 0) {
    for (; sum < last; sum += 16) {
      let value = v128.load(sum);
      value = f32x4.add(value, interpolateRising(madd(k, step0, share0), base0, wholes, spread, bytes));
      value = f32x4.add(value, interpolateRising(madd(k, step1, share1), base1, wholes, spread, bytes));
      value = f32x4.add(value, interpolateRising(madd(k, step2, share2), base2, wholes, spread, bytes));
      value = f32x4.add(value, interpolateRising(madd(k, step3, share3), base3, wholes, spread, bytes));
      v128.store(sum, value);
      k = f32x4.add(k, fours);
    }
    return;
  }
  for (; sum < last; sum += 16) {
    let value = v128.load(sum);
    value = f32x4.add(value, interpolateFalling(madd(k, step0, share0), base0, wholes, spread, bytes));
    value = f32x4.add(value, interpolateFalling(madd(k, step1, share1), base1, wholes, spread, bytes));
    value = f32x4.add(value, interpolateFalling(madd(k, step2, share2), base2, wholes, spread, bytes));
    value = f32x4.add(value, interpolateFalling(madd(k, step3, share3), base3, wholes, spread, bytes));
    v128.store(sum, value);
    k = f32x4.add(k, fours);
  }
}

/** Adds one line to sums[from … end − 1], any two numbers; up to three numbers after them are read and written back as they were. */
export function addLine(slot: i32, sums: usize, from: i32, end: i32): void {
  const line = lines + <usize>slot * LINE;
  const step = load<f64>(line, 8);
  const stepHere = f32x4.splat(<f32>step);
  const wholes = v128.load_splat<u32>(WHOLES), fours = v128.load_splat<u32>(FOURS);
  for (let block = from; block < end; block += BLOCK) {
    const stop = min(block + BLOCK, end);
    const start = load<f64>(line) + <f64>block * step, whole = floor(start);
    const share = f32x4.splat(<f32>(start - whole));
    const lowest = f32x4.splat(<f32>(-1.0 - whole)), highest = f32x4.splat(<f32>(load<f64>(line, 16) + 1 - whole));
    const base = i32x4.splat(load<i32>(line, 24) + (toInteger(whole) << 2) - WHOLE_ADDRESS);
    let k = ramp();
    for (let m = block; m < stop; m += 4) {
      const at = f32x4.pmax(lowest, f32x4.pmin(highest, madd(k, stepHere, share)));
      let value = interpolate(at, base, wholes);
      if (stop - m < 4) value = v128.and(value, f32x4.lt(ramp(), f32x4.splat(<f32>(stop - m))));
      const sum = sums + ((<usize>m) << 2);
      v128.store(sum, f32x4.add(v128.load(sum), value));
      k = f32x4.add(k, fours);
    }
  }
}

/** Adds the first `count` lines, each where firsts and ends say (i32 each): in the middle all four together. */
export const firsts: usize = memory.data(16, 16);
export const ends: usize = memory.data(16, 16);

export function addLines(count: i32, sums: usize): void {
  let first = load<i32>(firsts), end = load<i32>(ends);
  for (let slot = 1; slot < count; slot++) {
    first = max(first, load<i32>(firsts + ((<usize>slot) << 2)));
    end = min(end, load<i32>(ends + ((<usize>slot) << 2)));
  }
  first = (first + 3) & ~3;
  end = end & ~3;
  const together = count === 4 && end > first;
  if (together) addFourLines(sums, first, end);
  for (let slot = 0; slot < count; slot++) {
    const from = load<i32>(firsts + ((<usize>slot) << 2)), to = load<i32>(ends + ((<usize>slot) << 2));
    if (together) {
      if (from < first) addLine(slot, sums, from, first);
      if (end < to) addLine(slot, sums, end, to);
    } else if (from < to) addLine(slot, sums, from, to);
  }
}
