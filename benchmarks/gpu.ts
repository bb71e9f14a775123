/**
 * node benchmarks/gpu.ts [--small] [--out file.json]: the gpu engine on the card of this machine, as JSON. In Node it needs the package webgpu
 * (npm install --no-save webgpu), which is not among the book's own: it holds a build for every system, 140 MB. --small: sizes for a card that is a processor.
 * The card's limit is measured first, by a kernel that does nothing but sample a texture array; a voxel's update is one sample.
 */
import { writeFileSync } from 'node:fs';
import { cpus } from 'node:os';
import { engineAgreement, relativeRms } from '../src/lib/engine/agreement.ts';
import { gpuEngine, type GpuEngine } from '../src/lib/engine/gpu/gpu-engine.ts';
import { newStore, record, runJob, type Job } from '../src/lib/engine/gpu/job.ts';
import { openCard, type Card } from '../src/lib/engine/gpu/open-card.ts';
import { smearBatch } from '../src/lib/engine/gpu/smear-stage.ts';
import { run } from '../src/lib/engine/steps.ts';
import { coneBeam } from '../src/lib/geometry/beams.ts';
import { sirtSteps } from '../src/lib/reconstruct/sirt.ts';
import type { ConeBeam, Projections, VolumeGrid } from '../src/lib/types.ts';

const small = process.argv.includes('--small');
const say = (line: string) => console.error(line);

export interface GpuBenchmark {
  readonly date: string;
  readonly card: string;
  readonly machine: string;
  readonly node: string;
  readonly webgpu: string;
  /** Bilinear samples in a second, the best of a few rounds. */
  readonly samplesPerSecond: { readonly r32float: number | null; readonly r16float: number };
  readonly backprojection: readonly KernelTiming[];
  readonly whole: readonly WholeTiming[];
  readonly transfers: { readonly upBytesPerSecond: number; readonly downBytesPerSecond: number };
  readonly agreement: Readonly<Record<string, { readonly worst: number; readonly allowed: number; readonly tasks: Readonly<Record<string, number>> }>>;
  /**
   * How far a reconstruction by the texture units lies from one by hand, rms of the difference over rms: of a ball with a rough inside, and of frames
   * of white noise, where every cell differs from its neighbour as much as from any other: nothing is worse for interpolation.
   */
  readonly hardwareFromByHand: { readonly scan: string; readonly ball: number; readonly noise: number };
  readonly sirt: { readonly scan: string; readonly iterations: number; readonly seconds: number; readonly rms: number };
}

/** The backprojection kernel alone, views and volume on the card. */
interface KernelTiming {
  readonly scan: string;
  readonly interpolation: string;
  readonly updatesPerSecond: number;
  /** Of the samples that the card can take in a second in this format. */
  readonly shareOfLimit: number | null;
  readonly milliseconds: readonly number[];
}

/** From frames in memory to the volume in memory. */
interface WholeTiming {
  readonly scan: string;
  readonly interpolation: string;
  readonly best: number;
  readonly median: number;
  readonly first: number;
  readonly milliseconds: readonly number[];
}

export async function benchmarkGpu(gpu: GPU, webgpu: string): Promise<GpuBenchmark> {
  const scan = small ? scanOf(32, 40, 40) : scanOf(256, 360, 512);
  const card = await openCard({ gpu });
  say(card.says);
  const limits = { r32float: card.format === 'r32float' ? await samplingLimit(card, 'r32float') : null, r16float: await samplingLimit(card, 'r16float') };
  say(`samples/s: ${JSON.stringify(limits)}`);
  const backprojection: KernelTiming[] = [];
  for (const options of [{}, { halfPrecision: true }, { interpolation: 'by-hand' }] as const) {
    const one = await openCard({ gpu, ...options });
    const timing = await timeKernel(one, scan, one.interpolation === 'by-hand' ? null : limits[one.format]);
    say(`${timing.interpolation}: ${(timing.updatesPerSecond / 1e9).toFixed(1)} G updates/s, ${timing.shareOfLimit?.toFixed(3)} of the limit`);
    backprojection.push(timing);
    one.close();
  }
  const transfers = await timeTransfers(card);
  say(`transfers: ${JSON.stringify(transfers)}`);
  card.close();

  const engines = { hardware: await gpuEngine({ gpu }), 'by-hand': await gpuEngine({ gpu, interpolation: 'by-hand' }) };
  const whole = [...(await timeWhole(engines, scan, small ? 2 : 9)), ...(small ? [] : await timeWhole({ hardware: engines.hardware }, scanOf(512, 720, 512), 5))];
  const agreement: Record<string, { worst: number; allowed: number; tasks: Record<string, number> }> = {};
  for (const [name, engine] of Object.entries(engines)) {
    const tasks: Record<string, number> = {};
    for (const { beam, scan, task, difference } of await engineAgreement(engine)) tasks[`${beam}, ${scan}: ${task}`] = difference;
    agreement[name] = { worst: Math.max(...Object.values(tasks)), allowed: name === 'hardware' ? 1e-3 : 1e-5, tasks };
    say(`${name}: ${agreement[name].worst.toExponential(1)} from plain`);
  }
  const hardwareFromByHand = await compareInterpolation(engines, scan);
  const sirt = await timeSirt(engines.hardware);
  return {
    date: new Date().toISOString().slice(0, 10), card: engines.hardware.says, machine: `${cpus()[0]?.model.trim()}, ${cpus().length} cores, ${process.platform}`, node: process.version, webgpu,
    samplesPerSecond: limits, backprojection, whole, transfers, agreement, hardwareFromByHand, sirt,
  };
}

