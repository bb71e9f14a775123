import type { ConeBeam } from '../types.ts';

/**
 * The ray that a cell of the screen looks along: from the source to the cell's middle. column and row may be fractions.
 *   source:  (−R sin θ, R cos θ, 0)       cell:  ((D − R) sin θ + u cos θ, −(D − R) cos θ + u sin θ, v)
 *   u = a cos τ − b sin τ,  v = a sin τ + b cos τ,  a = (column − (columns − 1)/2)·pitch − axisOffset,  b = (row − (rows − 1)/2)·pitch − rowOffset
 * R = sourceToAxis, D = sourceToDetector, τ = tilt: u and v lie along (cos θ, sin θ) and the axis, a and b along the tilted rows and
 * columns, in which the axis runs along (sin τ, cos τ). direction has length 1. Lengths in mm.
 * Source: the axes in types.ts.
 */
export function coneRay(geometry: ConeBeam, view: number, column: number, row: number): { origin: [x: number, y: number, z: number]; direction: [x: number, y: number, z: number] } {
  const [x, y, z, dx, dy, dz] = writeConeRay(geometry, view, column, row, new Float64Array(6));
  return { origin: [x, y, z], direction: [dx, dy, dz] };
}

/** The same without making anything: origin and direction go to the six numbers of `ray`. */
export function writeConeRay(geometry: ConeBeam, view: number, column: number, row: number, ray: Float64Array): Float64Array {
  const { angles, detectors, rows, pitch, axisOffset, rowOffset, tilt, sourceToAxis, sourceToDetector } = geometry;
  const cos = Math.cos(angles[view]);
  const sin = Math.sin(angles[view]);
  const a = (column - (detectors - 1) / 2) * pitch - axisOffset;
  const b = (row - (rows - 1) / 2) * pitch - rowOffset;
  const u = a * Math.cos(tilt) - b * Math.sin(tilt);
  const v = a * Math.sin(tilt) + b * Math.cos(tilt);
  const norm = Math.sqrt(u * u + v * v + sourceToDetector * sourceToDetector);
  ray[0] = -sourceToAxis * sin;
  ray[1] = sourceToAxis * cos;
  ray[2] = 0;
  ray[3] = (sourceToDetector * sin + u * cos) / norm;
  ray[4] = (-sourceToDetector * cos + u * sin) / norm;
  ray[5] = v / norm;
  return ray;
}
