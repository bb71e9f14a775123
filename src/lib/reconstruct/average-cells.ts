import { binFrame } from '../photos/bin-frame.ts';
import { workingGeometry } from '../photos/working-geometry.ts';
import { matchProjections } from '../project/cone-input.ts';
import type { ConeBeam, Projections } from '../types.ts';

/**
 * Frames of fewer, larger cells: squares of factor × factor averaged, and the geometry that belongs to them. Columns and rows that do not fill a square
 * are dropped at the higher end; the axis and the plane of the source then fall elsewhere from the middle.
 * projections: line integrals, not changed; given back as they are where factor is 1.
 * Throws BadInput where frames and geometry do not match, or nothing would be left.
 */
export function averageCells(projections: Projections, geometry: ConeBeam, factor: number): { projections: Projections; geometry: ConeBeam } {
  matchProjections(projections, geometry);
  if (factor === 1) return { projections, geometry };
  const { views } = projections, { rows, detectors } = geometry, cells = rows * detectors, rest = rows % factor;
  const frame = (view: number) => binFrame({ width: detectors, height: rows, data: projections.data.subarray(view * cells, (view + 1) * cells) }, factor);
  const { width, height } = frame(0), data = new Float32Array(views * width * height);
  for (let view = 0; view < views; view++) data.set(frame(view).data, view * width * height);
  return {
    projections: { views, rows: height, columns: width, data },
    // A photograph counts its rows from the top, where those that are left over are.
    geometry: workingGeometry(geometry, { width: detectors, height: rows }, { crop: { left: 0, top: rest, width: detectors, height: rows - rest }, bin: factor }),
  };
}
