/**
 * One measurement in a process of its own, so that its memory is its own: node benchmarks/task.ts '{"task": {…}, "engine": "plain"}' prints JSON.
 * The first run, in which code is compiled, is not counted, unless it took so long that this no longer matters.
 */
import { coneBeam, EngineLost, fanBeam, openEngine, osSartSteps, parallelBeam, run, sirtSteps, type Engine } from '../src/lib/index.ts';
import type { EngineTried, Task } from './tasks.ts';

export interface Measured {
  readonly milliseconds: readonly number[];
  /** The most memory that the process had, and what it had before the task's data, the same task done once at a very small size, bytes. */
  readonly peak: number;
  readonly before: number;
  readonly says: string;
}

const enough = 4000; // ms: a first run of so much is taken as it is
const quick = 300; // ms: work so short is run some more before it counts

/** Numbers from 0 to 1 from a seed (Park and Miller). The values do not matter to the time. */
function noise(length: number): Float32Array {
  let state = 1;
  return Float32Array.from({ length }, () => (state = (state * 48271) % 2147483647) / 2147483647);
}

function work({ kind, size, views, cells = size, iterations = 1 }: Task, engine: Engine): () => Promise<unknown> {
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
    return () => run(sirtSteps(frames, cone, { grid, iterations, engine }));
  }
  const sinogram = { views, detectors: cells, data: noise(views * cells) };
  if (kind === 'fan') return () => engine.reconstruct(sinogram, fanBeam({ views, detectors: cells, pitch: 1.5, sourceToAxis: 2 * cells, sourceToDetector: 3 * cells }), { window: 'ramp', grid: square });
  if (kind === 'fbp') return () => engine.reconstruct(sinogram, flat, { window: 'ramp', grid: square });
  if (kind === 'sart') return () => run(osSartSteps(sinogram, flat, { grid: square, iterations, subsets: views, engine }));
  return () => run(sirtSteps(sinogram, flat, { grid: square, iterations, engine }));
}

async function measure(task: Task, { engine: name, ...options }: EngineTried): Promise<Measured> {
  const engine = await openEngine(name, options);
  await work({ ...task, size: 16, views: 4, cells: 16, iterations: 1 }, engine)(); // the workers are up and the code is there
  const before = process.memoryUsage().rss;
  const act = work(task, engine);
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
  const { says } = engine;
  engine.close();
  return { milliseconds, peak: 1024 * process.resourceUsage().maxRSS, before, says };
}

const { task, ...tried } = JSON.parse(process.argv[2]!) as { task: Task } & EngineTried;
try {
  console.log(JSON.stringify(await measure(task, tried)));
} catch (error) {
  if (!(error instanceof EngineLost)) throw error;
  console.log(JSON.stringify({ lost: error.message }));
}
