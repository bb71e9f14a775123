/** Plate 11.3: the objects are exact, the mesh is measured against them rightly, and the shaded picture shows the mesh. */
import { describe, expect, it } from 'vitest';
import { finish, insideSolid, meshVolume, pointOnPlane, surface, volumeOf, watertight, type Mesh, type Point3, type Steps } from '../../src/lib/index.ts';
import { shares } from '../../src/widgets/threshold/blurred.ts';
import { crossingOf, measure, metal, surroundings, threshold, type ThresholdResult, type ThresholdState } from '../../src/widgets/threshold/model.ts';
import { shaded } from '../../src/widgets/threshold/shaded.ts';
import { known, sizes, type ObjectName } from '../../src/widgets/threshold/shapes.ts';

const show = (change: Partial<ThresholdState> = {}) => finish(threshold.compute({ ...threshold.initial, ...change }, undefined as never) as Steps<ThresholdResult>);
const words = (change: Partial<ThresholdState> = {}) => threshold.describe({ ...threshold.initial, ...change }, show(change), undefined as never);
const objects = Object.keys(known) as ObjectName[];
const lots = (seed: number) => () => (seed = (seed * 48_271) % 2_147_483_647) / 2_147_483_647;

describe.each(objects)('%s', (name) => {
  const { form, outside, section, outlines } = known[name];
  it('lies outside itself by a distance whose sign is the solid’s own', () => {
    const lot = lots(7);
    for (let i = 0; i < 4000; i++) {
      const point: Point3 = [24 * (lot() - 0.5), 24 * (lot() - 0.5), 20 * (lot() - 0.5)];
      expect(outside(point) <= 0, `at ${point.join(', ')}`).toBe(insideSolid(form, point));
    }
  });
  it('is as far from a point as a ball about it can grow without meeting the surface, and no farther', () => {
    const lot = lots(11);
    for (let i = 0; i < 150; i++) {
      const point: Point3 = [22 * (lot() - 0.5), 22 * (lot() - 0.5), 16 * (lot() - 0.5)];
      const distance = Math.abs(outside(point));
      const own = insideSolid(form, point);
      let met = 0;
      for (let k = 0; k < 2000; k++) {
        const [a, z] = [2 * Math.PI * lot(), 2 * lot() - 1];
        const direction = [Math.sqrt(1 - z * z) * Math.cos(a), Math.sqrt(1 - z * z) * Math.sin(a), z];
        const at = (reach: number) => point.map((value, j) => value + reach * direction[j]) as unknown as Point3;
        expect(insideSolid(form, at(0.999 * distance)), `a point nearer than ${distance} mm to ${point.join(', ')} is on the other side`).toBe(own);
        if (insideSolid(form, at(1.05 * distance + 0.1)) !== own) met++;
      }
      expect(met, `nothing is met ${distance} mm from ${point.join(', ')}`).toBeGreaterThan(0);
    }
  });
  it('crosses its cut where its outline is drawn', () => {
    for (const line of outlines) line.forEach(([u, v], k) => {
      const [nextU, nextV] = line[(k + 1) % line.length];
      expect(Math.abs(outside(pointOnPlane(section, u, v)))).toBeLessThan(1e-9);
      if (line.length < 10) expect(Math.abs(outside(pointOnPlane(section, (u + nextU) / 2, (v + nextV) / 2)))).toBeLessThan(1e-9);
    });
  });
  it('keeps its volume on voxels, blurred or not', () => {
    for (const [sigma, voxel] of [[0, 0.5], [0.75, 1], [1.5, 2]]) {
      const { data } = shares(name, sigma, voxel);
      const sum = data.reduce((total, share) => total + share, 0) * voxel ** 3;
      expect(Math.abs(sum / volumeOf(form)! - 1), `blur ${sigma} mm on voxels of ${voxel} mm: ${sum} mm³`).toBeLessThan(name === 'sheet' ? 0.01 : 0.003);
    }
  });
});

describe('the surface', () => {
  it('of the nut on voxels of 1 mm is watertight, with one hole through it, and within 3 % of the exact volume', () => {
    const mesh = surface(shares('nut', 0, 1), 0.5);
    expect(watertight(mesh)).toMatchObject({ watertight: true, euler: 0 });
    expect(Math.abs(meshVolume(mesh) / volumeOf(known.nut.form)! - 1)).toBeLessThan(0.03);
  });
  it('of a blurred ball shrinks by σ²/R half-way, as diffusion moves a level', () => {
    const mesh = surface(shares('ball', 1, 0.5), 0.5);
    const { mean } = measure(mesh, known.ball.outside, volumeOf(known.ball.form)!);
    expect(-mean).toBeGreaterThan(0.9 / sizes.radius);
    expect(-mean).toBeLessThan(1.25 / sizes.radius); // the voxels blur a little too
  });
  it('at a quarter of the step lies two thirds of σ outside a flat face', () => {
    const mesh = surface(shares('nut', 1, 0.5), 0.25);
    const cut = crossingOf(mesh, known.nut.section);
    let most = -Infinity; // along the line to the middle of the flat that faces u
    for (let i = 0; i < cut.length; i += 2) if (Math.abs(cut[i + 1]) < 0.5 && cut[i] > most) most = cut[i];
    expect(Math.abs(most - sizes.acrossFlats / 2 - 0.6745)).toBeLessThan(0.06);
  });
});

