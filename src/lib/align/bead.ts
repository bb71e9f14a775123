import { BadInput } from '../files/bad-input.ts';
import { fitEllipse } from '../measure/ellipse-fit.ts';
import type { ConeBeam, Projections } from '../types.ts';

export interface BeadPath {
  /** The bead's distance from the rotation axis, mm. */
  readonly radius: number;
  /** From the source to the axis, mm, where it is known; it is found from how flat the track is where it is not. */
  readonly sourceToAxis?: number;
}

export interface BeadGeometry {
  /** How much larger than life the axis is on the detector: sourceToDetector / sourceToAxis. */
  readonly magnification: number;
  readonly sourceToAxis: number;
  readonly sourceToDetector: number;
  /** Where the axis falls on the detector in the row of the source's plane, mm from the middle, + to higher columns. */
  readonly axisOffset: number;
  /** How far the axis leans from the columns, radians, + towards higher columns going up. */
  readonly tilt: number;
  /** Root mean square distance of the track from its ellipse, mm. */
  readonly rms: number;
}

/**
 * Where a small dense bead falls in each frame, mm from the detector's middle, [along the columns, up the rows]: the middle of mass of what
 * is at least half as deep as its deepest place. Nothing else in the frames may be as deep.
 * Throws BadInput where it cannot be told from what surrounds it.
 */
export function followBead({ views, rows, columns, data }: Projections, { pitch }: Pick<ConeBeam, 'pitch'>): [u: number, v: number][] {
  const size = rows * columns;
  return Array.from({ length: views }, (_, view) => {
    let deepest = view * size;
    for (let i = deepest; i < (view + 1) * size; i++) if (data[i]! > data[deepest]!) deepest = i;
    const limit = data[deepest]! / 2;
    // Spreads from the deepest cell to its neighbours as long as they are deep enough.
    const seen = new Set([deepest - view * size]);
    const open = [...seen];
    let [mass, alongColumns, upRows] = [0, 0, 0];
    while (open.length > 0) {
      const cell = open.pop()!;
      const [column, row] = [cell % columns, Math.floor(cell / columns)];
      const weight = data[view * size + cell]! - limit;
      mass += weight;
      alongColumns += weight * column;
      upRows += weight * row;
      for (const [x, y] of [[column - 1, row], [column + 1, row], [column, row - 1], [column, row + 1]] as const) {
        const next = y * columns + x;
        if (x < 0 || x >= columns || y < 0 || y >= rows || seen.has(next) || !(data[view * size + next]! > limit)) continue;
        seen.add(next);
        open.push(next);
      }
    }
    if (!(mass > 0) || seen.size > size / 20) throw new BadInput(`Frame ${view} (counted from 0) shows no bead: what is at least half as deep as its deepest place covers ${seen.size} of ${size} cells.`);
    return [(alongColumns / mass - (columns - 1) / 2) * pitch, (upRows / mass - (rows - 1) / 2) * pitch];
  });
}

/**
 * Magnification, axis and tilt from the track of one bead that goes round the axis on a circle of known radius r. In a cone beam a circle
 * square to the axis is seen as an ellipse; with R = sourceToAxis, S = sourceToDetector, and z the bead's height over the source's plane:
 *   half its length  A = S r / √(R² − r²)    half its width  B = S |z| r / (R² − r²)    height of its middle  h = S z R / (R² − r²)
 * so that R = r |h| / B, and magnification = S/R = (A/r) √(1 − (r/R)²). Its longer axis is square to the image of the rotation axis, which
 * passes its middle.
 * track: as followBead gives it, of a whole turn or most of one.   rowOffset: where the source's plane falls on the detector, mm.
 * R from flatness is rough (its error is that of B); give sourceToAxis where it was measured: the magnification then hardly depends on it.
 * Throws BadInput: fewer than 6 places, a track that is no ellipse, a bead in the plane of the source, or too near it with no sourceToAxis given.
 * Source: derived; the perspective of a circle.
 */
export function geometryFromBead(track: readonly (readonly [u: number, v: number])[], { radius, sourceToAxis }: BeadPath, rowOffset = 0): BeadGeometry {
  if (!(radius > 0)) throw new BadInput(`The bead's distance from the axis is ${radius} mm: it should be above 0.`);
  const { centre: [u, v], major, minor, angle, rms } = ellipseOf(track);
  const tilt = -angle; // the longer axis lies along (cos tilt, −sin tilt)
  // The image of the axis passes the middle of the ellipse, leaning; height is measured along it.
  const height = (v - rowOffset) / Math.cos(tilt);
  const axisOffset = u - (v - rowOffset) * Math.tan(tilt);
  const distance = sourceToAxis ?? (radius * Math.abs(height)) / minor;
  if (sourceToAxis === undefined && !(minor > 3 * rms && Math.abs(height) > minor)) {
    throw new BadInput('The bead goes round too near the plane of the source to tell how far the source is: give the distance from the source to the axis, or a bead higher up or lower down.');
  }
  if (!(distance > radius)) throw new BadInput(`The source would be ${Number(distance.toPrecision(4))} mm from the axis, nearer than the bead (${radius} mm): the radius should be the bead's distance from the axis, in mm.`);
  const sourceToDetector = (major * Math.sqrt(distance ** 2 - radius ** 2)) / radius;
  return { magnification: sourceToDetector / distance, sourceToAxis: distance, sourceToDetector, axisOffset, tilt, rms };
}

function ellipseOf(track: readonly (readonly [u: number, v: number])[]) {
  try {
    return fitEllipse(track);
  } catch (error) {
    if (!(error instanceof BadInput) || track.length < 6) throw error;
    throw new BadInput('The bead’s track is no ellipse but a line: in the plane of the source a circle is seen edge on, so put the bead higher up or lower down.');
  }
}
