import { CONE_WORDS } from './ray-tables.ts';

/** The rays of a cone through a volume, in both kernels; the numbers of a view as coneRays lists them. */
const rays = /* wgsl */ `
struct Task { size: vec3i, views: u32, columns: i32, rows: i32, first: u32, end: u32, firstView: u32, add: u32, voxelSize: f32 }
@group(0) @binding(0) var<uniform> task: Task;
@group(0) @binding(1) var<storage, read> views: array<array<vec4f, ${CONE_WORDS / 4}>>;
@group(0) @binding(2) var<storage, read> axes: array<u32>;
@group(0) @binding(3) var<storage, read> ties: array<u32>;
/** The views that are meant, by number; frame k of the cells is view list[k]. */
@group(0) @binding(4) var<storage, read> list: array<u32>;

/** The ray's direction, and source × direction. */
struct Line { d: vec3f, m: vec3f }
fn lineTo(view: u32, column: i32, row: i32) -> Line {
  let c = f32(column) - 0.5 * f32(task.columns - 1);
  let r = f32(row) - 0.5 * f32(task.rows - 1);
  return Line(views[view][0].xyz + r * views[view][2].xyz + c * views[view][1].xyz, views[view][3].xyz + r * views[view][5].xyz + c * views[view][4].xyz);
}

/** Along which axis the ray walks: the one along which it is longest. */
fn axisOf(view: u32, column: i32, row: i32, d: vec3f) -> i32 {
  let size = abs(d);
  if (size.z > max(size.x, size.y)) { return 2; }
  let axis = i32(axes[view * u32(task.columns) + u32(column)]);
  if (axis >= 2) { return i32(ties[axis - 2 + row]); }
  if (axis < 0) { return select(1, 0, size.x >= size.y); }
  return axis;
}`;

/** Frames of a volume: one thread a ray, the listed views from firstView on, their rows first … end − 1. As projectFrameSteps. */
export const coneProjectCode = /* wgsl */ `${rays}
@group(0) @binding(5) var<storage, read> voxels: array<f32>;
@group(0) @binding(6) var<storage, read_write> cells: array<f32>;

/** At step k along axis the ray stands at at + k·slope along the two others, in voxels from the grid's middle, k too. step: mm. */
struct Walk { axis: i32, at: vec2f, slope: vec2f, step: f32, first: i32, end: i32 }

fn walkTo(view: u32, column: i32, row: i32) -> Walk {
  let line = lineTo(view, column, row);
  let d = line.d;
  let m = line.m;
  let axis = axisOf(view, column, row, d);
  var walk: Walk;
  walk.axis = axis;
  if (axis == 0) { walk.at = vec2f(-m.z, m.y) / d.x; walk.slope = d.yz / d.x; }
  else if (axis == 1) { walk.at = vec2f(m.z, -m.x) / d.y; walk.slope = d.xz / d.y; }
  else { walk.at = vec2f(-m.y, m.x) / d.z; walk.slope = d.xy / d.z; }
  walk.step = task.voxelSize * length(d) / abs(d[axis]);
  // Nothing behind the source counts.
  let up = d[axis] > 0.0;
  walk.first = select(0, bitcast<i32>(views[view][6][axis]), up);
  walk.end = select(bitcast<i32>(views[view][7][axis]), task.size[axis], up);
  return walk;
}

/** The two other axes. */
fn othersOf(axis: i32) -> vec2i {
  return vec2i(select(0, 1, axis == 0), select(2, 1, axis == 2));
}

/** The steps at which the place along one axis is above −1 and below count, one to spare at both ends; all where it hardly changes. */
fn narrowed(ends: vec2f, at: f32, slope: f32, count: i32) -> vec2f {
  if (abs(slope) < 1e-6) { return ends; }
  let half = 0.5 * f32(count + 1);
  let enter = (-half - at) / slope;
  let leave = (half - at) / slope;
  return vec2f(max(ends.x, min(enter, leave) - 1.0), min(ends.y, max(enter, leave) + 1.0));
}

@compute @workgroup_size(8, 8)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let column = i32(id.x);
  let row = i32(task.first + id.y);
  if (column >= task.columns || row >= i32(task.end)) { return; }
  let frame = task.firstView + id.z;
  let walk = walkTo(list[frame], column, row);
  let others = othersOf(walk.axis);
  let strides = vec3i(1, task.size.x, task.size.x * task.size.y);
  let along = strides[walk.axis];
  let oneStride = strides[others.x];
  let otherStride = strides[others.y];
  let counts = vec2i(task.size[others.x], task.size[others.y]);
  let half = 0.5 * vec2f(counts - 1);
  let middle = 0.5 * f32(task.size[walk.axis] - 1);
  var ends = vec2f(f32(walk.first) - middle, f32(walk.end - 1) - middle);
  ends = narrowed(ends, walk.at.x, walk.slope.x, counts.x);
  ends = narrowed(ends, walk.at.y, walk.slope.y, counts.y);
  var sum = 0.0;
  if (ends.x <= ends.y) {
    let first = max(walk.first, i32(ceil(ends.x + middle)));
    let end = min(walk.end, i32(floor(ends.y + middle)) + 1);
    for (var k = first; k < end; k++) {
      let place = walk.at + (f32(k) - middle) * walk.slope;
      let i = vec2i(floor(place + half));
      let share = place - (vec2f(i) - half);
      let near = select(vec2f(0.0), 1.0 - share, (i >= vec2i(0)) & (i < counts));
      let far = select(vec2f(0.0), share, (i >= vec2i(-1)) & (i < counts - 1));
      let low = clamp(i, vec2i(0), counts - 1);
      let high = clamp(i + 1, vec2i(0), counts - 1);
      let base = k * along;
      let a = base + low.x * oneStride;
      let b = base + high.x * oneStride;
      let c = low.y * otherStride;
      let d = high.y * otherStride;
      sum += near.y * (near.x * voxels[a + c] + far.x * voxels[b + c]) + far.y * (near.x * voxels[a + d] + far.x * voxels[b + d]);
    }
  }
  let cell = (frame * u32(task.rows) + u32(row)) * u32(task.columns) + u32(column);
  cells[cell] = sum * walk.step + select(0.0, cells[cell], task.add == 1u);
}`;

