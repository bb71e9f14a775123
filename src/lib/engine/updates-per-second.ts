import { coneBeam, parallelBeam } from '../geometry/beams.ts';
import type { Engine } from './engine.ts';

/**
 * How fast an engine smears back here, in updates a second: a pixel or voxel given its share of one view. Filter, and the way there and back, included.
 * Timed on a slice of 256² pixels from 90 views or a volume of 64³ voxels from 60, the better of a few runs, because code is slow until it has been
 * compiled. Where that is over in less than 50 ms, what it takes to begin weighs more than the work: twice the size is timed then, and for slices
 * twice that again. Up to a second. Rejects with the signal's reason once it is aborted.
 */
export async function updatesPerSecond(engine: Engine, kind: 'slices' | 'volumes', signal?: AbortSignal): Promise<number> {
  const { sizes, runs, make } = kind === 'slices' ? { sizes: [256, 512, 1024], runs: 3, make: slice } : { sizes: [64, 128], runs: 2, make: volume };
  let speed = 0;
  for (const size of sizes) {
    const { updates, task } = make(engine, size, signal), seconds = await best(runs, task);
    speed = updates / seconds;
    if (seconds > LONG_ENOUGH) break;
  }
  return speed;
}

const LONG_ENOUGH = 0.05; // s

interface Trial { readonly updates: number; readonly task: () => Promise<unknown> }

function slice(engine: Engine, size: number, signal?: AbortSignal): Trial {
  const views = Math.round(0.35 * size), beam = parallelBeam({ views, detectors: size, pitch: 1 });
  const sinogram = { views, detectors: size, data: ramp(views * size) }, grid = { width: size, height: size, pixelSize: 1 };
  return { updates: size ** 2 * views, task: () => engine.reconstruct(sinogram, beam, { window: 'ramp', grid }, { signal }) };
}

function volume(engine: Engine, size: number, signal?: AbortSignal): Trial {
  const views = size - 4, cells = 1.5 * size;
  const beam = coneBeam({ views, detectors: cells, rows: cells, pitch: 1, sourceToAxis: 4.7 * size, sourceToDetector: 6.25 * size });
  const frames = { views, rows: cells, columns: cells, data: ramp(views * cells ** 2) }, grid = { width: size, height: size, depth: size, voxelSize: 1 };
  return { updates: size ** 3 * views, task: () => engine.reconstruct(frames, beam, { window: 'ramp', grid }, { signal }) };
}

/** Seconds of the quickest of several runs. */
async function best(runs: number, task: () => Promise<unknown>): Promise<number> {
  let least = Infinity;
  for (let k = 0; k < runs; k++) {
    const began = performance.now();
    await task();
    least = Math.min(least, (performance.now() - began) / 1000);
  }
  return least;
}

const ramp = (length: number) => Float32Array.from({ length }, (_, k) => (k * 7919 % 1000) / 1000);
