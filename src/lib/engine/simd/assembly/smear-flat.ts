import { BLOCK, FOURS, ONES, WHOLES, WHOLE_ADDRESS, addLines, endInside, ends, findInside, firstInside, firsts, interpolate, madd, ramp, setLine, toInteger } from './lines';

/**
 * Adds views to rows firstRow … endRow − 1 of a picture: sums, `stride` numbers to a row, row firstRow first.
 * cells: of view 0, one 0 before and two after each view, cellStride numbers from view to view.
 * places: three f64 for each view, start + column·step + row·down, in cells.   See smear-parallel.ts.
 */
export function smearParallel(sums: usize, stride: i32, width: i32, firstRow: i32, endRow: i32, views: i32, cells: usize, cellStride: i32, detectors: i32, places: usize): void {
  const last = <f64>(detectors - 1);
  const atOnce = rowsAtOnce(stride);
  for (let top = firstRow; top < endRow; top += atOnce) {
    const bottom = min(top + atOnce, endRow);
    for (let view = 0; view < views; view += 4) {
      const count = min(4, views - view);
      for (let row = top; row < bottom; row++) {
        for (let slot = 0; slot < count; slot++) {
          const place = places + <usize>(view + slot) * 24;
          const start = load<f64>(place) + <f64>row * load<f64>(place, 16), step = load<f64>(place, 8);
          setLine(slot, start, step, cells + ((<usize>(view + slot) * <usize>cellStride) << 2), last);
          findInside(start, step, last, width);
          store<i32>(firsts + ((<usize>slot) << 2), firstInside);
          store<i32>(ends + ((<usize>slot) << 2), endInside);
        }
        addLines(count, sums + ((<usize>(row - firstRow) * <usize>stride) << 2));
      }
    }
  }
}

/** So many rows of sums as stay in the nearer caches while all views are added to them. */
@inline
function rowsAtOnce(stride: i32): i32 {
  return max(1, 16384 / stride);
}

let sourceToAxis: f64 = 0, middle: f64 = 0, lastCell: f64 = 0, pixelSize: f64 = 0;

export function setFan(distance: f64, axisCell: f64, detectors: i32, pixel: f64): void {
  sourceToAxis = distance;
  middle = axisCell;
  lastCell = <f64>(detectors - 1);
  pixelSize = pixel;
}

/**
 * The same for a fan; each value times (R/depth)^power.   places: six f64 for each view, aside in cells and depth in mm, each as
 * start + column·step + row·down.   See smear-fan.ts.
 */
export function smearFan(sums: usize, stride: i32, width: i32, firstRow: i32, endRow: i32, views: i32, cells: usize, cellStride: i32, places: usize, power: i32): void {
  const atOnce = rowsAtOnce(stride);
  for (let top = firstRow; top < endRow; top += atOnce) {
    const bottom = min(top + atOnce, endRow);
    for (let view = 0; view < views; view += 2) {
      const two = view + 1 < views;
      for (let row = top; row < bottom; row++) {
        const sum = sums + ((<usize>(row - firstRow) * <usize>stride) << 2);
        const cell0 = cells + ((<usize>view * <usize>cellStride) << 2), cell1 = cell0 + ((<usize>cellStride) << 2);
        const place0 = places + <usize>view * 48, place1 = place0 + 48;
        findInFan(place0, row, width);
        const first0 = firstInFan, end0 = endInFan;
        if (!two) {
          addFan(sum, first0, end0, place0, row, cell0, power);
          continue;
        }
        findInFan(place1, row, width);
        const first1 = firstInFan, end1 = endInFan;
        const first = (max(first0, first1) + 3) & ~3, end = min(end0, end1) & ~3;
        if (first < end) {
          if (power === 2) addTwoFans(sum, first, end, place0, place1, row, cell0, cell1, 2);
          else if (power === 1) addTwoFans(sum, first, end, place0, place1, row, cell0, cell1, 1);
          else addTwoFans(sum, first, end, place0, place1, row, cell0, cell1, 0);
          addFan(sum, first0, first, place0, row, cell0, power);
          addFan(sum, end, end0, place0, row, cell0, power);
          addFan(sum, first1, first, place1, row, cell1, power);
          addFan(sum, end, end1, place1, row, cell1, power);
        } else {
          addFan(sum, first0, end0, place0, row, cell0, power);
          addFan(sum, first1, end1, place1, row, cell1, power);
        }
      }
    }
  }
}

let firstInFan: i32 = 0, endInFan: i32 = 0;

/** columnsWhere with smearFan's three lines. */
function findInFan(place: usize, row: i32, width: i32): void {
  const aside = load<f64>(place) + <f64>row * load<f64>(place, 16), asideStep = load<f64>(place, 8);
  const depth = load<f64>(place, 24) + <f64>row * load<f64>(place, 40), depthStep = load<f64>(place, 32);
  firstInFan = 0;
  endInFan = width;
  keepWhere(depth - pixelSize, depthStep, width);
  keepWhere(sourceToAxis * aside + middle * depth, sourceToAxis * asideStep + middle * depthStep, width);
  keepWhere((lastCell - middle) * depth - sourceToAxis * aside, (lastCell - middle) * depthStep - sourceToAxis * asideStep, width);
}

function keepWhere(at: f64, step: f64, width: i32): void {
  const start = at + 1e-9;
  if (start >= 0 && start + <f64>(width - 1) * step >= 0) return;
  if (step > 0) firstInFan = max(firstInFan, <i32>min(ceil(-start / step), <f64>width));
  else if (step < 0) endInFan = min(endInFan, <i32>max(floor(-start / step) + 1, 0));
  else endInFan = 0;
}

