import { BLOCK, addBlock, addLines, endInside, ends, findInside, firstInside, firsts, madd, setLine, toInteger, toIntegers, toSingle, wayOf } from './lines';

let sourceToAxis: f64 = 0, middleColumn: f64 = 0, middleRow: f64 = 0, scale: f64 = 0, voxelSize: f64 = 0;
let firstX: f64 = 0, firstY: f64 = 0, firstZ: f64 = 0;
let detectors: i32 = 0, rows: i32 = 0, depthCount: i32 = 0;
/** Numbers from a curtain's column to the next; the curtains' columns, and the four rows of cells that `blend` holds, have so many. */
let tall: usize = 0;
let blend: usize = 0;

/** firstX, firstY, firstZ: middle of voxel 0, mm.   blendAt: four times `height` numbers to write in. */
export function setCone(
  distance: f64, axisColumn: f64, planeRow: f64, cellsToMm: f64, voxel: f64, x: f64, y: f64, z: f64, columns: i32, rowCount: i32, slices: i32, height: i32, blendAt: usize,
): void {
  sourceToAxis = distance;
  middleColumn = axisColumn;
  middleRow = planeRow;
  scale = cellsToMm;
  voxelSize = voxel;
  firstX = x;
  firstY = y;
  firstZ = z;
  detectors = columns;
  rows = rowCount;
  depthCount = slices;
  tall = <usize>height;
  blend = blendAt;
}

/**
 * Adds views to the columns of voxels on a tile of pixels: `volume` in columns of `stride` numbers, a multiple of 4, pixel after pixel, `wide` to a row.
 * turns: cos and sin of each view, f64.   curtains: column after column of each view's cells, `curtain` numbers a view.   See smear-cone.ts.
 */
export function smearCone(volume: usize, stride: i32, wide: i32, firstColumn: i32, endColumn: i32, firstRow: i32, endRow: i32, views: i32, turns: usize, curtains: usize, curtain: i32, power: i32): void {
  for (let row = firstRow; row < endRow; row++) {
    const y = firstY - <f64>row * voxelSize;
    let sum = volume + ((<usize>(row * wide + firstColumn) * <usize>stride) << 2);
    for (let column = firstColumn; column < endColumn; column++) {
      const x = firstX + <f64>column * voxelSize;
      let slot = 0, view = 0;
      while (view < views) {
        if (slot === 0 && view + 4 <= views && addFourViews(sum, x, y, turns + ((<usize>view) << 4), curtains + ((<usize>view * <usize>curtain) << 2), curtain, power)) {
          view += 4;
          continue;
        }
        if (hang(slot, x, y, turns + ((<usize>view) << 4), curtains + ((<usize>view * <usize>curtain) << 2), power)) slot++;
        if (slot === 4) {
          addLines(4, sum);
          slot = 0;
        }
        view++;
      }
      if (slot > 0) addLines(slot, sum);
      sum += (<usize>stride) << 2;
    }
  }
}

/**
 * Four views' shares of a column of voxels, where all of it falls on all four of them; false where it does not. What `hang` reckons for one view, for
 * two at a time.
 */
