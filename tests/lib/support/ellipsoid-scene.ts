/** A small scene of ellipsoids whose cone-beam line integrals are exact chords: an object for the tests of alignment. Invented. */
import type { ConeBeam, Projections } from '../../../src/lib/types.ts';

/** Semi-axes along x, y, z after a turn by `angle` about z; value in 1/mm, added where solids overlap. */
export interface Ellipsoid {
  readonly centre: readonly [number, number, number];
  readonly radii: readonly [number, number, number];
  readonly angle?: number;
  readonly value: number;
}

/** A shell with a few things in it, some 72 mm across and 84 mm tall. */
export const scene: readonly Ellipsoid[] = [
  { centre: [0.5, -0.3, 0], radii: [36, 32, 42], value: 0.018 },
  { centre: [0.5, -0.3, 0], radii: [33, 29, 39], value: -0.018 },
  { centre: [-16, -9, -14], radii: [8, 6, 4], angle: 0.4, value: 0.075 },
  { centre: [-9, 13, 4], radii: [7, 7, 7], value: 0.06 },
  { centre: [7, -17, 12], radii: [6, 6, 6], value: 0.011 },
  { centre: [16, 5, -2], radii: [7, 8, 19], value: 0.03 },
  { centre: [16, 5, -2], radii: [6, 7, 18], value: -0.014 },
  ...Array.from({ length: 18 }, (_, i): Ellipsoid => ({
    centre: [-4 + 5 * Math.cos(i * 0.9), -3 + 5 * Math.sin(i * 0.9), -26 + 1.2 * i], radii: [1.3, 1.3, 1.3], value: 0.14,
  })),
];

/** Exact line integrals through cell middles; `fine` cells a side are averaged into one. */
export function projectScene(solids: readonly Ellipsoid[], beam: ConeBeam, fine = 1): Projections {
  const { angles, rows, detectors: columns, pitch, axisOffset, rowOffset, tilt, sourceToAxis, sourceToDetector } = beam;
  const data = new Float32Array(angles.length * rows * columns);
  const [cosTilt, sinTilt] = [Math.cos(tilt), Math.sin(tilt)];
  for (let view = 0; view < angles.length; view++) {
    const [cos, sin] = [Math.cos(angles[view]!), Math.sin(angles[view]!)];
    // Each solid in the turned frame: along the detector, towards the source, up.
    const turned = solids.map(({ centre: [x, y, z], radii, angle = 0, value }) => {
      const [a, b] = [x * cos + y * sin, -x * sin + y * cos];
      const turn = angle - angles[view]!;
      return { a, b, z, radii, value, cosT: Math.cos(turn), sinT: Math.sin(turn) };
    });
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        let sum = 0;
        for (let i = 0; i < fine; i++) {
          for (let j = 0; j < fine; j++) {
            const u = (column - (columns - 1) / 2 + (j + 0.5) / fine - 0.5) * pitch - axisOffset;
            const v = (row - (rows - 1) / 2 + (i + 0.5) / fine - 0.5) * pitch - rowOffset;
            sum += alongRay(turned, u * cosTilt - v * sinTilt, u * sinTilt + v * cosTilt, sourceToAxis, sourceToDetector);
          }
        }
        data[(view * rows + row) * columns + column] = sum / fine ** 2;
      }
    }
  }
  return { views: angles.length, rows, columns, data };
}

interface Turned {
  readonly a: number; readonly b: number; readonly z: number; readonly radii: readonly [number, number, number];
  readonly value: number; readonly cosT: number; readonly sinT: number;
}

/** From the source at (0, R, 0) towards (s, R − D, height), in the turned frame. */
function alongRay(solids: readonly Turned[], s: number, height: number, R: number, D: number): number {
  const length = Math.hypot(s, D, height);
  const [da, db, dz] = [s / length, -D / length, height / length];
  let sum = 0;
  for (const { a, b, z, radii: [p, q, r], value, cosT, sinT } of solids) {
    const [oa, ob, oz] = [-a, R - b, -z];
    const [ox, oy] = [(oa * cosT + ob * sinT) / p, (-oa * sinT + ob * cosT) / q];
    const [dx, dy] = [(da * cosT + db * sinT) / p, (-da * sinT + db * cosT) / q];
    const A = dx * dx + dy * dy + (dz / r) ** 2;
    const B = ox * dx + oy * dy + (oz * dz) / r ** 2;
    const C = ox * ox + oy * oy + (oz / r) ** 2 - 1;
    const root = B * B - A * C;
    if (root > 0) sum += (value * 2 * Math.sqrt(root)) / A;
  }
  return sum;
}

/** Seeded numbers in 0…1 (mulberry32, a public-domain generator by T. Ettinger). */
export function seeded(seed: number): () => number {
  let state = seed | 0;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let mixed = Math.imul(state ^ (state >>> 15), 1 | state);
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed;
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
}

/** The same frames with normal noise of this deviation, by Box and Muller. */
export function noisy({ data, ...size }: Projections, deviation: number, random: () => number): Projections {
  return { ...size, data: data.map((p) => p + deviation * Math.sqrt(-2 * Math.log(1 - random())) * Math.cos(2 * Math.PI * random())) };
}

/** Only these frames, in this order. */
export function framesOf({ rows, columns, data }: Projections, kept: readonly number[]): Projections {
  const size = rows * columns;
  const chosen = new Float32Array(kept.length * size);
  kept.forEach((view, i) => chosen.set(data.subarray(view * size, (view + 1) * size), i * size));
  return { views: kept.length, rows, columns, data: chosen };
}

/** `lost` of `of` steps taken out at random; what stays, rising. */
export function keptSteps(of: number, lost: number, random: () => number): number[] {
  const steps = Array.from({ length: of }, (_, k) => k);
  for (let i = 0; i < lost; i++) steps.splice(Math.floor(random() * steps.length), 1);
  return steps;
}
