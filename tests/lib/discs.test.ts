import { describe, expect, it } from 'vitest';
import { coneBeam, cylinder, finish, projectSolids, type Steps } from '../../src/lib/index.ts';
import { discs, halfHeight, stack, type DiscsResult, type DiscsState } from '../../src/widgets/discs/model.ts';
import type { Specimen } from '../../src/widgets/frame/definition.ts';

const show = (change: Partial<DiscsState> = {}) => finish(discs.compute({ ...discs.initial, ...change }, {} as Specimen) as Steps<DiscsResult>);
const gapAt = ({ gaps }: DiscsResult, z: number) => gaps.find((gap) => gap.z === z)!.depth;

describe('the plate discs', () => {
  it('stands the source where half of the stack is as high as it says', () => {
    for (const angle of [1, 8, 20]) expect(Math.atan(halfHeight / show({ angle }).sourceToAxis)).toBeCloseTo((angle * Math.PI) / 180, 12);
  });

  it('makes one view do for all, as turning the stack about its axis changes nothing', () => {
    const solid = { ...cylinder([0, 0, 3], [0, 0, 5], stack.radius), attenuation: stack.attenuation };
    const screen = coneBeam({ views: 3, turn: 2, detectors: 20, rows: 12, pitch: 2, sourceToAxis: 100, sourceToDetector: 100 });
    const { data } = projectSolids([solid], screen);
    for (const view of [1, 2]) for (let i = 0; i < 240; i++) expect(Math.abs(data[view * 240 + i] - data[i])).toBeLessThan(1e-6);
  });

  it('shows the whole stack as it is: discs of 2 mm, gaps of 2 mm', () => {
    const { beside } = show();
    const column = (x: number) => Array.from({ length: beside.height }, (_, row) => beside.data[row * beside.width + x]);
    expect(column(32).filter((value) => Math.abs(value - stack.attenuation) < 1e-9)).toHaveLength(9 * 4);
    expect(column(32).filter((value) => value === 0)).toHaveLength(80 - 9 * 4);
    expect(column(1).every((value) => value === 0), '15 mm from the axis there is nothing').toBe(true);
  });

  it('gives back discs and gaps as they are where the cone is narrow', () => {
    const result = show({ angle: 1 });
    for (const { z, depth } of result.gaps) expect(depth, `gap at ${z} mm`).toBeCloseTo(1, 1);
    expect(result.error).toBeLessThan(0.1 * stack.attenuation);
  });

  it.each([4, 6, 8, 10, 15, 20])('at %d° keeps the gaps that a ray can cross, and loses those that none can', (angle) => {
    const result = show({ angle });
    for (const { z, depth } of result.gaps) {
      if (Math.abs(z) < result.open) expect(depth, `gap at ${z} mm, rays cross out to ${result.open.toFixed(1)} mm`).toBeGreaterThan(0.65);
      if (Math.abs(z) > 1.15 * result.open) expect(depth, `gap at ${z} mm, rays cross out to ${result.open.toFixed(1)} mm`).toBeLessThan(0.45);
    }
  });

  it('shows the gap in the plane of the source at any cone angle, wherever that plane lies', () => {
    for (const level of [-14, -2, 6, 14]) expect(gapAt(show({ angle: 12, level }), level), `level ${level} mm`).toBeGreaterThan(0.95);
    expect(gapAt(show({ angle: 12, level: 14 }), -14)).toBeLessThan(0.3);
  });

  it('is the same seen from above and from below', () => {
    const [up, down] = [show({ level: 6 }), show({ level: -6 })];
    up.gaps.forEach(({ depth }, k) => expect(depth).toBeCloseTo(down.gaps.at(-1 - k)!.depth, 5));
  });

  it('says how far the rule reaches and what becomes of the gaps', () => {
    const words = discs.describe(discs.initial, show(), {} as Specimen);
    expect(words).toContain('For half a cone of 8° the source stands 121 mm from the axis.');
    expect(words).toContain('within 8.6 mm of the plane of the source: 4 of 8 do.');
    expect(words).toMatch(/comes out 99 % as deep as it is, the farthest −8 %/);
  });
});