/** Two views over columns that both have; first and end are multiples of 4. */
@inline
function addTwoFans(sums: usize, first: i32, end: i32, place0: usize, place1: usize, row: i32, cells0: usize, cells1: usize, power: i32): void {
  const wholes = v128.load_splat<u32>(WHOLES), fours = v128.load_splat<u32>(FOURS), one = v128.load_splat<u32>(ONES);
  for (let block = first; block < end; block += BLOCK) {
    const stop = min(block + BLOCK, end);
    let depth = load<f64>(place0, 24) + <f64>row * load<f64>(place0, 40) + <f64>block * load<f64>(place0, 32);
    let aside = load<f64>(place0) + <f64>row * load<f64>(place0, 16) + <f64>block * load<f64>(place0, 8);
    let nearness = sourceToAxis / depth, deeper = load<f64>(place0, 32) / depth, start = middle + aside * nearness, whole = floor(start);
    const deeper0 = f32x4.splat(<f32>deeper), share0 = f32x4.splat(<f32>(start - whole)), nearness0 = f32x4.splat(<f32>nearness);
    const step0 = f32x4.splat(<f32>(nearness * (load<f64>(place0, 8) - aside * deeper)));
    const base0 = i32x4.splat(<i32>cells0 + (toInteger(whole) << 2) - WHOLE_ADDRESS);
    depth = load<f64>(place1, 24) + <f64>row * load<f64>(place1, 40) + <f64>block * load<f64>(place1, 32);
    aside = load<f64>(place1) + <f64>row * load<f64>(place1, 16) + <f64>block * load<f64>(place1, 8);
    nearness = sourceToAxis / depth, deeper = load<f64>(place1, 32) / depth, start = middle + aside * nearness, whole = floor(start);
    const deeper1 = f32x4.splat(<f32>deeper), share1 = f32x4.splat(<f32>(start - whole)), nearness1 = f32x4.splat(<f32>nearness);
    const step1 = f32x4.splat(<f32>(nearness * (load<f64>(place1, 8) - aside * deeper)));
    const base1 = i32x4.splat(<i32>cells1 + (toInteger(whole) << 2) - WHOLE_ADDRESS);
    let k = ramp();
    const last = sums + ((<usize>stop) << 2);
    for (let sum = sums + ((<usize>block) << 2); sum < last; sum += 16) {
      const near0 = f32x4.div(one, madd(k, deeper0, one));
      const near1 = f32x4.div(one, madd(k, deeper1, one));
      let value0 = interpolate(madd(f32x4.mul(k, step0), near0, share0), base0, wholes);
      let value1 = interpolate(madd(f32x4.mul(k, step1), near1, share1), base1, wholes);
      if (power > 0) {
        const weight0 = f32x4.mul(near0, nearness0), weight1 = f32x4.mul(near1, nearness1);
        value0 = f32x4.mul(value0, weight0);
        value1 = f32x4.mul(value1, weight1);
        if (power === 2) {
          value0 = f32x4.mul(value0, weight0);
          value1 = f32x4.mul(value1, weight1);
        }
      }
      v128.store(sum, f32x4.add(v128.load(sum), f32x4.add(value0, value1)));
      k = f32x4.add(k, fours);
    }
  }
}

/** One view over any columns of its own; up to three sums after them are read and written back as they were. */
function addFan(sums: usize, first: i32, end: i32, place: usize, row: i32, cells: usize, power: i32): void {
  const wholes = v128.load_splat<u32>(WHOLES), fours = v128.load_splat<u32>(FOURS), one = v128.load_splat<u32>(ONES);
  for (let block = first; block < end; block += BLOCK) {
    const stop = min(block + BLOCK, end);
    const depth = load<f64>(place, 24) + <f64>row * load<f64>(place, 40) + <f64>block * load<f64>(place, 32);
    const aside = load<f64>(place) + <f64>row * load<f64>(place, 16) + <f64>block * load<f64>(place, 8);
    const nearness = sourceToAxis / depth, deeper = load<f64>(place, 32) / depth;
    const start = middle + aside * nearness, whole = floor(start);
    const step = f32x4.splat(<f32>(nearness * (load<f64>(place, 8) - aside * deeper)));
    const lowest = f32x4.splat(<f32>(-1.0 - whole)), highest = f32x4.splat(<f32>(lastCell + 1 - whole));
    const base = i32x4.splat(<i32>cells + (toInteger(whole) << 2) - WHOLE_ADDRESS);
    let k = ramp();
    for (let m = block; m < stop; m += 4) {
      const near = f32x4.div(one, f32x4.add(one, f32x4.mul(k, f32x4.splat(<f32>deeper))));
      const at = f32x4.pmax(lowest, f32x4.pmin(highest, f32x4.add(f32x4.splat(<f32>(start - whole)), f32x4.mul(f32x4.mul(k, step), near))));
      let value = interpolate(at, base, wholes);
      const weight = f32x4.mul(near, f32x4.splat(<f32>nearness));
      if (power > 0) value = f32x4.mul(value, weight);
      if (power === 2) value = f32x4.mul(value, weight);
      if (stop - m < 4) value = v128.and(value, f32x4.lt(ramp(), f32x4.splat(<f32>(stop - m))));
      const sum = sums + ((<usize>m) << 2);
      v128.store(sum, f32x4.add(v128.load(sum), value));
      k = f32x4.add(k, fours);
    }
  }
}
