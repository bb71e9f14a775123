import { BadInput } from '../../files/bad-input.ts';
import { EngineLost } from '../engine.ts';
import { run, type Steps } from '../steps.ts';
import type { Frames } from './cone.ts';
import { viewsAtOnce } from './cone.ts';
import { jobSteps, type Job } from './job.ts';
import { loadKernels } from './kernels.ts';
import type { FromWorker, ToWorker } from './message.ts';

/** A worker of the pool: kernels of its own, and an inbox. It runs in a browser as in Node. */

interface Port {
  postMessage(message: FromWorker, transfer: Transferable[]): void;
}

const node = (globalThis as { process?: { getBuiltinModule?(name: string): unknown } }).process?.getBuiltinModule?.('node:worker_threads') as
  { parentPort: (Port & { on(event: 'message', heard: (message: ToWorker) => void): void }) | null } | undefined;
const port: Port = node?.parentPort ?? (globalThis as unknown as Port);

const kernels = loadKernels();
kernels.catch(() => {}); // told with the first job
let last: Promise<void> = Promise.resolve();
const dropping = new Map<number, AbortController>();
const waiting = new Map<number, (frames: Frames | undefined) => void>();
const arrived = new Map<number, (Frames | undefined)[]>();

function hear(message: ToWorker): void {
  if ('fail' in message) {
    setTimeout(() => { throw new Error('told to fail'); });
  } else if ('job' in message) {
    const stop = new AbortController();
    dropping.set(message.id, stop);
    last = last.then(() => work(message.id, message.job, stop.signal));
  } else if ('drop' in message) {
    dropping.get(message.id)?.abort();
  } else if (dropping.has(message.id)) {
    const take = waiting.get(message.id);
    waiting.delete(message.id);
    if (take) take(message.frames);
    else arrived.set(message.id, [...(arrived.get(message.id) ?? []), message.frames]);
  }
}

async function work(id: number, job: Job, signal: AbortSignal): Promise<void> {
  const post = (message: FromWorker, transfer: Transferable[] = []) => port.postMessage(message, transfer);
  let told = 0;
  const progress = (fraction: number) => {
    if (performance.now() - told < 40) return;
    told = performance.now();
    post({ id, progress: fraction });
  };
  try {
    signal.throwIfAborted();
    const give = (firstSlice: number, slices: Float32Array) => post({ id, firstSlice, slices }, [slices.buffer]);
    const steps = jobSteps(await kernels, job, framesOf(id, job, (view) => post({ id, wants: view })), give);
    const done = await run(steps, { signal, progress });
    post({ id, done: done ?? undefined }, done ? [done.buffer] : []);
  } catch (failure) {
    if (signal.aborted) post({ id, dropped: true });
    else if (failure instanceof BadInput || failure instanceof EngineLost) post({ id, bad: failure.message, lost: failure instanceof EngineLost });
    else if (failure instanceof RangeError) post({ id, bad: `A worker ran out of memory (${failure.message.replace(/\.$/, '')}).`, lost: true });
    else setTimeout(() => { throw failure; }); // the pool hears of it as of any other death
  } finally {
    dropping.delete(id);
    waiting.delete(id);
    arrived.delete(id);
  }
}

/** Frames of a slab, asked for one batch ahead, so that none need be waited for. */
function framesOf(id: number, job: Job, ask: (view: number) => void): () => Steps<Frames | undefined> {
  if (job.task !== 'smearCone') return function* () { return undefined; };
  const { geometry } = job, views = geometry.angles.length, atOnce = viewsAtOnce(geometry.rows * geometry.detectors);
  let asked = 0, taken = 0;
  const askOne = () => {
    if (asked >= views) return;
    ask(asked);
    asked += atOnce;
  };
  return function* () {
    if (asked === 0) askOne();
    askOne();
    if (taken >= views) return undefined;
    taken += atOnce;
    const here = arrived.get(id)?.shift();
    if (here) return here;
    let frames: Frames | undefined;
    yield new Promise<void>((resolve) => waiting.set(id, (its) => { frames = its; resolve(); }));
    return frames;
  };
}

if (node?.parentPort) node.parentPort.on('message', hear);
else globalThis.addEventListener('message', ({ data }: MessageEvent<ToWorker>) => hear(data));
