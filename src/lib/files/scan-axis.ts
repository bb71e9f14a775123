import type { Axis } from '../align/find-axis.ts';
import type { Geometry } from '../types.ts';
import type { Scan } from './scan.ts';
import { scanGeometry } from './scan-geometry.ts';

/** An axis as a scan file counts it: mm and cells of the detector as its frames are stored, degrees. */
export interface ScanAxis {
  readonly offset: number;
  readonly pixels: number;
  readonly tilt: number;
  readonly deviation: { readonly offset: number; readonly pixels: number; readonly tilt: number };
}

/** The axis found in working frames (cropped, binned, a mirror put right), for the scan file whose frames they are. */
export function scanAxis(scan: Scan, working: Geometry, axis: Pick<Axis, 'axisOffset' | 'tilt' | 'deviation'>): ScanAxis {
  const sign = scan.detector.mirrored ? -1 : 1;
  const cut = working.axisOffset - scanGeometry(scan).axisOffset; // by how much a crop moved the middle
  const round = (value: number) => Number(value.toPrecision(6));
  const degrees = (radians: number) => round((radians * 180) / Math.PI);
  const offset = round(sign * (axis.axisOffset - cut));
  return {
    offset, pixels: round(offset / scan.detector.pitch), tilt: sign * degrees(axis.tilt) + 0,
    deviation: { offset: round(axis.deviation.axisOffset), pixels: round(axis.deviation.axisOffset / scan.detector.pitch), tilt: degrees(axis.deviation.tilt) },
  };
}