/** What a voxel is given by the rays that walk along one axis, of those in the shadow of the voxel and its neighbours in the plane across it. */
const gatherCode = (axis: number, main: string, one: string, other: string, atOne: string, atOther: string) => /* wgsl */ `
fn gather${axis}(view: u32, frame: u32, voxel: vec3i, here: vec3f, shadow: vec3f) -> f32 {
  // A ray that passes within a voxel of this one, in the plane across the axis, walks along the axis only if:
  let away = abs(here - vec3f(views[view][0].w, views[view][1].w, views[view][2].w)); // from the source
  if (away.${main} < max(away.${one}, away.${other}) - 1.001) { return 0.0; }
  let aside = vec3f(views[view][8].${one}, views[view][9].${one}, views[view][10].${one});
  let beyond = vec3f(views[view][8].${other}, views[view][9].${other}, views[view][10].${other});
  let a = shadow - aside - beyond;
  let b = shadow - aside + beyond;
  let c = shadow + aside - beyond;
  let e = shadow + aside + beyond;
  if (max(max(a.z, b.z), max(c.z, e.z)) <= 0.0) { return 0.0; } // behind the source
  let last = vec2f(f32(task.columns - 1), f32(task.rows - 1));
  var low = min(min(a.xy / a.z, b.xy / b.z), min(c.xy / c.z, e.xy / e.z));
  var high = max(max(a.xy / a.z, b.xy / b.z), max(c.xy / c.z, e.xy / e.z));
  if (min(min(a.z, b.z), min(c.z, e.z)) <= 1e-3) { low = vec2f(0.0); high = last; } // the source is among them
  let least = vec2i(ceil(clamp(low - 0.02, vec2f(0.0), last + 1.0)));
  let most = vec2i(floor(clamp(high + 0.02, vec2f(-1.0), last)));
  let first = bitcast<i32>(views[view][6].${main});
  let end = bitcast<i32>(views[view][7].${main});
  var sum = 0.0;
  for (var row = least.y; row <= most.y; row++) {
    for (var column = least.x; column <= most.x; column++) {
      let line = lineTo(view, column, row);
      let d = line.d;
      let m = line.m;
      let off = abs((vec2f(${atOne}, ${atOther}) + here.${main} * d.${one}${other}) / d.${main} - here.${one}${other});
      let behind = select(end - 1 - voxel.${main}, voxel.${main} - first, d.${main} > 0.0) < 0; // the source
      if (behind || max(off.x, off.y) >= 1.0) { continue; }
      if (axisOf(view, column, row, d) != ${axis}) { continue; }
      let step = task.voxelSize * length(d) / abs(d.${main});
      sum += (1.0 - off.x) * (1.0 - off.y) * step * cells[(frame * u32(task.rows) + u32(row)) * u32(task.columns) + u32(column)];
    }
  }
  return sum;
}`;

/**
 * The transpose: one thread a voxel, which for each view and each axis takes from the few rays that reach it what each would give. As spreadFrameSteps;
 * the same matrix as above, but for rounding.
 */
export const coneSpreadCode = /* wgsl */ `${rays}
@group(0) @binding(5) var<storage, read> cells: array<f32>;
@group(0) @binding(6) var<storage, read_write> voxels: array<f32>;
${gatherCode(0, 'x', 'y', 'z', '-m.z', 'm.y')}
${gatherCode(1, 'y', 'x', 'z', 'm.z', '-m.x')}
${gatherCode(2, 'z', 'x', 'y', '-m.y', 'm.x')}

@compute @workgroup_size(8, 8)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let voxel = vec3i(i32(id.x), i32(id.y), i32(task.first + id.z));
  if (voxel.x >= task.size.x || voxel.y >= task.size.y || voxel.z >= i32(task.end)) { return; }
  let here = vec3f(voxel) - 0.5 * vec3f(task.size - 1);
  var sum = 0.0;
  for (var frame = task.firstView; frame < task.firstView + task.views; frame++) {
    let view = list[frame];
    // Where the voxel falls on the detector: (column·w, row·w, w).
    let shadow = vec3f(dot(views[view][8], vec4f(here, 1.0)), dot(views[view][9], vec4f(here, 1.0)), dot(views[view][10], vec4f(here, 1.0)));
    sum += gather0(view, frame, voxel, here, shadow) + gather1(view, frame, voxel, here, shadow) + gather2(view, frame, voxel, here, shadow);
  }
  let at = (voxel.z * task.size.y + voxel.y) * task.size.x + voxel.x;
  voxels[at] = sum + select(0.0, voxels[at], task.add == 1u);
}`;
