import type { Geometry } from '../types.ts';
import { BadInput } from '../files/bad-input.ts';
import type { PhotoOptions } from './photo-scan.ts';

/**
 * The geometry of the working frames, from that of the photographs: fewer and larger cells, and the axis and the plane of the source
 * elsewhere from the middle when more is cut off at one side than at the other. Of the kept part, columns and rows that do not fill a
 * square of `bin` pixels are dropped at the right and at the bottom of the photograph, as binFrame drops them.
 * photographs: their width and height, pixels.   crop counts on the photograph, also where `mirrored` turns the frames round afterwards.
 * Throws BadInput where the detector of the geometry has another size than the photographs.
 */
export function workingGeometry<G extends Geometry>(geometry: G, photographs: { readonly width: number; readonly height: number }, { crop, bin = 1, mirrored = false }: Pick<PhotoOptions, 'crop' | 'bin' | 'mirrored'>): G {
  const { width, height } = photographs;
  const rows = geometry.beam === 'cone' ? geometry.rows : height;
  if (geometry.detectors !== width || rows !== height) {
    throw new BadInput(`The photographs have ${width} × ${height} pixels, and the detector is said to have ${geometry.detectors} columns${geometry.beam === 'cone' ? ` and ${rows} rows` : ''}: these are the pixels of a photograph, before anything is cut off or binned.`);
  }
  const kept = crop ?? { left: 0, top: 0, width, height };
  const columns = Math.floor(kept.width / bin), lines = Math.floor(kept.height / bin);
  const right = kept.left + (columns * bin - 1) / 2 - (width - 1) / 2; // by how much the middle moves to the right, and up, in pixels
  const up = (height - 1) / 2 - (kept.top + (lines * bin - 1) / 2);
  const moved = { ...geometry, detectors: columns, pitch: geometry.pitch * bin, axisOffset: geometry.axisOffset - (mirrored ? -right : right) * geometry.pitch };
  return geometry.beam === 'cone' ? { ...moved, rows: lines, rowOffset: geometry.rowOffset - up * geometry.pitch } : moved;
}
