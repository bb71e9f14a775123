/** What an iterative method makes a volume from: frames set upright, their cells averaged where voxels are wider. */
import { describe, expect, test } from 'vitest';
import {
  averageCells, coneBeam, finish, forwardProjectCone, plainEngine, reconstructWith, sirt, uprightSteps, type ConeBeam, type Projections, type Volume,
} from '../../src/lib/index.ts';
import { relativeRms } from '../../src/lib/engine/agreement.ts';
import { placeOfCell } from '../../src/lib/project/point-in-cone.ts';

const engine = plainEngine();
const block = { width: 24, height: 24, depth: 18, voxelSize: 2 };
/** A ball beside the axis in a ball about it, 1/mm; edges soft, as a voxel shows them. */
const object: Volume = {
  ...block,
  data: Float32Array.from({ length: 24 * 24 * 18 }, (_, k) => {
    const x = (k % 24 - 11.5) * 2, y = (11.5 - Math.floor(k / 24) % 24) * 2, z = (Math.floor(k / 576) - 8.5) * 2;
    const ball = (radius: number, dx: number, dz: number) => Math.min(1, Math.max(0, (radius - Math.hypot(x - dx, y, z - dz)) / 2 + 0.5));
    return 0.02 * ball(17, 0, 0) + 0.04 * ball(5, 14, 9);
  }),
};
const scan = (more: Partial<ConeBeam> = {}): ConeBeam => coneBeam({ views: 24, detectors: 58, rows: 43, pitch: 1.5, sourceToAxis: 160, sourceToDetector: 240, axisOffset: 2.3, rowOffset: -1.1, ...more });

describe('averageCells', () => {
  test.each([2, 3, 5])('squares of %d: every cell is the mean of its square, and lies where the middle of that lies', (factor) => {
    const geometry = scan({ tilt: 0.02 }), { detectors, rows, angles } = geometry;
    const frames: Projections = { views: angles.length, rows, columns: detectors, data: Float32Array.from({ length: angles.length * rows * detectors }, (_, k) => (k * 7919) % 1013) };
    const { projections, geometry: coarse } = averageCells(frames, geometry, factor);
    expect([coarse.detectors, coarse.rows, projections.columns, projections.rows]).toEqual([Math.floor(detectors / factor), Math.floor(rows / factor), coarse.detectors, coarse.rows]);
    for (const [column, row, view] of [[0, 0, 0], [coarse.detectors - 1, coarse.rows - 1, 5], [3, 2, 23]] as const) {
      let sum = 0, u = 0, v = 0;
      for (let i = row * factor; i < (row + 1) * factor; i++) for (let j = column * factor; j < (column + 1) * factor; j++) {
        sum += frames.data[(view * rows + i) * detectors + j];
        const place = placeOfCell(geometry, j, i);
        u += place.u;
        v += place.v;
      }
      expect(projections.data[(view * coarse.rows + row) * coarse.detectors + column]).toBeCloseTo(sum / factor ** 2, 3);
      const place = placeOfCell(coarse, column, row);
      expect(place.u, 'the picture would be shifted sideways').toBeCloseTo(u / factor ** 2, 9);
      expect(place.v, 'the picture would be shifted up or down').toBeCloseTo(v / factor ** 2, 9);
    }
  });
  test('by 1 nothing changes', () => {
    const geometry = scan(), frames = forwardProjectCone(object, geometry);
    expect(averageCells(frames, geometry, 1)).toEqual({ projections: frames, geometry });
  });
});

