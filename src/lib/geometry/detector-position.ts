import type { Geometry } from '../types.ts';

/** Where cell j lies along its row: s = (j − (detectors − 1)/2)·pitch − axisOffset, mm on the detector, 0 where the axis falls. */
export function detectorPosition(geometry: Geometry, j: number): number {
  return (j - (geometry.detectors - 1) / 2) * geometry.pitch - geometry.axisOffset;
}

/** The other way round: the cell at s, with its fraction. Below −½ or above detectors − ½ it lies off the detector. */
export function detectorIndex(geometry: Geometry, s: number): number {
  return (s + geometry.axisOffset) / geometry.pitch + (geometry.detectors - 1) / 2;
}
