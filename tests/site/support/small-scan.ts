/** A scan of a dozen small photographs, quick to make and to reconstruct: two cylinders of known attenuation in a cone beam, exact, written as a camera would (8 bits along the sRGB curve). */
import { encode } from 'fast-png';
import { ball as sphere, coneBeam, cylinder, lightToSrgb, projectSolids, type Solid } from '../../../src/lib/index.ts';

export const small = { width: 96, height: 64, views: 12, sourceToAxis: 300, sourceToDetector: 400, pitch: 0.8 };

const solids: readonly Solid[] = [
  { ...cylinder([0, 0, -14], [0, 0, 14], 18), name: 'body', attenuation: 0.02 },
  { ...cylinder([8, 3, -10], [8, 3, 10], 4), name: 'rod', attenuation: 0.06 },
];

/** A ball of 3.2 mm, 20 mm from the axis and 12 mm above the source's plane. */
const ball: readonly Solid[] = [{ ...sphere([20, 0, 12], 1.6), name: 'ball', attenuation: 0.8 }];

export interface Photo { readonly name: string; readonly mimeType: string; readonly buffer: Buffer }

/** view-01.png …, dark-1.png, flat-1.png; brightness of the open beam `level` of full scale, beyond which a camera writes full scale. */
export function smallScan({ views = small.views, level = 0.8, of = solids, name = 'view', axisOffset = 0 } = {}): Photo[] {
  const { data } = projectSolids(of, coneBeam({ ...small, views, detectors: small.width, rows: small.height, axisOffset }));
  const size = small.width * small.height;
  const shot = (name: string, light: (pixel: number) => number) => photo(name, Uint8Array.from({ length: size }, (_, pixel) => Math.min(255, Math.round(255 * lightToSrgb(Math.min(1, light(pixel)))))));
  const upside = (pixel: number) => (small.height - 1 - Math.floor(pixel / small.width)) * small.width + (pixel % small.width); // row 0 of a photograph is on top
  return [
    ...Array.from({ length: views }, (_, view) => shot(`${name}-${String(view + 1).padStart(2, '0')}.png`, (pixel) => 0.01 + level * Math.exp(-data[view * size + upside(pixel)]))),
    shot('dark-1.png', () => 0.01), shot('flat-1.png', () => 0.01 + level),
  ];
}

/** The ball alone, at 16 even steps; the axis falls 2.4 mm right of the middle. */
export const beadScan = (): Photo[] => smallScan({ views: 16, of: ball, name: 'ball', axisOffset: 2.4 }).slice(0, 16);

export function photo(name: string, data: Uint8Array, width = small.width, height = small.height): Photo {
  return { name, mimeType: 'image/png', buffer: Buffer.from(encode({ width, height, data, channels: 1, depth: 8 })) };
}
