/** What is done to a line of cells before it is smeared back. */
export interface FilterKind {
  /** Length of the transform, a power of two; 0: no filter, the line is only weighed. */
  readonly length: number;
  /** A leaning detector's frames are made upright first. */
  readonly leaning: boolean;
  /** Written as half floats, two in a word. */
  readonly half: boolean;
}

/** Threads that share a pair of lines. */
export function filterThreads(length: number): number {
  return Math.max(1, Math.min(256, length === 0 ? 64 : length / 2));
}

/**
 * The kernel that weighs and filters lines of cells, two at a time: as what a line is convolved with is real, one can be the real and the other the
 * imaginary part of a single transform. What is transformed are a line's rises from cell to cell, and what makes rises of it is taken out of the
 * response: the ramp takes most of a line's slow changes out, and what single precision rounds off them would stay.
 * Forwards the transform leaves its frequencies in bit-reversed order, in which the response is kept, too, and backwards it begins from there, so that
 * nothing need be sorted. Cooley & Tukey, Math. Comp. 19:297 (1965), citation from memory.
 * The steps are those of frameFilter and viewFilter, in single precision.
 */
export function filterCode({ length, leaning, half }: FilterKind): string {
  const threads = filterThreads(length);
  return /* wgsl */ `
struct Task {
  columns: u32, rows: u32, stride: u32, first: u32,
  lines: u32, cone: u32, scale: f32, distanceSquared: f32,
  pitch: f32, left: f32, bottom: f32, cosLess: f32,
  sine: f32, column: f32, row: f32, rowLess: f32,
  level: f32,
}
@group(0) @binding(0) var<uniform> task: Task;
@group(0) @binding(1) var<storage, read> cells: array<f32>;
@group(0) @binding(2) var<storage, read> weights: array<f32>;
@group(0) @binding(3) var<storage, read_write> out: array<${half ? 'u32' : 'f32'}>;
${length > 0 ? `
@group(0) @binding(4) var<storage, read> response: array<vec2f>;
@group(0) @binding(5) var<storage, read> turns: array<vec2f>;
var<workgroup> pair: array<vec2f, ${length}>;` : ''}

${leaning ? /* wgsl */ `
fn cubic(share: f32) -> vec4f {
  let rest = 1.0 - share;
  return vec4f(-0.5 * share * rest * rest, 1.0 + share * share * (1.5 * share - 2.5), 1.0 + rest * rest * (1.5 * rest - 2.5), -0.5 * rest * share * share);
}
/** Where cell (j, row) of the upright detector lies on the leaning one, counted from itself: small numbers, so that nothing is lost. */
fn measured(view: u32, row: u32, j: u32) -> f32 {
  let aside = task.column + f32(j) * task.cosLess + f32(row) * task.sine;
  let above = task.row + f32(row) * task.rowLess - f32(j) * task.sine;
  let left = floor(aside);
  let below = floor(above);
  let across = cubic(aside - left);
  let up = cubic(above - below);
  let column = vec4i(i32(j) + i32(left)) + vec4i(-1, 0, 1, 2);
  let c = clamp(column, vec4i(0), vec4i(i32(task.columns) - 1));
  var sum = 0.0;
  for (var k = 0; k < 4; k++) {
    let at = (i32(view * task.rows) + clamp(i32(row) + i32(below) + k - 1, 0, i32(task.rows) - 1)) * i32(task.columns);
    sum += up[k] * dot(across, vec4f(cells[at + c.x], cells[at + c.y], cells[at + c.z], cells[at + c.w]));
  }
  return sum;
}` : /* wgsl */ `
fn measured(view: u32, row: u32, j: u32) -> f32 {
  return cells[(view * task.rows + row) * task.columns + j];
}`}

fn weighed(line: u32, j: u32) -> f32 {
  if (line >= task.lines || j >= task.columns) { return 0.0; }
  let view = line / task.rows;
  let row = line % task.rows;
  var weight = weights[view * task.columns + j];
  if (task.cone == 1u) {
    let u = task.left + f32(j) * task.pitch;
    let v = task.bottom + f32(row) * task.pitch;
    let flat = task.distanceSquared + u * u;
    weight *= sqrt(flat / (flat + v * v));
  }
  return weight * measured(view, row, j);
}
${length > 0 ? /* wgsl */ `
fn rise(line: u32, j: u32) -> f32 {
  if (j == 0u) { return weighed(line, j); }
  return weighed(line, j) - weighed(line, j - 1u);
}` : ''}

@compute @workgroup_size(${threads})
fn main(@builtin(workgroup_id) group: vec3u, @builtin(local_invocation_index) thread: u32) {
  let line = task.first + 2u * (group.x + group.y * 32768u);
${length > 0 ? transformCode(length, threads) : ''}
  for (var j = ${half ? '2u * ' : ''}thread; j < task.columns; j += ${half ? 2 * threads : threads}u) {
    for (var k = 0u; k < 2u; k++) {
      if (line + k >= task.lines) { break; }
      ${half
        ? `out[((line + k) * task.stride + j) / 2u] = pack2x16float(task.scale * vec2f(${result(length, 'j')}, ${result(length, 'j + 1u')}));`
        : `out[(line + k) * task.stride + j] = ${result(length, 'j')};`}
    }
  }
}`;
}

