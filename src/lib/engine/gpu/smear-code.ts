/** How views are read when they are smeared back. */
export type Reading = 'texture' | 'buffer';

/** Pixels that a workgroup does along x and y. */
export const TILE = 16;
/** Voxels above each other that one thread does: what a view is to them differs by one step of the row alone. */
export const SLICES: Readonly<Record<Reading, number>> = { texture: 8, buffer: 16 };
/** Views that one dispatch can be told of. */
export const VIEWS = 64;

const shared = (reading: Reading, cone: boolean) => /* wgsl */ `
struct Task {
  width: u32, height: u32, depth: u32, views: u32,
  firstView: u32, add: u32, power: u32, stride: u32,
  columns: u32, rows: u32, middleCell: i32, middleRowCell: i32,
  middleRest: f32, middleRowRest: f32, lowest: f32, rise: f32,
  lowestRest: f32, riseRest: f32, least: f32, scale: f32,
  firstSlice: u32, fan: u32, textureLines: f32,
}
/**
 * aside: cells at the axis, of the middle of the grid, and from one pixel to the next along a row and down the rows; deep: depth/R, the same. Each
 * is a round number and its rest; see roundAndRest.
 */
struct View { aside: vec4f, deep: vec4f, asideRest: vec4f, deepRest: vec4f }
@group(0) @binding(0) var<uniform> task: Task;
@group(0) @binding(1) var<uniform> views: array<View, ${VIEWS}>;
@group(0) @binding(2) var<storage, read_write> sums: array<f32>;
${reading === 'texture' ? `@group(0) @binding(3) var lines: texture_2d${cone ? '_array' : ''}<f32>;
@group(0) @binding(4) var linear: sampler;` : '@group(0) @binding(3) var<storage, read> lines: array<f32>;'}

/** A place is whole + rest, counted from the cell middleCell: the first is large, and the second holds what it cannot. */
struct Place { whole: f32, rest: f32 }

/**
 * Over the depth, which is deep and its rest. The quotient is rounded to quarters and multiplied back with the depth in two pieces: all that is exact in
 * single precision (up to 2,048 cells from the middle), and what is left is small.
 */
fn over(place: Place, deep: Place) -> Place {
  let whole = 0.25 * round(4.0 * place.whole / deep.whole);
  let upper = round(1024.0 * deep.whole) / 1024.0;
  let left = (place.whole - whole * upper) - whole * (deep.whole - upper);
  return Place(whole, (left + place.rest - whole * deep.rest) / (deep.whole + deep.rest));
}

/** Whether a place lies between the middles of the outermost of so many cells, or on them but for rounding. */
fn isOn(place: Place, middle: i32, middleRest: f32, cells: u32) -> bool {
  let rest = place.rest + middleRest;
  return place.whole + f32(middle) + rest >= -1e-6 && place.whole + f32(middle - i32(cells) + 1) + rest <= 1e-6;
}

fn weightOf(nearness: f32) -> f32 {
  if (task.power == 2u) { return nearness * nearness; }
  if (task.power == 1u) { return nearness; }
  return 1.0;
}`;

/** The kernel that smears views of a parallel beam or fan into a slice, as smearParallel and smearFan do, pixel by pixel over many views. */
export function flatSmearCode(reading: Reading): string {
  return /* wgsl */ `${shared(reading, false)}
@compute @workgroup_size(${TILE}, ${TILE})
fn main(@builtin(global_invocation_id) id: vec3u) {
  let row = id.y + task.firstSlice; // where the rows of a slice are done in parts
  if (id.x >= task.width || row >= task.depth) { return; }
  let x = f32(id.x) - 0.5 * f32(task.width - 1u);
  let y = f32(row) - 0.5 * f32(task.height - 1u);
  let last = i32(task.columns) - 1;
  var sum = 0.0;
  for (var k = task.firstView; k < task.firstView + task.views; k++) {
    let view = views[k];
    var off = Place(view.aside.x + view.aside.y * x + view.aside.z * y, view.asideRest.x + view.asideRest.y * x + view.asideRest.z * y);
    var weight = 1.0;
    if (task.fan == 1u) {
      let deep = Place(view.deep.x + view.deep.y * x + view.deep.z * y, view.deepRest.x + view.deepRest.y * x + view.deepRest.z * y);
      if (deep.whole < task.least) { continue; }
      off = over(off, deep);
      weight = weightOf(1.0 / (deep.whole + deep.rest));
    }
    if (!isOn(off, task.middleCell, task.middleRest, task.columns)) { continue; }
    let rest = off.rest + task.middleRest;
    ${reading === 'texture' ? /* wgsl */ `
    let place = vec2f((off.whole + f32(task.middleCell) + rest + 0.5) / f32(task.columns), (f32(k) + 0.5) / task.textureLines);
    sum += weight * textureSampleLevel(lines, linear, place, 0.0).x;` : /* wgsl */ `
    let cell = clamp(i32(floor(off.whole + rest)) + task.middleCell, 0, max(0, last - 1));
    let share = off.whole - f32(cell - task.middleCell) + rest;
    let value = lines[k * task.stride + u32(cell)];
    sum += weight * (value + share * (lines[k * task.stride + u32(min(cell + 1, last))] - value));`}
  }
  let pixel = row * task.width + id.x;
  sums[pixel] = task.scale * sum + select(0.0, sums[pixel], task.add == 1u);
}`;
}