@inline
function addFourViews(sum: usize, x: f64, y: f64, turns: usize, curtains: usize, curtain: i32, power: i32): bool {
  const turn0 = v128.load(turns), turn1 = v128.load(turns, 16), turn2 = v128.load(turns, 32), turn3 = v128.load(turns, 48);
  const cos01 = v128.shuffle<f64>(turn0, turn1, 0, 2), sin01 = v128.shuffle<f64>(turn0, turn1, 1, 3);
  const cos23 = v128.shuffle<f64>(turn2, turn3, 0, 2), sin23 = v128.shuffle<f64>(turn2, turn3, 1, 3);
  const xs = f64x2.splat(x), ys = f64x2.splat(y), distance = f64x2.splat(sourceToAxis), scales = f64x2.splat(scale);
  const depth01 = f64x2.sub(f64x2.add(distance, f64x2.mul(xs, sin01)), f64x2.mul(ys, cos01));
  const depth23 = f64x2.sub(f64x2.add(distance, f64x2.mul(xs, sin23)), f64x2.mul(ys, cos23));
  const near01 = f64x2.div(distance, depth01), near23 = f64x2.div(distance, depth23);
  const scaled01 = f64x2.mul(scales, near01), scaled23 = f64x2.mul(scales, near23);
  const middle = f64x2.splat(middleColumn);
  const across01 = f64x2.add(middle, f64x2.mul(scaled01, f64x2.add(f64x2.mul(xs, cos01), f64x2.mul(ys, sin01))));
  const across23 = f64x2.add(middle, f64x2.mul(scaled23, f64x2.add(f64x2.mul(xs, cos23), f64x2.mul(ys, sin23))));
  const step01 = f64x2.mul(scaled01, f64x2.splat(voxelSize)), step23 = f64x2.mul(scaled23, f64x2.splat(voxelSize));
  const start01 = f64x2.add(f64x2.splat(middleRow), f64x2.mul(scaled01, f64x2.splat(firstZ)));
  const start23 = f64x2.add(f64x2.splat(middleRow), f64x2.mul(scaled23, f64x2.splat(firstZ)));
  const steps = f64x2.splat(<f64>(depthCount - 1));
  const there01 = f64x2.add(start01, f64x2.mul(step01, steps)), there23 = f64x2.add(start23, f64x2.mul(step23, steps));
  // All four in front of the source, and between the first cell and the last across and up, but for rounding.
  const low = f64x2.splat(-1e-9), right = f64x2.splat(<f64>(detectors - 1) + 1e-9), top = f64x2.splat(<f64>(rows - 1) + 1e-9);
  const inFront = f64x2.ge(f64x2.min(depth01, depth23), f64x2.splat(voxelSize));
  const beyondLow = f64x2.gt(f64x2.min(f64x2.min(across01, across23), f64x2.min(start01, start23)), low);
  const withinWide = f64x2.lt(f64x2.max(across01, across23), right), withinTall = f64x2.lt(f64x2.max(there01, there23), top);
  if (!i64x2.all_true(v128.and(v128.and(inFront, beyondLow), v128.and(withinWide, withinTall)))) return false;

  let weight01 = f64x2.splat(1), weight23 = weight01;
  if (power > 0) {
    weight01 = power === 2 ? f64x2.mul(near01, near01) : near01;
    weight23 = power === 2 ? f64x2.mul(near23, near23) : near23;
  }
  const zero = f64x2.splat(0);
  const column01 = f64x2.max(f64x2.floor(across01), zero), column23 = f64x2.max(f64x2.floor(across23), zero);
  const share01 = f64x2.mul(weight01, f64x2.sub(across01, column01)), share23 = f64x2.mul(weight23, f64x2.sub(across23, column23));
  const toRight = toSingle(share01, share23), toLeft = toSingle(f64x2.sub(weight01, share01), f64x2.sub(weight23, share23));
  // Where each begins to read, and ends: see hang.
  const one = i32x4.splat(1);
  const from = v128.and(i32x4.max_s(i32x4.sub(toIntegers(f64x2.floor(start01), f64x2.floor(start23)), one), i32x4.splat(0)), i32x4.splat(~3));
  const to = i32x4.min_s(i32x4.add(toIntegers(f64x2.floor(there01), f64x2.floor(there23)), i32x4.splat(2)), i32x4.splat(rows));
  const apart = (<i32>curtain) << 2, slots = (<i32>tall) << 2;
  const left = i32x4.add(
    i32x4.mul(toIntegers(column01, column23), i32x4.splat(slots)),
    i32x4.add(i32x4.splat(<i32>curtains), i32x4(0, apart, 2 * apart, 3 * apart)),
  );
  const first = i32x4.add(left, i32x4.shl(from, 2)), last = i32x4.add(left, i32x4.shl(to, 2));
  const cells = i32x4.add(i32x4.splat(<i32>blend + 16), i32x4(0, slots, 2 * slots, 3 * slots));
  const into = i32x4.add(cells, i32x4.shl(from, 2));
  blendColumns(i32x4.extract_lane(into, 0), i32x4.extract_lane(first, 0), i32x4.extract_lane(last, 0), v128.shuffle<f32>(toLeft, toLeft, 0, 0, 0, 0), v128.shuffle<f32>(toRight, toRight, 0, 0, 0, 0));
  blendColumns(i32x4.extract_lane(into, 1), i32x4.extract_lane(first, 1), i32x4.extract_lane(last, 1), v128.shuffle<f32>(toLeft, toLeft, 1, 1, 1, 1), v128.shuffle<f32>(toRight, toRight, 1, 1, 1, 1));
  blendColumns(i32x4.extract_lane(into, 2), i32x4.extract_lane(first, 2), i32x4.extract_lane(last, 2), v128.shuffle<f32>(toLeft, toLeft, 2, 2, 2, 2), v128.shuffle<f32>(toRight, toRight, 2, 2, 2, 2));
  blendColumns(i32x4.extract_lane(into, 3), i32x4.extract_lane(first, 3), i32x4.extract_lane(last, 3), v128.shuffle<f32>(toLeft, toLeft, 3, 3, 3, 3), v128.shuffle<f32>(toRight, toRight, 3, 3, 3, 3));

  const least = f64x2.min(step01, step23), most = f64x2.max(step01, step23);
  const way = wayOf(min(f64x2.extract_lane(least, 0), f64x2.extract_lane(least, 1)), max(f64x2.extract_lane(most, 0), f64x2.extract_lane(most, 1)));
  const stepsInLine = toSingle(step01, step23);
  // By fours to the top, and a little beyond where the depth is no multiple of 4: what the lines say there is read by nobody.
  for (let block = 0; block < depthCount; block += BLOCK) {
    const at = f64x2.splat(<f64>block), stop = min(block + BLOCK, (depthCount + 3) & ~3);
    addBlock(sum + ((<usize>block) << 2), sum + ((<usize>stop) << 2), f64x2.add(start01, f64x2.mul(step01, at)), f64x2.add(start23, f64x2.mul(step23, at)), stepsInLine, cells, way);
  }
  return true;
}

