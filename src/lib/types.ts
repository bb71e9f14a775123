/** The library's data: plain objects over row-major Float32Arrays. Lengths in mm, angles in radians, attenuation in 1/mm. */

/** Where pixels lie. Row 0 is the top row; +x right, +y up; centre is the point (mm) at the middle of the grid, (0, 0) on the axis. */
export interface Grid {
  readonly width: number;
  readonly height: number;
  /** Edge of a pixel, mm. */
  readonly pixelSize: number;
  /** Middle of the grid, mm; the rotation axis when left out. */
  readonly centre?: readonly [x: number, y: number];
}

/** A slice: data[row · width + column], attenuation in 1/mm unless said otherwise. */
export interface Image extends Grid {
  readonly data: Float32Array;
}

/** Line integrals without unit: data[view · detectors + detector]. */
export interface Sinogram {
  readonly views: number;
  readonly detectors: number;
  readonly data: Float32Array;
}

/** Line integrals on a flat screen: data[(view · rows + row) · columns + column], row 0 at the bottom (lowest z). */
export interface Projections {
  readonly views: number;
  readonly rows: number;
  readonly columns: number;
  readonly data: Float32Array;
}

/** data[(z · height + row) · width + column], 1/mm; slice 0 is the lowest. */
export interface Volume {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  readonly voxelSize: number;
  readonly data: Float32Array;
}

interface Views {
  /** View angle of each row of the sinogram, radians, counter-clockwise seen from +z; any order, any spacing. */
  readonly angles: readonly number[];
  /** Cells in a row of the detector. */
  readonly detectors: number;
  /** Distance between neighbouring cells, mm, on the detector itself. */
  readonly pitch: number;
  /** Where the rotation axis falls on the detector, mm from its middle, + to higher columns. */
  readonly axisOffset: number;
}

/** Cell j lies at s = (j − (detectors − 1)/2)·pitch − axisOffset along (cos θ, sin θ), seen from the axis. */
export interface ParallelBeam extends Views {
  readonly beam: 'parallel';
}

/** The source is at (−R sin θ, R cos θ), R = sourceToAxis; the flat detector is square to the ray through the axis. */
export interface FanBeam extends Views {
  readonly beam: 'fan';
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
}

/** As the fan, with rows of cells along +z from the bottom; tilt is the axis against the detector's columns, radians. */
export interface ConeBeam extends Views {
  readonly beam: 'cone';
  readonly rows: number;
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
  readonly tilt: number;
}

/** The beams that make a sinogram of one slice. */
export type FlatBeam = ParallelBeam | FanBeam;
export type Geometry = FlatBeam | ConeBeam;

/** What long work listens to and reports to: progress runs from 0 to 1. */
export interface Work {
  readonly signal?: AbortSignal;
  readonly progress?: (fraction: number) => void;
}
