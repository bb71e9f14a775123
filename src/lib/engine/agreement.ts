import { coneBeam, fanBeam, parallelBeam } from '../geometry/beams.ts';
import type { GridOf, PictureOf, ShadowsOf } from '../reconstruct/iterate.ts';
import type { Geometry, Work } from '../types.ts';
import type { Engine } from './engine.ts';
import { plainEngine } from './plain.ts';
import { run } from './steps.ts';

/** How far an engine's answer lies from the plain one's. */
export interface Agreement {
  readonly beam: Geometry['beam'];
  /** The scan, in words. */
  readonly scan: string;
  readonly task: 'project' | 'transpose' | 'filter' | 'backproject' | 'reconstruct' | 'iterate';
  /** rms of the difference over rms of the plain answer. */
  readonly difference: number;
}

/**
 * An engine held to the plain one: every task on small scans of every beam, with the axis off centre, a leaning detector, uneven angles, a grid
 * aside of the axis and part of it off the detector. It takes a second or two.
 */
export async function engineAgreement(engine: Engine, { signal, progress }: Work = {}): Promise<Agreement[]> {
  const plain = plainEngine();
  const found: Agreement[] = [];
  const cases = scans();
  for (const [k, { scan, geometry, grid }] of cases.entries()) {
    signal?.throwIfAborted();
    const picture = pictureFor(grid), shadows = await plain.project(picture, geometry);
    const compare = async (task: Agreement['task'], of: (engine: Engine) => Promise<{ readonly data: ArrayLike<number> }>) => {
      found.push({ beam: geometry.beam, scan, task, difference: relativeRms((await of(engine)).data, (await of(plain)).data) });
    };
    await compare('project', (one) => one.project(picture, geometry, { signal }));
    await compare('transpose', (one) => one.transpose(shadows, geometry, grid, { signal }));
    await compare('filter', (one) => one.filter(shadows, geometry, { window: 'ramp' }, { signal }));
    const filtered = await plain.filter(shadows, geometry, { window: 'ramp' });
    await compare('backproject', (one) => one.backproject(filtered, geometry, grid, {}, { signal }));
    await compare('reconstruct', (one) => one.reconstruct(shadows, geometry, { window: 'hann', cutoff: 0.9, grid }, { signal }));
    await compare('iterate', async (one) => ({ data: await landweber(one, geometry, grid, shadows, signal) }));
    progress?.((k + 1) / cases.length);
  }
  return found;
}

/** A few steps straight down, x ← x + Aᵀ(b − Ax)/‖A‖² about, through the operator, subsets of views among them. */
async function landweber<G extends Geometry>(engine: Engine, geometry: G, grid: GridOf<G>, shadows: ShadowsOf<G>, signal?: AbortSignal): Promise<Float32Array> {
  const mask = Uint8Array.from({ length: shapeOf(grid).reduce((a, b) => a * b) }, (_, k) => (k % 17 === 0 ? 0 : 1));
  const operator = engine.operator(geometry, grid, mask);
  const x = operator.numbers(operator.pixels), step = operator.numbers(operator.pixels), rays = operator.numbers(operator.views * operator.cells);
  const every = Array.from({ length: operator.views }, (_, view) => view);
  try {
    for (const views of [every, every.filter((view) => view % 3 === 1), every]) {
      await run(operator.applySteps(x, rays, views), { signal });
      for (let i = 0; i < rays.length; i++) rays[i] = shadows.data[i] - rays[i];
      await run(operator.transposeSteps(rays, step, views), { signal });
      const scale = 1 / (views.length * grid.width * ('voxelSize' in grid ? grid.voxelSize : grid.pixelSize) ** 2);
      for (let k = 0; k < x.length; k++) x[k] += scale * step[k];
    }
  } finally {
    operator.dispose?.();
  }
  return Float32Array.from(x);
}

interface Scan<G extends Geometry = Geometry> { readonly scan: string; readonly geometry: G; readonly grid: GridOf<G> }

function scans(): Scan[] {
  const uneven = Array.from({ length: 40 }, (_, k) => 0.3 + (2 * Math.PI * (k + 0.3 * Math.sin(5 * k))) / 40);
  const flat = { width: 53, height: 45, pixelSize: 0.5, centre: [1.3, -2.1] } as const;
  const tall = { width: 29, height: 33, depth: 21, voxelSize: 0.8, centre: [1.2, -0.9, 0.7] } as const;
  const distances = { sourceToAxis: 80, sourceToDetector: 120 };
  const cone = { views: 36, detectors: 51, pitch: 0.9, axisOffset: 1.1, rows: 31, rowOffset: -0.7, ...distances };
  return [
    { scan: 'half a turn', geometry: parallelBeam({ views: 40, detectors: 67, pitch: 0.45, axisOffset: 0.7 }), grid: flat },
    { scan: 'uneven angles, part of the grid off the detector', geometry: parallelBeam({ angles: uneven, detectors: 40, pitch: 0.6 }), grid: flat },
    { scan: 'all round', geometry: fanBeam({ views: 45, detectors: 71, pitch: 0.7, axisOffset: -1.2, ...distances }), grid: flat },
    { scan: 'short scan, part of the grid off the detector', geometry: fanBeam({ views: 40, turn: 3.9, detectors: 50, pitch: 0.7, ...distances }), grid: flat },
    { scan: 'all round', geometry: coneBeam(cone), grid: tall },
    { scan: 'short scan, steep rays', geometry: coneBeam({ ...cone, pitch: 2.2, turn: 3.9, sourceToAxis: 30, sourceToDetector: 45 }), grid: tall },
    { scan: 'leaning detector', geometry: coneBeam({ ...cone, tilt: 0.05 }), grid: tall },
  ] as Scan[];
}

function shapeOf(grid: GridOf<Geometry>): number[] {
  return [grid.width, grid.height, ...('depth' in grid ? [grid.depth as number] : [])];
}

/** A ball of 0.02/mm with a rough inside and empty corners, from a seed: neither smooth nor noise alone. */
function pictureFor<G extends Geometry>(grid: GridOf<G>): PictureOf<G> {
  const [width, height, depth = 1] = shapeOf(grid);
  let seed = 7;
  const random = () => (seed = (seed * 48271) % 2147483647) / 2147483647;
  const data = Float32Array.from({ length: width * height * depth }, (_, k) => {
    const x = (k % width) - width / 2, y = (Math.floor(k / width) % height) - height / 2, z = Math.floor(k / (width * height)) - depth / 2;
    return Math.hypot(x, y, z) < 0.45 * Math.min(width, height) ? 0.015 + 0.01 * random() : 0;
  });
  return { ...grid, data } as unknown as PictureOf<G>;
}

export function relativeRms(data: ArrayLike<number>, right: ArrayLike<number>): number {
  let off = 0, norm = 0;
  for (let k = 0; k < right.length; k++) {
    off += (data[k] - right[k]) ** 2;
    norm += right[k] ** 2;
  }
  return Math.sqrt(off / norm);
}