function result(length: number, j: string): string {
  return length > 0 ? `(select(pair[${j}].x, pair[${j}].y, k == 1u) + task.level * weighed(line + k, ${j}))` : `weighed(line + k, ${j})`;
}

function transformCode(length: number, threads: number): string {
  return /* wgsl */ `
  for (var j = thread; j < ${length}u; j += ${threads}u) { pair[j] = vec2f(rise(line, j), rise(line + 1u, j)); }
  for (var half = ${length / 2}u; half > 0u; half /= 2u) {
    workgroupBarrier();
    for (var b = thread; b < ${length / 2}u; b += ${threads}u) {
      let place = b & (half - 1u);
      let i = 2u * b - place;
      let turn = turns[place * (${length / 2}u / half)];
      let one = pair[i];
      let other = pair[i + half];
      let less = one - other;
      pair[i] = one + other;
      pair[i + half] = vec2f(less.x * turn.x - less.y * turn.y, less.x * turn.y + less.y * turn.x);
    }
  }
  workgroupBarrier();
  for (var j = thread; j < ${length}u; j += ${threads}u) {
    let one = pair[j];
    let gain = response[j];
    pair[j] = vec2f(one.x * gain.x - one.y * gain.y, one.x * gain.y + one.y * gain.x);
  }
  for (var half = 1u; half < ${length}u; half *= 2u) {
    workgroupBarrier();
    for (var b = thread; b < ${length / 2}u; b += ${threads}u) {
      let place = b & (half - 1u);
      let i = 2u * b - place;
      let turn = turns[place * (${length / 2}u / half)];
      let one = pair[i];
      let back = pair[i + half];
      let other = vec2f(back.x * turn.x + back.y * turn.y, back.y * turn.x - back.x * turn.y);
      pair[i] = one + other;
      pair[i + half] = one - other;
    }
  }
  workgroupBarrier();`;
}

/** The kernel that looks for what is no number: it raises bad[0] above 0 if a cell is not finite. */
export const finiteCode = /* wgsl */ `
struct Task { count: u32, across: u32 }
@group(0) @binding(0) var<uniform> task: Task;
@group(0) @binding(1) var<storage, read> cells: array<u32>;
@group(0) @binding(2) var<storage, read_write> bad: array<atomic<u32>>;
@compute @workgroup_size(256)
fn main(@builtin(global_invocation_id) id: vec3u) {
  let k = id.x + id.y * task.across;
  if (k < task.count && (cells[k] & 0x7f800000u) == 0x7f800000u) { atomicMax(&bad[0], 1u); }
}`;