interface Scan { readonly name: string; readonly geometry: ConeBeam; readonly grid: VolumeGrid }

/** A volume of size³ that fills the cone, from `views` frames of cells². */
export function scanOf(size: number, views: number, cells: number): Scan {
  const geometry = coneBeam({ views, detectors: cells, rows: cells, pitch: 0.25, sourceToAxis: 400, sourceToDetector: 600 });
  const voxelSize = (0.25 * cells * (400 / 600) * 0.95) / (size * Math.SQRT2);
  return { name: `${size}³ from ${views} views of ${cells}²`, geometry, grid: { width: size, height: size, depth: size, voxelSize } };
}

/** Numbers from 0 to 1 from a seed. */
function noise(length: number): Float32Array {
  const data = new Float32Array(length);
  let state = 1;
  for (let k = 0; k < length; k++) {
    state = (Math.imul(state, 1664525) + 1013904223) | 0;
    data[k] = (state >>> 8) * 2 ** -24;
  }
  return data;
}

/**
 * Every thread takes 256 samples, `apart` cells from its neighbours', from 8 rows of each of 32 layers; nothing else is done with them than to add
 * them. The limit is the best of several distances: where samples lie close, more of them share cells.
 */
const sampleCode = (apart: number) => /* wgsl */ `
@group(0) @binding(0) var lines: texture_2d_array<f32>;
@group(0) @binding(1) var linear: sampler;
@group(0) @binding(2) var<storage, read_write> out: array<f32>;
@compute @workgroup_size(16, 16)
fn main(@builtin(global_invocation_id) id: vec3u) {
  var place = (${apart.toFixed(2)} * vec2f(id.xy) + 0.37) / 512.0;
  var sums = vec4f(0.0);
  for (var k = 0u; k < 32u; k++) {
    for (var j = 0; j < 8; j++) {
      let at = place + vec2f(0.0, f32(j) * ${(apart / 512).toFixed(7)});
      sums[j & 3] += textureSampleLevel(lines, linear, at, k, 0.0).x;
    }
    place.x += 0.0001;
  }
  out[id.x + id.y * 512u + id.z * 262144u] = dot(sums, vec4f(1.0));
}`;

export async function samplingLimit(card: Card, format: 'r32float' | 'r16float'): Promise<number> {
  const planes = small ? 1 : 64, store = newStore(card), samples = 512 * 512 * planes * 32 * 8;
  return runJob(card, {}, async (job) => {
    const bytes = format === 'r16float' ? 2 : 4, buffer = job.store.get('frames', 512 * 512 * 32 * bytes);
    await job.upload(buffer, [format === 'r32float' ? noise(512 * 512 * 32) : new Float32Array(512 * 512 * 16).fill(0.0078)]);
    const texture = job.store.texture('texture', { format, size: [512, 512, 32] });
    job.copy((encoder) => encoder.copyBufferToTexture({ buffer, bytesPerRow: 512 * bytes, rowsPerImage: 512 }, { texture }, [512, 512, 32]));
    const bindings = [texture.createView(), card.device.createSampler({ magFilter: 'linear', minFilter: 'linear' }), job.store.get('out', 4 * 512 * 512 * planes)];
    const rates: number[] = [];
    for (const apart of [0.25, 0.5, 1]) {
      const pipeline = await job.pipeline(sampleCode(apart));
      const times = await rounds(card, small ? 2 : 8, (pass) => record(card.device, pass, pipeline, bindings, [32, 32, planes]));
      rates.push(samples / (Math.min(...times) / 1000));
    }
    say(`${format}, ${rates.map((rate) => (rate / 1e9).toFixed(1)).join(', ')} G samples/s`);
    return Math.max(...rates);
  }, store).finally(() => store.empty());
}

