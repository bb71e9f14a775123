import { followBead, geometryFromBead } from '../align/bead.ts';
import type { ConeBeam, Projections } from '../types.ts';
import { BadInput } from './bad-input.ts';
import { scanAxis } from './scan-axis.ts';
import type { Scan } from './scan.ts';

/** What the path of a bead says of a rig, as a scan file counts it: mm, cells of the detector as its frames are stored, degrees. */
export interface ScanBead {
  readonly magnification: number;
  /** That makes this magnification with the scan file's sourceToAxis. */
  readonly sourceToDetector: number;
  readonly offset: number;
  readonly pixels: number;
  readonly tilt: number;
  /** Root mean square distance of the bead's places from their ellipse, mm on the detector. */
  readonly rms: number;
  /** From the source to the axis by how flat the track is: rough, and left out where the track is too flat to tell. */
  readonly byFlatness?: number;
}

/**
 * Follows a bead through the frames of a scan that shows nothing else as dense. frames and working: line integrals, and the geometry that
 * they have (cropped, binned, a mirror put right) of the scan file.   radius: the bead's distance from the axis, mm.
 * The scan file's sourceToAxis is trusted; its sourceToDetector, axisOffset and tilt are not used.
 * Throws BadInput as followBead and geometryFromBead do, and where the places lie on no one ellipse.
 */
export function scanBead(scan: Scan, working: ConeBeam, frames: Projections, radius: number): ScanBead {
  const track = followBead(frames, working);
  const { sourceToAxis } = working;
  const { axisOffset, magnification, sourceToDetector, tilt, rms } = geometryFromBead(track, { radius, sourceToAxis }, working.rowOffset);
  if (rms > 2 * working.pitch) throw new BadInput(`The bead's places lie ${Number(rms.toPrecision(2))} mm (root mean square) from the ellipse that fits them best, more than two cells of ${Number(working.pitch.toPrecision(3))} mm: something else may be as dense as the bead in some frames, or the frames are not one even turn.`);
  const axis = scanAxis(scan, working, { axisOffset, tilt, deviation: { axisOffset: 0, tilt: 0 } });
  const round = (value: number) => Number(value.toPrecision(6));
  const byFlatness = flatness(() => geometryFromBead(track, { radius }, working.rowOffset).sourceToAxis);
  return {
    magnification: round(magnification), sourceToDetector: round(sourceToDetector), offset: axis.offset, pixels: axis.pixels, tilt: axis.tilt, rms: round(rms),
    ...(byFlatness === undefined ? {} : { byFlatness: round(byFlatness) }),
  };
}

function flatness(find: () => number): number | undefined {
  try {
    return find();
  } catch (error) {
    if (error instanceof BadInput) return undefined;
    throw error;
  }
}
