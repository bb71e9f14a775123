import { detectorIndex } from '../geometry/detector-position.ts';
import type { ConeBeam } from '../types.ts';

/** A point as the cone sees it. */
export interface PointInCone {
  /** Where its shadow falls, mm on the detector from the ray through the axis: u along (cos θ, sin θ), v along +z. */
  readonly u: number;
  readonly v: number;
  /** The cell on which that is, with fractions; below −½ or above count − ½ it lies off the detector. */
  readonly column: number;
  readonly row: number;
  /** Distance from the source along the ray through the axis, mm; (sourceToAxis / depth)² is the weight of cone backprojection. */
  readonly depth: number;
}

/**
 * Where the point (x, y, z), mm, falls on the detector in a view.
 *   u = S·a/depth,  v = S·z/depth,  a = x cos θ + y sin θ,  depth = R + x sin θ − y cos θ,  R, S = sourceToAxis, sourceToDetector
 * A point level with the source gives no place (Infinity or NaN), one behind it a place where no ray goes.
 * Source: similar triangles; Feldkamp, Davis & Kress, J. Opt. Soc. Am. A 1:612 (1984), citation from memory.
 */
export function pointInCone(geometry: ConeBeam, view: number, x: number, y: number, z: number): PointInCone {
  const cos = Math.cos(geometry.angles[view]), sin = Math.sin(geometry.angles[view]);
  const depth = geometry.sourceToAxis + x * sin - y * cos;
  const scale = geometry.sourceToDetector / depth;
  const u = scale * (x * cos + y * sin), v = scale * z;
  return { u, v, ...cellOfCone(geometry, u, v), depth };
}

/**
 * The cell, with fractions, at (u, v) mm from the ray through the axis, u square to the axis and v along it. A tilted detector is
 * turned about that ray: (u, v) lies u cos τ + v sin τ along its rows and −u sin τ + v cos τ up its columns.
 */
export function cellOfCone(geometry: ConeBeam, u: number, v: number): { column: number; row: number } {
  const cos = Math.cos(geometry.tilt), sin = Math.sin(geometry.tilt);
  return { column: detectorIndex(geometry, u * cos + v * sin), row: detectorRow(geometry, v * cos - u * sin) };
}

/** The other way round: where the middle of a cell lies, mm. Fractions are welcome. */
export function placeOfCell(geometry: ConeBeam, column: number, row: number): { u: number; v: number } {
  const cos = Math.cos(geometry.tilt), sin = Math.sin(geometry.tilt);
  const along = (column - (geometry.detectors - 1) / 2) * geometry.pitch - geometry.axisOffset;
  const up = (row - (geometry.rows - 1) / 2) * geometry.pitch - geometry.rowOffset;
  return { u: along * cos - up * sin, v: along * sin + up * cos };
}

/** The row, with its fraction, at height t up the detector's columns, mm from the plane of the source. */
export function detectorRow(geometry: ConeBeam, t: number): number {
  return (t + geometry.rowOffset) / geometry.pitch + (geometry.rows - 1) / 2;
}
