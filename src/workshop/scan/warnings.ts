/** What the reader should know before they believe the slice: in words, mildest last. */
import { coverage, fieldRadius, magnification, rayOf, viewsNeeded, type FlatBeam, type Grid, type Sinogram } from '../../lib/index.ts';
import { counted, figure } from './words.ts';

export interface Remark {
  /** 'warning': the slice will be wrong somewhere; 'note': good to know. */
  readonly kind: 'warning' | 'note';
  readonly about: 'coverage' | 'truncation' | 'views' | 'picture' | 'light' | 'bright';
  readonly sentence: string;
}

/** A shadow counts from this share of the deepest one. */
const SHADOW = 0.05;

export interface Shadow {
  /** How far from the axis the object reaches, mm at the axis. */
  readonly reach: number;
  /** Views in which the shadow runs into an end of the detector. */
  readonly touching: number;
  /** Share of the cells that lie clearly below 0, brighter than open light. */
  readonly negative: number;
}

export function shadowOf({ views, detectors, data }: Sinogram, geometry: FlatBeam): Shadow {
  let deepest = 0;
  for (const value of data) if (value > deepest) deepest = value;
  const threshold = SHADOW * deepest;
  let reach = 0, touching = 0, negative = 0;
  for (const value of data) if (value < -threshold) negative++;
  for (let view = 0; view < views; view++) {
    const row = data.subarray(view * detectors, (view + 1) * detectors);
    let first = 0, last = detectors - 1;
    while (first < detectors && !(row[first] > threshold)) first++;
    while (last > first && !(row[last] > threshold)) last--;
    if (first === detectors) continue;
    if (endMean(row, false) > threshold || endMean(row, true) > threshold) touching++;
    for (const cell of [first - 0.5, last + 0.5]) reach = Math.max(reach, Math.abs(rayOf(geometry, view, cell).s));
  }
  return { reach, touching, negative: negative / data.length };
}

export function remarks(geometry: FlatBeam, sinogram: Sinogram, grid: Grid, dark = 0): Remark[] {
  const found: Remark[] = [coverageRemark(geometry)];
  const shadow = shadowOf(sinogram, geometry);
  const views = sinogram.views;
  if (shadow.touching > views / 100) {
    found.push({ kind: 'warning', about: 'truncation', sentence: `In ${shadow.touching} of ${counted(views, 'view')} the shadow runs into an end of the detector: the object is wider than the field. Its inside may still be seen, but the values drift and the rim of the field glows.` });
  }
  const needed = shadow.reach > 0 ? viewsForReach(geometry, shadow.reach) : 0;
  const have = perHalfTurn(geometry);
  if (have < needed) {
    const few = have < needed / 2;
    found.push({
      kind: few ? 'warning' : 'note', about: 'views',
      sentence: `There are ${figure(have, 3)} views in each half turn. To show details as fine as two cells over the whole object, ${figure(2 * shadow.reach, 3)} mm wide, takes ${needed} (π/2 times the cells across it): ${few ? 'streaks may show, first at the rim.' : 'the finest details may suffer towards the rim.'}`,
    });
  }
  if (shadow.negative > 0.02) {
    found.push({ kind: 'warning', about: 'bright', sentence: `${figure(100 * shadow.negative, 2)} % of the line integrals lie clearly below 0, as if the object gave light: the bright level may be too low, or the numbers may not be what they are taken for.` });
  }
  if (dark > 0) {
    found.push({ kind: 'warning', about: 'light', sentence: `${counted(dark, 'number')} of the brightness ${dark === 1 ? 'is' : 'are'} 0 or less, where the logarithm ends; half of the least above 0 stands in.` });
  }
  const field = fieldRadius(geometry);
  const corner = farthestCorner(grid);
  if (corner > field * 1.5) {
    found.push({ kind: 'note', about: 'picture', sentence: `Only the circle of ${figure(2 * field, 3)} mm about the axis is seen by every view; the picture reaches ${figure(corner, 3)} mm from it.` });
  }
  return found;
}

/** The rule N = (π/2)·n over half a turn, n the cells across the object at the axis. */
export function viewsForReach(geometry: FlatBeam, reach: number): number {
  return viewsNeeded({ rule: 'pitch', diameter: 2 * reach, pitch: geometry.pitch / magnification(geometry) }).views;
}

/** Different directions in each half turn of what the views cover. */
function perHalfTurn(geometry: FlatBeam): number {
  const { span, directions } = coverage(geometry);
  return (directions * Math.PI) / Math.max(span, 1e-9);
}

function coverageRemark(geometry: FlatBeam): Remark {
  const { kind, span, needed } = coverage(geometry);
  const all = `${degrees(span)}`;
  switch (kind) {
    case 'full': return { kind: 'note', about: 'coverage', sentence: `The views cover ${all}: every ray through the object is measured, and measured twice.` };
    case 'half': return { kind: 'note', about: 'coverage', sentence: `The views cover ${all}: with parallel rays, all that is needed.` };
    case 'short': return { kind: 'note', about: 'coverage', sentence: `The views cover ${all}, a short scan: a half turn and the fan’s angle (${degrees(needed)}) are enough, and rays measured twice are weighted so that they count once.` };
    default: return { kind: 'warning', about: 'coverage', sentence: `The views cover ${all} and ${degrees(needed)} are needed: edges that no ray runs along will be smeared, whatever the filter.` };
  }
}

const degrees = (radians: number) => `${figure((radians * 180) / Math.PI)}°`;

/** Mean of the outer three cells, so that one noisy cell does not count as a shadow. */
function endMean(row: Float32Array, last: boolean): number {
  const count = Math.min(3, row.length);
  let sum = 0;
  for (let k = 0; k < count; k++) sum += row[last ? row.length - 1 - k : k];
  return sum / count;
}

function farthestCorner({ width, height, pixelSize, centre = [0, 0] }: Grid): number {
  return Math.hypot(Math.abs(centre[0]) + (width * pixelSize) / 2, Math.abs(centre[1]) + (height * pixelSize) / 2);
}
