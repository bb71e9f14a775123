import { coneBeam, parallelBeam } from '../geometry/beams.ts';
import type { Work } from '../types.ts';
import type { Engine, EngineName } from './engine.ts';

/** How fast an engine smears back here, in updates a second: a pixel or voxel given its share of one view. Filter, and the way there and back, included. */
export interface EngineSpeed {
  readonly name: EngineName;
  readonly says: string;
  /** Of slices. */
  readonly slices: number;
  /** Of volumes. */
  readonly volumes: number;
}

/**
 * Times an engine on a slice of 256² pixels from 90 views and a volume of 64³ voxels from 60, the better of a few runs each, because code is slow until it
 * has been compiled. A few tenths of a second.
 */
export async function engineSpeed(engine: Engine, work: Work = {}): Promise<EngineSpeed> {
  const flat = parallelBeam({ views: 90, detectors: 256, pitch: 1 });
  const cone = coneBeam({ views: 60, detectors: 96, rows: 96, pitch: 1, sourceToAxis: 300, sourceToDetector: 400 });
  const sinogram = { views: 90, detectors: 256, data: ramp(90 * 256) };
  const frames = { views: 60, rows: 96, columns: 96, data: ramp(60 * 96 * 96) };
  const grid = { width: 256, height: 256, pixelSize: 1 }, block = { width: 64, height: 64, depth: 64, voxelSize: 1 };
  const slices = await best(3, () => engine.reconstruct(sinogram, flat, { window: 'ramp', grid }, { signal: work.signal }));
  work.progress?.(0.5);
  const volumes = await best(2, () => engine.reconstruct(frames, cone, { window: 'ramp', grid: block }, { signal: work.signal }));
  work.progress?.(1);
  return { name: engine.name, says: engine.says, slices: (256 * 256 * 90) / slices, volumes: (64 ** 3 * 60) / volumes };
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