describe('crossingOf and shaded', () => {
  // A cube of 2 mm about (0, 0, 0), outward faces.
  const cube: Mesh = {
    positions: Float32Array.from({ length: 24 }, (_, i) => ((Math.floor(i / 3) >> (i % 3)) & 1 ? 1 : -1)),
    triangles: Uint32Array.of(0, 2, 1, 1, 2, 3, 4, 5, 6, 5, 7, 6, 0, 1, 4, 1, 5, 4, 2, 6, 3, 3, 6, 7, 0, 4, 2, 2, 4, 6, 1, 3, 5, 3, 7, 5),
  };
  it('a cube of 2 mm is cut in a square of 8 mm round', () => {
    expect(meshVolume(cube)).toBeCloseTo(8, 9);
    const cut = crossingOf(cube, { origin: [0, 0, 0.3], across: [1, 0, 0], up: [0, 1, 0] });
    let round = 0;
    for (let i = 0; i < cut.length; i += 4) round += Math.hypot(cut[i + 2] - cut[i], cut[i + 3] - cut[i + 1]);
    expect(round).toBeCloseTo(8, 6);
  });
  it('it fills its own square of the picture, in one tone, and nothing beyond', () => {
    const picture = shaded(cube, { projection: 'orthographic', eye: [0, -10, 0], target: [0, 0, 0], width: 40, height: 40, field: 4 });
    const lit = picture.data.filter((value) => value > 0);
    expect(lit.length).toBe(400);
    expect(Math.max(...lit) - Math.min(...lit)).toBeLessThan(1e-6);
    expect(picture.data[20 * 40 + 5]).toBe(0);
  });
  it('the nearer of two hides the farther: a cube in front of a cube to its side covers it', () => {
    const two: Mesh = { positions: Float32Array.of(...cube.positions, ...cube.positions.map((value, i) => 3 * value + (i % 3 === 1 ? 10 : 0))), triangles: Uint32Array.of(...cube.triangles, ...cube.triangles.map((i) => i + 8)) };
    const camera = { projection: 'orthographic', eye: [3, -10, 4], target: [0, 0, 0], width: 60, height: 60, field: 8 } as const;
    const [alone, both] = [shaded(cube, camera).data, shaded(two, camera).data];
    alone.forEach((tone, i) => tone > 0 && expect(both[i]).toBe(tone));
    expect(both.filter((tone) => tone > 0).length).toBeGreaterThan(alone.filter((tone) => tone > 0).length);
  });
});

describe('the plate threshold', () => {
  it('has a volume that falls as the threshold rises, nearest to the object’s about half-way where nothing is blurred', () => {
    const { curve, half } = show({ voxel: 0.5, blur: 0 });
    curve.excess.slice(1).forEach((value, k) => expect(value).toBeLessThanOrEqual(curve.excess[k] + 1e-9));
    const best = curve.threshold[curve.excess.reduce((at, value, k) => (Math.abs(value) < Math.abs(curve.excess[at]) ? k : at), 0)];
    expect(Math.abs(best - half)).toBeLessThan(metal / 10);
  });
  it('puts half-way between aluminium and what is around it', () => {
    expect(show().half).toBeCloseTo(metal / 2, 12);
    expect(show({ around: 'oil' }).half).toBeCloseTo((metal + surroundings.oil) / 2, 12);
    const [lazy, right] = [show({ around: 'oil' }), show({ around: 'oil', threshold: 0.046 })].map(({ measures }) => Math.abs(measures.mean));
    expect(right, 'the threshold of air is as good in oil').toBeLessThan(lazy / 4);
  });
  it('says so where no voxel reaches the threshold, and draws nothing', () => {
    const { solid, crossing, measures } = show({ object: 'sheet', voxel: 2 });
    expect(measures).toMatchObject({ triangles: 0, volume: 0, mean: 0, farthest: 0 });
    expect(crossing.length).toBe(0);
    expect(Math.max(...solid.data)).toBe(0);
    expect(words({ object: 'sheet', voxel: 2 })).toContain('No voxel reaches the threshold: there is no surface.');
  });
  it('says how much more or less it holds, and where it lies', () => {
    expect(words()).toMatch(/1851 mm³, 4\.6 % less than the object’s 1940 mm³/);
    expect(words({ around: 'oil', threshold: 0.01 })).toContain('the oil is above the threshold too');
    expect(words({ smooth: 1 })).toContain('smoothed by 1 pass,');
  });
});
