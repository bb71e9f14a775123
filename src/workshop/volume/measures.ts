/** What a measurement comes to, what is drawn of it, and the list as a table for any spreadsheet. */
import { angleAt, circleThrough, distanceBetween, planeThrough, regionStatistics, type Point3, type Volume } from '../../lib/index.ts';
import { figure } from '../scan/words.ts';
import { pointsOf, type Measure } from './model.ts';

/** In mm, degrees, or 1/mm. */
export interface Figures {
  readonly value: number;
  readonly unit: 'mm' | '°' | '1/mm';
  /** Of a region: its standard deviation, 1/mm, and how many voxels it was taken from. */
  readonly deviation?: number;
  readonly count?: number;
  /** Of a circle, mm. */
  readonly radius?: number;
  readonly centre?: Point3;
}

/** Throws, with a sentence, where three points lie on one line and have no circle. */
export function figuresOf(measure: Measure, volume: Volume): Figures {
  const [a, b, c] = measure.points;
  if (measure.kind === 'distance') return { value: distanceBetween(a, b), unit: 'mm' };
  if (measure.kind === 'angle') return { value: (angleAt(a, b, c) * 180) / Math.PI, unit: '°' };
  if (measure.kind === 'circle') {
    const { radius, centre } = circleThrough(a, b, c);
    return { value: 2 * radius, unit: 'mm', radius, centre };
  }
  const { mean, deviation, count } = regionStatistics(volume, { centre: a, radius: measure.radius!, normal: measure.facing! });
  return { value: mean, unit: '1/mm', deviation, count };
}

/** For the list: the figure with its unit, and what belongs to it. */
export function inWords({ value, unit, deviation, count, radius }: Figures): { chief: string; more: string } {
  const chief = unit === '°' ? `${figure(value)}°` : unit === 'mm' ? `${figure(value)} mm` : `${figure(value)} ± ${figure(deviation!, 2)} /mm`;
  if (radius !== undefined) return { chief, more: `across; its radius is ${figure(radius)} mm` };
  if (count !== undefined) return { chief, more: `mean ± sd of ${count} voxels` };
  return { chief, more: '' };
}

/** Points and lines that a measurement draws, mm: round things as polygons. */
export function drawn(measure: Measure): { dots: readonly Point3[]; lines: readonly (readonly Point3[])[] } {
  const { points, kind } = measure;
  if (kind === 'region') return { dots: points, lines: [ring(points[0], measure.radius!, measure.facing!)] };
  if (kind !== 'circle') return { dots: points, lines: [points] };
  try {
    const { centre, radius, normal } = circleThrough(points[0], points[1], points[2]);
    return { dots: points, lines: [ring(centre, radius, normal)] };
  } catch {
    return { dots: points, lines: [points] };
  }
}

function ring(centre: Point3, radius: number, normal: Point3): Point3[] {
  const { across, up } = planeThrough(centre, normal);
  return Array.from({ length: 129 }, (_, i) => {
    const angle = (2 * Math.PI * i) / 128;
    return [0, 1, 2].map((k) => centre[k] + radius * (Math.cos(angle) * across[k] + Math.sin(angle) * up[k])) as unknown as Point3;
  });
}

const most = Math.max(...Object.values(pointsOf));

/** Comma-separated, a heading row, RFC 4180 quoting; lengths in mm, attenuation in 1/mm, angles in degrees. */
export function measuresAsCsv(measures: readonly Measure[], volume: Volume): string {
  const places = Array.from({ length: most }, (_, i) => ['x', 'y', 'z'].map((axis) => `${axis}${i + 1} (mm)`)).flat();
  const rows = measures.map((measure) => {
    let figures: Partial<Figures> = {};
    try {
      figures = figuresOf(measure, volume);
    } catch { /* no figure: its cells stay empty */ }
    const { value, unit, deviation, count } = figures;
    const radius = measure.radius ?? figures.radius;
    return [measure.name, measure.kind, value, unit === '°' ? 'degree' : unit, deviation, count, radius, ...measure.points.flat()];
  });
  return [['name', 'kind', 'value', 'unit', 'standard deviation', 'voxels', 'radius (mm)', ...places], ...rows].map((row) => row.map(cell).join(',')).join('\r\n') + '\r\n';
}

function cell(value: string | number | undefined): string {
  if (value === undefined) return '';
  if (typeof value === 'number') return String(Number(value.toPrecision(6)));
  return /[",\r\n]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value;
}
