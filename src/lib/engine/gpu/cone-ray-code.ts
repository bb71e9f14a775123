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

/** At step k along axis the ray stands at at + k·slope along the two others, in voxels from the grid's middle, k too. step: mm. */
struct Walk { axis: i32, at: vec2f, slope: vec2f, step: f32, first: i32, end: i32 }

fn walkTo(view: u32, column: i32, row: i32) -> Walk {
  let c = f32(column) - 0.5 * f32(task.columns - 1);
  let r = f32(row) - 0.5 * f32(task.rows - 1);
  let d = views[view][0].xyz + c * views[view][1].xyz + r * views[view][2].xyz;
  let m = views[view][3].xyz + c * views[view][4].xyz + r * views[view][5].xyz; // source × d
  let size = abs(d);
  var axis = i32(axes[view * u32(task.columns) + u32(column)]);
  if (axis >= 2) { axis = i32(ties[axis - 2 + row]); }
  else if (axis < 0) { axis = select(1, 0, size.x >= size.y); }
  if (size.z > max(size.x, size.y)) { axis = 2; }
  var walk: Walk;
  walk.axis = axis;
  if (axis == 0) { walk.at = vec2f(-m.z, m.y) / d.x; walk.slope = d.yz / d.x; }
  else if (axis == 1) { walk.at = vec2f(m.z, -m.x) / d.y; walk.slope = d.xz / d.y; }
  else { walk.at = vec2f(-m.y, m.x) / d.z; walk.slope = d.xy / d.z; }
  walk.step = task.voxelSize * length(d) / size[axis];
  // Nothing behind the source counts.
  let up = d[axis] > 0.0;
  walk.first = select(0, bitcast<i32>(views[view][6][axis]), up);
  walk.end = select(bitcast<i32>(views[view][7][axis]), task.size[axis], up);
  return walk;
}

/** The two other axes. */
fn othersOf(axis: i32) -> vec2i {
  return vec2i(select(0, 1, axis == 0), select(2, 1, axis == 2));
}`;

/** Frames of a volume: one thread a ray, the listed views from firstView on, their rows first … end − 1. As projectFrameSteps. */
export const coneProjectCode = /* wgsl */ `${rays}
@group(0) @binding(5) var<storage, read> voxels: array<f32>;
@group(0) @binding(6) var<storage, read_write> cells: array<f32>;

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

/**
 * The transpose: one thread a voxel. For each view, and for each axis along which a ray that reaches the voxel could walk, it looks at the few cells
 * in the shadow of the voxel and its neighbours in the plane across that axis, and takes from each ray what it would give. As spreadFrameSteps.
 */
export const coneSpreadCode = /* wgsl */ `${rays}
@group(0) @binding(5) var<storage, read> cells: array<f32>;
@group(0) @binding(6) var<storage, read_write> voxels: array<f32>;

@compute @workgroup_size(8, 8)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let voxel = vec3i(i32(id.x), i32(id.y), i32(task.first + id.z));
  if (voxel.x >= task.size.x || voxel.y >= task.size.y || voxel.z >= i32(task.end)) { return; }
  let here = vec3f(voxel) - 0.5 * vec3f(task.size - 1);
  var sum = 0.0;
  for (var n = task.firstView; n < task.firstView + task.views; n++) {
    let view = list[n];
    let away = abs(here - vec3f(views[view][0].w, views[view][1].w, views[view][2].w)); // from the source
    let toColumn = views[view][8];
    let toRow = views[view][9];
    let toDeep = views[view][10];
    for (var axis = 0; axis < 3; axis++) {
      let others = othersOf(axis);
      // A ray that passes within a voxel of this one, in the plane across the axis, walks along the axis only if:
      if (away[axis] < max(away[others.x], away[others.y]) - 1.001) { continue; }
      var low = vec2f(1e30);
      var high = vec2f(-1e30);
      var near = 1e30;
      var far = -1e30;
      for (var corner = 0; corner < 4; corner++) {
        var place = here;
        place[others.x] += select(-1.0, 1.0, (corner & 1) == 1);
        place[others.y] += select(-1.0, 1.0, (corner & 2) == 2);
        let deep = dot(toDeep.xyz, place) + toDeep.w;
        near = min(near, deep);
        far = max(far, deep);
        let cell = vec2f(dot(toColumn.xyz, place) + toColumn.w, dot(toRow.xyz, place) + toRow.w) / deep;
        low = min(low, cell);
        high = max(high, cell);
      }
      if (far <= 0.0) { continue; } // behind the source
      let last = vec2f(f32(task.columns - 1), f32(task.rows - 1));
      if (near <= 1e-3) { low = vec2f(0.0); high = last; } // the source is among them
      let least = vec2i(ceil(clamp(low - 0.02, vec2f(0.0), last + 1.0)));
      let most = vec2i(floor(clamp(high + 0.02, vec2f(-1.0), last)));
      for (var row = least.y; row <= most.y; row++) {
        for (var column = least.x; column <= most.x; column++) {
          let walk = walkTo(view, column, row);
          if (walk.axis != axis || voxel[axis] < walk.first || voxel[axis] >= walk.end) { continue; }
          let off = abs(walk.at + here[axis] * walk.slope - vec2f(here[others.x], here[others.y]));
          if (max(off.x, off.y) < 1.0) {
            sum += (1.0 - off.x) * (1.0 - off.y) * walk.step * cells[(n * u32(task.rows) + u32(row)) * u32(task.columns) + u32(column)];
          }
        }
      }
    }
  }
  let at = (voxel.z * task.size.y + voxel.y) * task.size.x + voxel.x;
  voxels[at] = sum + select(0.0, voxels[at], task.add == 1u);
}`;