/** How long a pass takes, ms, several times over, the first left out: by the card's own clock where it lends it, since news of it comes late. */
async function rounds(card: Card, count: number, recordPass: (pass: GPUComputePassEncoder) => GPUBuffer[] | Promise<GPUBuffer[]>): Promise<number[]> {
  const { device } = card, { queue } = device, times: number[] = [];
  const clock = device.features.has('timestamp-query') ? device.createQuerySet({ type: 'timestamp', count: 2 }) : undefined;
  const resolved = device.createBuffer({ size: 16, usage: 512 | 4 }), read = device.createBuffer({ size: 16, usage: 1 | 8 });
  for (let k = 0; k <= count; k++) {
    const encoder = device.createCommandEncoder();
    const pass = encoder.beginComputePass(clock && { timestampWrites: { querySet: clock, beginningOfPassWriteIndex: 0, endOfPassWriteIndex: 1 } });
    const made = await recordPass(pass);
    pass.end();
    if (clock) {
      encoder.resolveQuerySet(clock, 0, 2, resolved, 0);
      encoder.copyBufferToBuffer(resolved, 0, read, 0, 16);
    }
    const commands = encoder.finish();
    await queue.onSubmittedWorkDone();
    const start = performance.now();
    queue.submit([commands]);
    await queue.onSubmittedWorkDone();
    let taken = performance.now() - start;
    if (clock) {
      await read.mapAsync(1);
      const [begun, ended] = new BigUint64Array(read.getMappedRange());
      taken = Number(ended - begun) / 1e6;
      read.unmap();
    }
    times.push(taken);
    for (const buffer of made) buffer.destroy();
  }
  return times.slice(1);
}

export async function timeKernel(card: Card, { name, geometry, grid }: Scan, limit: number | null): Promise<KernelTiming> {
  const store = newStore(card), views = geometry.angles.length, atOnce = Math.min(60, views), cells = geometry.detectors;
  const texture = card.interpolation === 'hardware', half = texture && card.format === 'r16float';
  const stride = texture ? Math.ceil(cells / 128) * 128 : cells;
  const milliseconds = await runJob(card, {}, async (job) => {
    const buffer = job.store.get('lines', (half ? 2 : 4) * cells * stride * atOnce);
    await job.upload(buffer, [half ? new Float32Array((cells * stride * atOnce) / 2).fill(0.0078) : noise(cells * stride * atOnce)]);
    const frames = texture ? job.store.texture('texture', { format: card.format, size: [cells, cells, atOnce] }) : buffer;
    if (texture) job.copy((encoder) => encoder.copyBufferToTexture({ buffer, bytesPerRow: (half ? 2 : 4) * stride, rowsPerImage: cells }, { texture: frames as GPUTexture }, [cells, cells, atOnce]));
    const sums = job.store.get('picture', 4 * grid.width * grid.height * grid.depth);
    const batch = { reading: texture ? 'texture' : 'buffer', source: frames, ready: { stride, scale: 1 }, lines: atOnce } as const;
    return rounds(card, small ? 2 : 8, async (pass) => {
      const made: GPUBuffer[] = [];
      const whole: Job = { ...job, card: { ...card, pace: { units: () => Infinity, took: () => {} } }, dispatch: async (_kind, _units, pipeline, bindings, groups) => void made.push(...record(card.device, pass, pipeline, bindings, groups)) };
      for (let first = 0; first < views; first += atOnce) await smearBatch(whole, batch, geometry, grid, 2, sums, first, Math.min(views, first + atOnce));
      return made;
    });
  }, store).finally(() => store.empty());
  const updatesPerSecond = (views * grid.width * grid.height * grid.depth) / (Math.min(...milliseconds) / 1000);
  return { scan: name, interpolation: texture ? card.format : 'by hand', updatesPerSecond, shareOfLimit: limit && updatesPerSecond / limit, milliseconds };
}

async function timeTransfers(card: Card): Promise<{ upBytesPerSecond: number; downBytesPerSecond: number }> {
  const data = noise((small ? 1 : 64) * 2 ** 20), up: number[] = [], down: number[] = [];
  await runJob(card, {}, async (job) => {
    const buffer = job.store.get('numbers', data.byteLength);
    for (let k = 0; k < 5; k++) {
      let start = performance.now();
      await job.upload(buffer, [data]);
      await card.device.queue.onSubmittedWorkDone();
      up.push(performance.now() - start);
      start = performance.now();
      await job.download(buffer, [data]);
      down.push(performance.now() - start);
    }
  });
  const rate = (times: number[]) => data.byteLength / (Math.min(...times) / 1000);
  return { upBytesPerSecond: rate(up), downBytesPerSecond: rate(down) };
}