/**
 * The kernel that smears frames of a cone into a volume, as smearCone does: each thread a column of SLICES voxels, for which a view's depth,
 * detector column and weight are the same, over many views, so that the volume is read and written once for all of them.
 */
export function coneSmearCode(reading: Reading): string {
  const slices = SLICES[reading];
  const each = (text: (k: number) => string) => Array.from({ length: slices }, (_, k) => text(k)).join('\n');
  return /* wgsl */ `${shared(reading, true)}
${reading === 'buffer' ? /* wgsl */ `
fn blended(base: u32, left: u32, right: u32, share: f32, row: i32) -> f32 {
  let at = base + u32(clamp(row, 0, i32(task.rows) - 1)) * task.stride;
  let value = lines[at + left];
  return value + share * (lines[at + right] - value);
}
fn readAt(base: u32, left: u32, right: u32, share: f32, up: Place) -> f32 {
  let rest = up.rest + task.middleRowRest;
  let row = clamp(i32(floor(up.whole + rest)) + task.middleRowCell, 0, max(0, i32(task.rows) - 2));
  let part = up.whole - f32(row - task.middleRowCell) + rest;
  let value = blended(base, left, right, share, row);
  return value + part * (blended(base, left, right, share, row + 1) - value);
}` : ''}
@compute @workgroup_size(${TILE}, ${TILE})
fn main(@builtin(global_invocation_id) id: vec3u) {
  if (id.x >= task.width || id.y >= task.height) { return; }
  let bottom = task.firstSlice + id.z * ${slices}u;
  let x = f32(id.x) - 0.5 * f32(task.width - 1u);
  let y = f32(id.y) - 0.5 * f32(task.height - 1u);
  let z = Place(task.lowest + f32(bottom) * task.rise, task.lowestRest + f32(bottom) * task.riseRest); // above the plane of the source, in cells at the axis
  let last = i32(task.columns) - 1;
  ${each((k) => `var sum${k} = 0.0;`)}
  for (var k = task.firstView; k < task.firstView + task.views; k++) {
    let view = views[k];
    let deep = Place(view.deep.x + view.deep.y * x + view.deep.z * y, view.deepRest.x + view.deepRest.y * x + view.deepRest.z * y);
    if (deep.whole < task.least) { continue; }
    let off = over(Place(view.aside.x + view.aside.y * x + view.aside.z * y, view.asideRest.x + view.asideRest.y * x + view.asideRest.z * y), deep);
    if (!isOn(off, task.middleCell, task.middleRest, task.columns)) { continue; }
    let nearness = 1.0 / (deep.whole + deep.rest);
    let weight = weightOf(nearness);
    let up = over(z, deep);
    let rest = off.rest + task.middleRest;
    ${reading === 'texture' ? /* wgsl */ `
    let step = (task.rise + task.riseRest) * nearness;
    let across = (off.whole + f32(task.middleCell) + rest + 0.5) / f32(task.columns);
    let cellsUp = 1.0 / f32(task.rows);
    let start = up.whole + f32(task.middleRowCell) + 0.5;` : /* wgsl */ `
    let step = over(Place(task.rise, task.riseRest), deep);
    let cell = clamp(i32(floor(off.whole + rest)) + task.middleCell, 0, max(0, last - 1));
    let share = off.whole - f32(cell - task.middleCell) + rest;
    let base = k * task.rows * task.stride;
    let left = u32(cell);
    let right = u32(min(cell + 1, last));`}
    ${each((j) => /* wgsl */ `
    let up${j} = ${reading === 'texture' ? `Place(up.whole, up.rest + ${j}.0 * step)` : `Place(up.whole + ${j}.0 * step.whole, up.rest + ${j}.0 * step.rest)`};
    sum${j} += select(0.0, weight, isOn(up${j}, task.middleRowCell, task.middleRowRest, task.rows)) * ${reading === 'texture'
      ? `textureSampleLevel(lines, linear, vec2f(across, (start + (up${j}.rest + task.middleRowRest)) * cellsUp), k, 0.0).x` : `readAt(base, left, right, share, up${j})`};`)}
  }
  let area = task.width * task.height;
  var voxel = bottom * area + id.y * task.width + id.x;
  ${each((k) => /* wgsl */ `
  if (bottom + ${k}u < task.depth) { sums[voxel] = task.scale * sum${k} + select(0.0, sums[voxel], task.add == 1u); }
  voxel += area;`)}
}`;
}
