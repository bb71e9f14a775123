/**
 * One measurement in a process of its own, so that its memory is its own: node benchmarks/task.ts '{"task": {…}, "engine": "plain"}' prints JSON.
 * The first run, in which code is compiled, is not counted, unless it took so long that this no longer matters.
 */
import { readFileSync } from 'node:fs';
// No more of the library than the task needs, so that the memory is the task's.
import { EngineLost, type Engine } from '../src/lib/engine/engine.ts';
import { openEngine } from '../src/lib/engine/open-engine.ts';
import { run } from '../src/lib/engine/steps.ts';
import { coneBeam, fanBeam, parallelBeam } from '../src/lib/geometry/beams.ts';
import type { EngineTried, Task } from './tasks.ts';

export interface Measured {
  readonly milliseconds: readonly number[];
  /** The most memory that the process had, Node's own included, bytes. */
  readonly peak: number;
  /** How much of it was its own: not pages of program files, which all programs share and the system can drop. As much as `peak` where that is not told. */
  readonly own: number;
  readonly says: string;
}

const enough = 4000; // ms: a first run of so much is taken as it is
const quick = 300; // ms: work so short is run some more before it counts

/** Numbers from 0 to 1 from a seed (Park and Miller). The values do not matter to the time. */
function noise(length: number): Float32Array {
  const numbers = new Float32Array(length);
  for (let k = 0, state = 1; k < length; k++) numbers[k] = (state = (state * 48271) % 2147483647) / 2147483647;
  return numbers;
}

async function work({ kind, size, views, cells = size, iterations = 1 }: Task, engine: Engine): Promise<() => Promise<unknown>> {
  const flat = parallelBeam({ views, detectors: cells, pitch: 1 });
  const square = { width: size, height: size, pixelSize: cells / size };
  if (kind === 'project') {
    const picture = { ...square, data: noise(size * size) };
    return () => engine.project(picture, flat);
  }
  if (kind === 'fdk' || kind === 'sirt-cone') {
    const cone = coneBeam({ views, detectors: cells, rows: cells, pitch: 1, sourceToAxis: 4 * cells, sourceToDetector: 6 * cells });
    const frames = { views, rows: cells, columns: cells, data: noise(views * cells * cells) };
    const grid = { width: size, height: size, depth: size, voxelSize: (0.6 * cells) / size };
    if (kind === 'fdk') return () => engine.reconstruct(frames, cone, { window: 'ramp', grid, memory: Infinity });
    const { sirtSteps } = await import('../src/lib/reconstruct/sirt.ts');
    return () => run(sirtSteps(frames, cone, { grid, iterations, engine }));
  }
  const sinogram = { views, detectors: cells, data: noise(views * cells) };
  if (kind === 'fan') return () => engine.reconstruct(sinogram, fanBeam({ views, detectors: cells, pitch: 1.5, sourceToAxis: 2 * cells, sourceToDetector: 3 * cells }), { window: 'ramp', grid: square });
  if (kind === 'fbp') return () => engine.reconstruct(sinogram, flat, { window: 'ramp', grid: square });
  if (kind === 'sart') {
    const { osSartSteps } = await import('../src/lib/reconstruct/os-sart.ts');
    return () => run(osSartSteps(sinogram, flat, { grid: square, iterations, subsets: views, engine }));
  }
  const { sirtSteps } = await import('../src/lib/reconstruct/sirt.ts');
  return () => run(sirtSteps(sinogram, flat, { grid: square, iterations, engine }));
}

async function measure(task: Task, { engine: name, ...options }: EngineTried): Promise<Measured> {
  const engine = await openEngine(name, options);
  let own = 0;
  const watch = setInterval(() => { own = Math.max(own, memory().own ?? 0); }, 10);
  const act = await work(task, engine);
  const time = async () => {
    const began = performance.now();
    await act();
    return performance.now() - began;
  };
  const first = await time();
  const milliseconds: number[] = [];
  if (first > enough) milliseconds.push(first);
  else if (first < quick) for (let k = 0; k < 4; k++) await time(); // the compilers' second turn
  if (first <= enough) for (let k = 0; k < task.runs; k++) milliseconds.push(await time());
  clearInterval(watch);
  const { says } = engine;
  engine.close();
  const peak = 1024 * process.resourceUsage().maxRSS, { shared } = memory();
  // What was missed between two looks is still in the peak: pages once shared stay.
  return { milliseconds, peak, own: Math.max(own, peak - (shared ?? 0)), says };
}

/** The process's memory as Linux tells it, bytes. */
function memory(): { own?: number; shared?: number } {
  try {
    const status = readFileSync('/proc/self/status', 'utf8');
    const kilobytes = (name: string) => Number(new RegExp(`^${name}:\\s*(\\d+) kB$`, 'm').exec(status)![1]);
    return { own: 1024 * kilobytes('RssAnon'), shared: 1024 * kilobytes('RssFile') };
  } catch {
    return {};
  }
}

const { task, ...tried } = JSON.parse(process.argv[2]!) as { task: Task } & EngineTried;
try {
  console.log(JSON.stringify(await measure(task, tried)));
} catch (error) {
  if (!(error instanceof EngineLost)) throw error;
  console.log(JSON.stringify({ lost: error.message }));
}