describe('uprightSteps', () => {
  test.each([0.012, -0.05])('a lean of %f rad is taken out: three times nearer to what an upright detector would have seen', (tilt) => {
    const { projections, geometry, measured } = finish(uprightSteps(forwardProjectCone(object, scan({ tilt })), scan({ tilt })));
    expect(geometry).toEqual(scan());
    const right = forwardProjectCone(object, scan());
    const off = (frames: Projections) => relativeRms(frames.data, right.data);
    expect(off(projections)).toBeLessThan(off(forwardProjectCone(object, scan({ tilt }))) / 3);
    const missing = measured.filter((share) => share === 0).length;
    expect(missing > 0, 'the corners are reached while they move by less than half a cell').toBe(Math.abs(tilt) * 29 > 0.5);
    expect(missing).toBeLessThan(0.12 * measured.length);
    expect(measured[21 * 58 + 29]).toBe(1);
  });
  test('an upright one stays as it is', () => {
    const frames = forwardProjectCone(object, scan());
    expect(finish(uprightSteps(frames, scan())).projections).toBe(frames);
  });
});

describe('reconstructWith makes a volume', () => {
  const missed = (volume: Volume) => relativeRms(volume.data, object.data);
  test('from a leaning detector as good as with the exact matrix of that detector', async () => {
    const geometry = scan({ tilt: 0.03 }), frames = forwardProjectCone(object, geometry);
    const { picture } = await reconstructWith(engine, frames, geometry, block, { method: 'sirt', iterations: 20 });
    const exact = sirt(frames, geometry, { grid: block, iterations: 20, nonNegative: true }).picture;
    expect(missed(picture)).toBeLessThan(1.05 * missed(exact));
    const unheeded = sirt(frames, scan(), { grid: block, iterations: 20, nonNegative: true }).picture;
    expect(missed(picture), 'better than a lean that is not heeded').toBeLessThan(0.95 * missed(unheeded));
  });

  test('what the leaning detector did not reach pulls at nothing: an object taller than the frames', async () => {
    const geometry = scan({ tilt: 0.08, rows: 20, rowOffset: 0 }), pillar: Volume = { ...block, depth: 30, data: new Float32Array(24 * 24 * 30) };
    for (let k = 0; k < pillar.data.length; k++) if (Math.hypot(k % 24 - 11.5, Math.floor(k / 24) % 24 - 11.5) < 8) pillar.data[k] = 0.02;
    const { picture } = await reconstructWith(engine, forwardProjectCone(pillar, geometry), geometry, { ...block, depth: 8 }, { method: 'sirt', iterations: 30 });
    for (const slice of [2, 5]) expect(picture.data[(slice * 24 + 12) * 24 + 12], `in the middle of slice ${slice}, 1/mm`).toBeGreaterThan(0.018);
  });

  test('from cells a third of a voxel wide, averaged two by two, as good as from each to a tenth', async () => {
    const geometry = scan({ detectors: 118, rows: 88, pitch: 0.98 }), frames = forwardProjectCone(object, geometry);
    const { picture, iterated } = await reconstructWith(engine, frames, geometry, block, { method: 'sirt', iterations: 20 });
    expect(iterated!.cells).toBe(2);
    const all = sirt(frames, geometry, { grid: block, iterations: 20, nonNegative: true }).picture;
    expect(missed(picture)).toBeLessThan(1.1 * missed(all));
  });

  test('of no size: one sentence on the voxels, not on cells', async () => {
    const frames = forwardProjectCone(object, scan());
    await expect(reconstructWith(engine, frames, scan(), { ...block, voxelSize: NaN }, { method: 'sirt' })).rejects.toThrow(/voxel/i);
  });

  test('the noise at which to stop is that of the cells as they were measured', async () => {
    const geometry = scan({ detectors: 118, rows: 88, pitch: 0.98 }), frames = forwardProjectCone(object, geometry);
    const { iterated } = await reconstructWith(engine, frames, geometry, block, { method: 'sirt', iterations: 40, noise: 0.06 });
    expect(iterated!.stopped).toBe('discrepancy');
    expect(iterated!.history.rms.at(-1)!).toBeLessThanOrEqual(0.03);
    expect(iterated!.history.rms.at(-2)!).toBeGreaterThan(0.03);
  });
});