/** Cells between two columns of a curtain, `first` … `last` of the left one. Beyond the last cell it holds zeros, enough of them for whole turns of the loop. */
@inline
function blendColumns(into: usize, first: usize, last: usize, toLeft: v128, toRight: v128): void {
  const beside = tall << 2;
  let cell = into;
  for (let at = first; at <= last; at += 64) {
    v128.store(cell, madd(toRight, v128.load(at + beside), f32x4.mul(toLeft, v128.load(at))));
    v128.store(cell, madd(toRight, v128.load(at + beside, 16), f32x4.mul(toLeft, v128.load(at, 16))), 16);
    v128.store(cell, madd(toRight, v128.load(at + beside, 32), f32x4.mul(toLeft, v128.load(at, 32))), 32);
    v128.store(cell, madd(toRight, v128.load(at + beside, 48), f32x4.mul(toLeft, v128.load(at, 48))), 48);
    cell += 64;
  }
}

/** Blends the two columns of cells that the voxels over (x, y) fall between in a view, and says where in them the voxels fall. False: nowhere. */
@inline
function hang(slot: i32, x: f64, y: f64, turn: usize, curtain: usize, power: i32): bool {
  const cos = load<f64>(turn), sin = load<f64>(turn, 8);
  const depth = sourceToAxis + x * sin - y * cos;
  if (depth < voxelSize) return false;
  const nearness = sourceToAxis / depth;
  const across = middleColumn + scale * (x * cos + y * sin) * nearness;
  if (!(across > -1e-9 && across < <f64>(detectors - 1) + 1e-9)) return false;
  const step = scale * nearness * voxelSize;
  const start = middleRow + scale * nearness * firstZ;
  const there = start + <f64>(depthCount - 1) * step;
  let first = 0, end = depthCount;
  if (start < -1e-9 || there > <f64>(rows - 1) + 1e-9) {
    findInside(start, step, <f64>(rows - 1), depthCount);
    first = firstInside;
    end = endInside;
  }
  if (end <= first) return false;

  const weight: f64 = power === 2 ? nearness * nearness : power === 1 ? nearness : 1;
  const column = max(0, toInteger(floor(across)));
  const share = weight * (across - <f64>column), toLeft = f32x4.splat(<f32>(weight - share)), toRight = f32x4.splat(<f32>share);
  const cells = blend + ((<usize>slot * tall) << 2) + 16; // four numbers before the first cell
  const left = curtain + ((<usize>column * tall) << 2);
  // One cell more than is read, at both ends, for rounding.
  const from = max(0, toInteger(floor(start + <f64>first * step)) - 1) & ~3, to = min(rows, toInteger(floor(start + <f64>(end - 1) * step)) + 2);
  blendColumns(cells + ((<usize>from) << 2), left + ((<usize>from) << 2), left + ((<usize>to) << 2), toLeft, toRight);
  setLine(slot, start, step, cells, <f64>(rows - 1));
  store<i32>(firsts + ((<usize>slot) << 2), first);
  store<i32>(ends + ((<usize>slot) << 2), end);
  return true;
}
