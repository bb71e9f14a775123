/** The rays of a slice, as flatRays lists them, in both kernels. */
const rays = /* wgsl */ `
struct Ray { at: f32, atRest: f32, slope: f32, slopeRest: f32, step: f32, first: i32, end: i32, down: i32 }
struct Task { width: i32, height: i32, detectors: i32, views: u32, first: u32, end: u32, firstView: u32, add: u32 }
@group(0) @binding(0) var<uniform> task: Task;
@group(0) @binding(1) var<storage, read> rays: array<Ray>;
/** The views that are meant, by number; line k of the cells is view list[k]. */
@group(0) @binding(2) var<storage, read> list: array<u32>;

/** How far beyond here, a number of half pixels, the ray stands at step k; both from the grid's middle. The round numbers' sum is exact. */
fn beyond(here: f32, ray: Ray, k: i32, steps: i32) -> f32 {
  let along = f32(k) - 0.5 * f32(steps - 1);
  return (ray.at + along * ray.slope - here) + (ray.atRest + along * ray.slopeRest);
}`;

/** Line integrals of a slice: one thread a ray, from `first` on of those that the listed views have. As projectView. */
export const flatProjectCode = /* wgsl */ `${rays}
@group(0) @binding(3) var<storage, read> pixels: array<f32>;
@group(0) @binding(4) var<storage, read_write> cells: array<f32>;
@compute @workgroup_size(64)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let cell = task.first + id.x;
  if (cell >= task.end) { return; }
  let ray = rays[list[cell / u32(task.detectors)] * u32(task.detectors) + cell % u32(task.detectors)];
  let down = ray.down == 1;
  let steps = select(task.width, task.height, down);
  let breadth = select(task.height, task.width, down);
  let along = select(1, task.width, down);
  let across = select(task.width, 1, down);
  let half = 0.5 * f32(breadth - 1);
  var sum = 0.0;
  for (var k = ray.first; k < ray.end; k++) {
    let i = i32(floor(beyond(-half, ray, k, steps)));
    let share = beyond(f32(i) - half, ray, k, steps);
    let near = select(0.0, 1.0 - share, i >= 0 && i < breadth);
    let far = select(0.0, share, i >= -1 && i < breadth - 1);
    let pixel = k * along;
    sum += near * pixels[pixel + clamp(i, 0, breadth - 1) * across] + far * pixels[pixel + clamp(i + 1, 0, breadth - 1) * across];
  }
  cells[cell] = sum * ray.step;
}`;

/**
 * The transpose: one thread a pixel, which for each view finds the few rays that pass less than a pixel beside it, down and across, and takes from
 * each what it would give. The same numbers as above, so that it is the same matrix. As spreadView.
 */
export const flatSpreadCode = /* wgsl */ `${rays}

@group(0) @binding(3) var<storage, read> cells: array<f32>;
@group(0) @binding(4) var<storage, read_write> pixels: array<f32>;
@group(0) @binding(5) var<storage, read> places: array<array<vec4f, 2>>;

/** The cells between which the pixels from a to b may fall: one to spare at each end; all of them where the source is near. */
fn cellsBetween(view: u32, a: vec2f, b: vec2f) -> vec2i {
  let p = places[view][0];
  let q = places[view][1];
  let deepA = p.w + q.x * a.x + q.y * a.y;
  let deepB = p.w + q.x * b.x + q.y * b.y;
  if (max(deepA, deepB) <= 0.0) { return vec2i(0, -1); }
  if (min(deepA, deepB) <= 1e-3) { return vec2i(0, task.detectors - 1); }
  let cellA = (p.x + p.y * a.x + p.z * a.y) / deepA;
  let cellB = (p.x + p.y * b.x + p.z * b.y) / deepB;
  let ends = clamp(vec2f(min(cellA, cellB) - 0.01, max(cellA, cellB) + 0.01), vec2f(-1.0), vec2f(f32(task.detectors)));
  return vec2i(max(0, i32(ceil(ends.x))), min(task.detectors - 1, i32(floor(ends.y))));
}

@compute @workgroup_size(8, 8)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let row = i32(task.first + id.y);
  let column = i32(id.x);
  if (column >= task.width || row >= i32(task.end)) { return; }
  let x = f32(column) - 0.5 * f32(task.width - 1);
  let y = f32(row) - 0.5 * f32(task.height - 1);
  var sum = 0.0;
  for (var n = task.firstView; n < task.firstView + task.views; n++) {
    let view = list[n];
    for (var down = 0; down < 2; down++) {
      let aside = select(vec2f(0.0, 1.0), vec2f(1.0, 0.0), down == 1);
      let ends = cellsBetween(view, vec2f(x, y) - aside, vec2f(x, y) + aside);
      let steps = select(task.width, task.height, down == 1);
      let k = select(column, row, down == 1);
      let here = select(y, x, down == 1);
      for (var j = ends.x; j <= ends.y; j++) {
        let ray = rays[view * u32(task.detectors) + u32(j)];
        if (ray.down != down || k < ray.first || k >= ray.end) { continue; }
        let share = 1.0 - abs(beyond(here, ray, k, steps));
        if (share > 0.0) { sum += share * ray.step * cells[n * u32(task.detectors) + u32(j)]; }
      }
    }
  }
  let pixel = row * task.width + column;
  pixels[pixel] = sum + select(0.0, pixels[pixel], task.add == 1u);
}`;
