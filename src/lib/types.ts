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

/** Where voxels lie: `depth` grids one above the other, slice 0 the lowest; row 0 of a slice is its top row, +y up, as in a picture. */
export interface VolumeGrid {
  readonly width: number;
  readonly height: number;
  readonly depth: number;
  /** Edge of a voxel, mm. */
  readonly voxelSize: number;
  /** Middle of the grid, mm; on the rotation axis, in the plane of the source, when left out. */
  readonly centre?: readonly [x: number, y: number, z: number];
}

/** data[(z · height + row) · width + column], attenuation in 1/mm unless said otherwise. */
export interface Volume extends VolumeGrid {
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

/**
 * As the fan, with rows of square cells along +z from the bottom: row i lies at (i − (rows − 1)/2)·pitch − rowOffset above the plane of
 * the source. tilt: the image of the axis on the detector leans this far from the columns, radians, + towards higher columns going up;
 * the detector is turned in its own plane about the point where the ray through the axis, in the plane of the source, meets it.
 */
export interface ConeBeam extends Views {
  readonly beam: 'cone';
  readonly rows: number;
  /** Where the plane of the source, square to the axis, falls on the detector, mm from its middle, + to higher rows. */
  readonly rowOffset: number;
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
