import { addLines, endInside, ends, findInside, firstInside, firsts, madd, setLine, toInteger } from './lines';

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
      let slot = 0;
      for (let view = 0; view < views; view++) {
        if (hang(slot, x, y, turns + ((<usize>view) << 4), curtains + ((<usize>view * <usize>curtain) << 2), power)) slot++;
        if (slot === 4) {
          addLines(4, sum);
          slot = 0;
        }
      }
      if (slot > 0) addLines(slot, sum);
      sum += (<usize>stride) << 2;
    }
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
  const left = curtain + ((<usize>column * tall) << 2), right = left + (tall << 2);
  // One cell more than is read, at both ends, for rounding. Beyond the last cell the curtain holds zeros, enough of them for whole turns of the loop.
  const from = max(0, toInteger(floor(start + <f64>first * step)) - 1) & ~3, to = min(rows, toInteger(floor(start + <f64>(end - 1) * step)) + 2);
  const last = left + ((<usize>to) << 2), beside = right - left;
  let cell = cells + ((<usize>from) << 2);
  for (let at = left + ((<usize>from) << 2); at <= last; at += 64) {
    v128.store(cell, madd(toRight, v128.load(at + beside), f32x4.mul(toLeft, v128.load(at))));
    v128.store(cell, madd(toRight, v128.load(at + beside, 16), f32x4.mul(toLeft, v128.load(at, 16))), 16);
    v128.store(cell, madd(toRight, v128.load(at + beside, 32), f32x4.mul(toLeft, v128.load(at, 32))), 32);
    v128.store(cell, madd(toRight, v128.load(at + beside, 48), f32x4.mul(toLeft, v128.load(at, 48))), 48);
    cell += 64;
  }
  setLine(slot, start, step, cells, <f64>(rows - 1));
  store<i32>(firsts + ((<usize>slot) << 2), first);
  store<i32>(ends + ((<usize>slot) << 2), end);
  return true;
}
