import type { ConeBeam, FanBeam, Geometry, Grid, ParallelBeam } from '../types.ts';
import { fieldRadius } from '../geometry/field-radius.ts';
import { magnification } from '../geometry/magnification.ts';
import { checkMemory, grouped } from './memory-limit.ts';
import type { Scan } from './scan.ts';

/**
 * The geometry of a scan in the library's terms, mm and radians.
 * Angles are counted in the direction of turn: a clockwise scan has angles −start − k·step. A mirrored detector is taken as put
 * right (see scanSinogram), so its axisOffset and tilt change sign.
 */
export function scanGeometry(scan: Scan): Geometry {
  const { beam, detector } = scan;
  const sign = detector.mirrored ? -1 : 1;
  const flat = { angles: scanAngles(scan), detectors: detector.columns, pitch: detector.pitch, axisOffset: 0 + sign * (detector.axisOffset ?? 0) };
  if (beam.shape === 'parallel') return { beam: 'parallel', ...flat } satisfies ParallelBeam;
  const { sourceToAxis, sourceToDetector } = beam;
  if (beam.shape === 'fan') return { beam: 'fan', ...flat, sourceToAxis, sourceToDetector } satisfies FanBeam;
  const tilt = 0 + (sign * (detector.tilt ?? 0) * Math.PI) / 180;
  return { beam: 'cone', ...flat, rows: detector.rows ?? 1, rowOffset: detector.rowOffset ?? 0, sourceToAxis, sourceToDetector, tilt } satisfies ConeBeam;
}

/** The angle of each view, radians, counter-clockwise seen from +z. */
function scanAngles({ angles, turn }: Scan): number[] {
  const degrees = 'list' in angles ? angles.list : Array.from({ length: angles.count }, (_, k) => (angles.start ?? 0) + k * angles.step);
  const sign = turn === 'clockwise' ? -1 : 1;
  return degrees.map((angle) => 0 + (sign * angle * Math.PI) / 180);
}

/** Beyond this a picture that nobody asked for costs time and shows nothing that the cells saw. */
const largestUnasked = 1024;

/**
 * The picture that the scan asks for. Left out: pixels as wide as a cell's shadow at the axis, over the circle that every view
 * sees whole, at most 1024²; of size and pixelSize, the one that is missing is chosen to fill that circle.
 * Throws BadInput if it would take more than memoryLimit.
 */
export function scanGrid(scan: Scan): Grid {
  const geometry = scanGeometry(scan);
  const field = 2 * fieldRadius(geometry);
  const asked = scan.reconstruction ?? { method: 'fbp' };
  const cell = asked.pixelSize ?? geometry.pitch / magnification(geometry);
  const size = asked.size ?? Math.min(largestUnasked, Math.max(16, Math.round(field / cell)));
  checkMemory(size * size, `A picture of ${grouped(size)} × ${grouped(size)} pixels (reconstruction.size)`);
  const pixelSize = asked.pixelSize ?? Number((field / size).toPrecision(6));
  return { width: size, height: size, pixelSize, ...(asked.centre ? { centre: asked.centre } : {}) };
}
