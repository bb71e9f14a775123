import { cut, insideSolid, voxelAt, voxelizeSolidsSteps } from '../../lib/index.ts';
import type { Grid, Plane, Point3, Steps, Volume } from '../../lib/index.ts';
import { remember } from '../frame/remember.ts';
import { gridOf, solids } from './capsule-volume.ts';

/** One part of the capsule by itself: its share of each voxel, and the voxels (with one more all round) that hold any of it. */
export interface Part {
  readonly share: Volume;
  readonly low: Point3;
  readonly high: Point3;
}

/** With air all round, so that a sum over a cut counts no voxel at the end twice. */
const coarse = { ...gridOf(2), width: 33, height: 33, depth: 41 };
const seen: Grid = { width: 46, height: 46, pixelSize: 2 };

/** All parts in the capsule's order, empty ones included; made once. */
export function* capsuleParts(): Steps<readonly Part[]> {
  const kept = remember('capsule-parts', '', () => ({ parts: undefined as Part[] | undefined }));
  if (!kept.parts) {
    const parts: Part[] = [];
    for (let own = 0; own < solids.length; own++) {
      const alone = solids.map((solid, i) => ({ ...solid, attenuation: i === own ? 1 : 0 }));
      const share = yield* scaledSteps(voxelizeSolidsSteps(alone, coarse, { samples: 2 }), own / solids.length, 1 / solids.length);
      parts.push({ share, ...boxOf(share) });
    }
    kept.parts = parts;
    remember('capsule-parts', '', () => kept);
  }
  return kept.parts;
}

function* scaledSteps<T>(steps: Steps<T>, from: number, times: number): Steps<T> {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value as T;
    yield from + times * (value as number);
  }
}

function boxOf({ width, height, depth, data }: Volume): { low: Point3; high: Point3 } {
  const low = [Infinity, Infinity, Infinity], high = [-Infinity, -Infinity, -Infinity];
  for (let i = 0; i < data.length; i++) {
    if (data[i] === 0) continue;
    [i % width, Math.floor(i / width) % height, Math.floor(i / (width * height))].forEach((at, k) => {
      low[k] = Math.min(low[k], at - 1.5);
      high[k] = Math.max(high[k], at + 1.5);
    });
  }
  return { low: low as unknown as Point3, high: high as unknown as Point3 };
}

/** Which solid has a point; −1 for none. The library's solidAt, but asking only those whose voxels are near. */
export function solidHere(parts: readonly Part[], point: Point3): number {
  const at = voxelAt(coarse, point);
  for (let k = parts.length - 1; k >= 0; k--) {
    const { low, high } = parts[k];
    if (at[0] < low[0] || at[0] > high[0] || at[1] < low[1] || at[1] > high[1] || at[2] < low[2] || at[2] > high[2]) continue;
    if (insideSolid(solids[k], point)) return k;
  }
  return -1;
}

/** What a plane goes through and how much of each, mm², by their shares of 2 mm voxels. */
export function partsOn(parts: readonly Part[], plane: Plane): { name: string; area: number }[] {
  return parts.flatMap(({ share }, k) => {
    if (!solids[k].material) return [];
    const area = seen.pixelSize ** 2 * cut(share, plane, { grid: seen }).data.reduce((sum, value) => sum + (value || 0), 0);
    return area >= 1 ? [{ name: solids[k].name!, area }] : [];
  });
}
