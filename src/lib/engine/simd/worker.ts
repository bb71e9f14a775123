import { BadInput } from '../../files/bad-input.ts';
import { EngineLost } from '../engine.ts';
import { run } from '../steps.ts';
import { release, viewsAtOnce, type Frames, type FramesToCome, type GiveSlices } from './cone.ts';
import { jobSteps, type Job } from './job.ts';
import { instanceOf, type Kernels } from './kernels.ts';
import type { FromWorker, ToWorker } from './message.ts';

/** A worker of the pool: kernels of its own, and an inbox. It runs in a browser as in Node. */

interface Port {
  postMessage(message: FromWorker, transfer: Transferable[]): void;
}

const node = (globalThis as { process?: { getBuiltinModule?(name: string): unknown } }).process?.getBuiltinModule?.('node:worker_threads') as
  { parentPort: (Port & { on(event: 'message', heard: (message: ToWorker) => void): void }) | null } | undefined;
const port: Port = node?.parentPort ?? (globalThis as unknown as Port);

let kernels: Kernels | undefined;
let last: Promise<void> = Promise.resolve();
const dropping = new Map<number, AbortController>();
const waiting = new Map<number, (frames: Frames) => void>();
/** Where the next slices of a slab go, once those before have been taken up. */
const rooms = new Map<number, (room: Float32Array) => void>();

function hear(message: ToWorker): void {
  if ('kernels' in message) {
    kernels = instanceOf(message.kernels);
  } else if ('fail' in message) {
    setTimeout(() => { throw new Error('told to fail'); });
  } else if ('job' in message) {
    const stop = new AbortController();
    dropping.set(message.id, stop);
    last = last.then(() => work(message.id, message.job, stop.signal));
  } else if ('drop' in message) {
    dropping.get(message.id)?.abort();
  } else if ('room' in message) {
    (rooms.get(message.id) ?? release)(message.room);
  } else if ('frames' in message) {
    waiting.get(message.id)?.(message.frames);
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
    const ask = (view: number, room?: Float32Array) => post({ id, wants: view, room }, room ? [room.buffer] : []);
    const give = slicesTo(id, (firstSlice, slices) => post({ id, firstSlice, slices }, [slices.buffer]));
    const steps = jobSteps(kernels!, job, framesOf(id, job, ask), give);
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
    rooms.delete(id);
  }
}

/**
 * Frames of a slab: the next ones are asked for once the last have been taken up, and come while those are smeared. They come in the same room, to and
 * fro: memory that one thread takes and another gives back is slow to be free again.
 */
function framesOf(id: number, job: Job, ask: (view: number, room?: Float32Array) => void): FramesToCome {
  if (job.task !== 'smearCone') return { *next() { return undefined; } };
  const { geometry } = job, views = geometry.angles.length, atOnce = viewsAtOnce(geometry.rows * geometry.detectors);
  let asked = 0, here: Float32Array | undefined, coming: Promise<Frames> | undefined;
  const askNext = () => {
    coming = asked < views ? new Promise((resolve) => waiting.set(id, resolve)) : undefined;
    if (coming) ask(asked, here);
    else if (here) release(here);
    asked += atOnce;
  };
  return {
    *next() {
      if (asked === 0) askNext();
      let frames: Frames | undefined;
      if (coming) yield coming.then((its) => { frames = its; });
      here = frames?.data;
      return frames;
    },
    taken: askNext,
  };
}

/** Slices handed on: a copy of them goes out once the one before has come back, so that never more than one is on its way. */
function slicesTo(id: number, post: (firstSlice: number, slices: Float32Array) => void): GiveSlices {
  let room: Float32Array | undefined, back: Promise<void> | undefined;
  return function* (firstSlice, data) {
    if (back) yield back;
    const slices = room && room.length >= data.length ? room.subarray(0, data.length) : new Float32Array(data.length);
    slices.set(data);
    back = new Promise((resolve) => rooms.set(id, (its) => { room = its; resolve(); }));
    post(firstSlice, slices);
  };
}

if (node?.parentPort) node.parentPort.on('message', hear);
else globalThis.addEventListener('message', ({ data }: MessageEvent<ToWorker>) => hear(data));