async function timeWhole(engines: Readonly<Record<string, GpuEngine>>, { name, geometry, grid }: Scan, times: number): Promise<WholeTiming[]> {
  const { rows, detectors: columns } = geometry, views = geometry.angles.length;
  const frames: Projections = { views, rows, columns, data: noise(views * rows * columns) };
  const timings: WholeTiming[] = [];
  for (const [interpolation, engine] of Object.entries(engines)) {
    const milliseconds: number[] = [];
    for (let k = 0; k <= times; k++) {
      const start = performance.now();
      await engine.reconstruct(frames, geometry, { window: 'ramp', grid, memory: 1e9 });
      milliseconds.push(performance.now() - start);
    }
    const [first, ...warm] = milliseconds;
    timings.push({ scan: name, interpolation, best: Math.min(...warm), median: [...warm].sort((a, b) => a - b)[warm.length >> 1], first, milliseconds: warm });
    say(`${name}, ${interpolation}: best ${Math.min(...warm).toFixed(0)} ms, first ${first.toFixed(0)} ms; ${warm.map((time) => time.toFixed(0)).join(' ')}`);
  }
  return timings;
}

async function compareInterpolation({ hardware, 'by-hand': byHand }: Readonly<Record<'hardware' | 'by-hand', GpuEngine>>, { name, geometry, grid }: Scan): Promise<GpuBenchmark['hardwareFromByHand']> {
  const { rows, detectors: columns } = geometry, views = geometry.angles.length;
  const apart = async (frames: Projections) => {
    const [one, other] = [await hardware.reconstruct(frames, geometry, { window: 'ramp', grid }), await byHand.reconstruct(frames, geometry, { window: 'ramp', grid })];
    return relativeRms(one.data, other.data);
  };
  const rough = noise(grid.width * grid.height * grid.depth);
  const ball = rough.map((value, k) => (Math.hypot(...fromMiddle(k, grid.width)) < 0.45 * grid.width ? 0.015 + 0.01 * value : 0));
  const found = { scan: name, ball: await apart(await hardware.project({ ...grid, data: ball }, geometry)), noise: await apart({ views, rows, columns, data: noise(views * rows * columns) }) };
  say(`hardware from by hand: ${JSON.stringify(found)}`);
  return found;
}

/** Of voxel k of size³, in voxels. */
function fromMiddle(k: number, size: number): [number, number, number] {
  return [(k % size) - size / 2, (Math.floor(k / size) % size) - size / 2, Math.floor(k / size / size) - size / 2];
}

async function timeSirt(engine: GpuEngine): Promise<GpuBenchmark['sirt']> {
  const [size, views, cells, iterations] = small ? [16, 10, 24, 5] : [128, 45, 192, 60];
  const { name, geometry, grid } = scanOf(size, views, cells);
  const ball = new Float32Array(size ** 3).map((_, k) => (Math.hypot(...fromMiddle(k, size)) < 0.4 * size ? 0.02 : 0));
  const frames = await engine.project({ ...grid, data: ball }, geometry);
  const start = performance.now();
  const { history } = await run(sirtSteps(frames, geometry, { grid, iterations, nonNegative: true, engine }));
  const seconds = (performance.now() - start) / 1000;
  say(`sirt, ${name}, ${iterations} iterations: ${seconds.toFixed(2)} s, rms ${history.rms[0].toFixed(4)} to ${history.rms.at(-1)!.toExponential(2)}`);
  return { scan: name, iterations, seconds, rms: history.rms.at(-1)! };
}

if (import.meta.main) {
  const name = 'webgpu';
  const found = await import(name).catch(() => undefined) as { create(options: string[]): GPU; globals: object } | undefined;
  if (!found && !globalThis.navigator?.gpu) {
    console.error('Node has no WebGPU of its own: npm install --no-save webgpu, then again.');
    process.exit(1);
  }
  if (found) Object.assign(globalThis, found.globals);
  const results = await benchmarkGpu(found ? found.create([]) : navigator.gpu, found ? 'webgpu 0.6.2' : 'navigator.gpu');
  const json = JSON.stringify(results, null, 1);
  const out = process.argv[process.argv.indexOf('--out') + 1];
  if (process.argv.includes('--out')) writeFileSync(out, json + '\n');
  else console.log(json);
  process.exit(0); // a device that is open keeps Node awake
}
