import type { WindowName } from '../filter/filter.ts';
import type { Glare } from '../photos/glare.ts';
import type { Hardening } from '../photos/hardening.ts';
import type { PhotoStep, Rectangle } from '../photos/light.ts';
import type { MeasuredCurve } from '../photos/linearise.ts';
import type { Iterative, MethodName } from '../reconstruct/reconstruct-with.ts';
import { BadInput } from './bad-input.ts';
import { mistakeIn, type Schema } from './check-schema.ts';
import { parseJson } from './parse-json.ts';
import type { Channel } from './photograph.ts';
import schema from './scan.schema.json' with { type: 'json' };

/** A scan file as it stands: mm and degrees, keys that are not needed left out. scan.schema.json says what each key means. */
export interface Scan {
  readonly $schema?: string;
  readonly format: 'scan';
  readonly version: 1;
  readonly title?: string;
  readonly beam: { readonly shape: 'parallel' } | { readonly shape: 'fan' | 'cone'; readonly sourceToAxis: number; readonly sourceToDetector: number };
  readonly detector: {
    readonly pitch: number;
    readonly columns: number;
    readonly rows?: number;
    readonly axisOffset?: number;
    readonly rowOffset?: number;
    readonly tilt?: number;
    readonly mirrored?: boolean;
  };
  readonly angles: { readonly start?: number; readonly step: number; readonly count: number } | { readonly list: readonly number[] };
  readonly turn?: 'counterclockwise' | 'clockwise';
  readonly frames:
    | { readonly kind: 'line-integrals'; readonly file: string }
    | {
        readonly kind: 'photographs';
        readonly files: readonly string[];
        readonly dark?: readonly string[];
        readonly flat?: readonly string[];
        readonly encoding: 'srgb' | 'linear' | 'measured';
        /** Of encoding 'measured'. */
        readonly curve?: MeasuredCurve;
        readonly channel?: Channel;
        /** Pixels of the photographs, upright. */
        readonly crop?: Rectangle;
        readonly bin?: number;
        readonly open?: Rectangle;
        readonly glare?: Glare;
        readonly hardening?: Hardening;
        readonly without?: readonly Exclude<PhotoStep, 'logarithm' | 'hardening'>[];
      };
  readonly reconstruction?: Partial<Omit<Iterative, 'method'>> & {
    readonly method: MethodName;
    readonly window?: WindowName | 'formula';
    /** Of window 'formula'. */
    readonly formula?: string;
    readonly cutoff?: number;
    readonly size?: number;
    readonly pixelSize?: number;
    readonly centre?: readonly [x: number, y: number];
  };
}

const longestText = 20e6;

/**
 * Reads a scan file, strictly. What is left out stays out; scanGeometry and scanGrid know the usual values.
 * Throws BadInput, one sentence with the path of the key: not JSON, an unknown key (with the nearest known one), a missing key,
 * a value of the wrong kind or out of range, a detector before the axis, an axis beside the detector, photographs ≠ angles, a crop beside the detector,
 * a measured curve that is missing or falls.
 */
export function readScan(text: string): Scan {
  const value = parseJson(text, 'scan file', longestText);
  const mistake = mistakeIn(value, schema as unknown as Schema) ?? mistakeAcross(value as Scan);
  if (mistake) throw new BadInput(mistake);
  return value as Scan;
}

/** The rules that tie one key to another. */
function mistakeAcross({ beam, detector, angles, frames, reconstruction }: Scan): string | undefined {
  if (beam.shape !== 'parallel' && beam.sourceToDetector < beam.sourceToAxis) {
    return `The detector lies before the axis: beam.sourceToDetector is ${beam.sourceToDetector} mm and should be at least beam.sourceToAxis, ${beam.sourceToAxis} mm.`;
  }
  const reach = (detector.columns * detector.pitch) / 2;
  if (Math.abs(detector.axisOffset ?? 0) >= reach) {
    return `detector.axisOffset is ${detector.axisOffset} mm, which is beside the detector: ${detector.columns} cells of ${detector.pitch} mm reach ${Number(reach.toPrecision(6))} mm to either side.`;
  }
  const views = viewCount(angles);
  if (frames.kind === 'photographs' && frames.files.length !== views) {
    return `frames.files lists ${frames.files.length} photographs and angles has ${views} views: there should be one photograph for each view.`;
  }
  if (frames.kind === 'photographs' && frames.crop && frames.crop.left + frames.crop.width > detector.columns) {
    return `frames.crop reaches column ${frames.crop.left + frames.crop.width}, and the photographs have ${detector.columns} (detector.columns).`;
  }
  return mistakeInMethod(reconstruction) ?? (frames.kind === 'photographs' ? mistakeInCurve(frames) : undefined);
}

/** A key that the method has no use for is a mistake: nothing would come of it. */
function mistakeInMethod(reconstruction: Scan['reconstruction']): string | undefined {
  if (!reconstruction) return undefined;
  const { method } = reconstruction;
  const iterative = ['sirt', 'os-sart', 'cgls', 'tv'] as const;
  const of = {
    window: ['fbp'], formula: ['fbp'], cutoff: ['fbp'], iterations: iterative, support: iterative, weights: iterative, start: iterative, noise: iterative,
    nonNegative: ['sirt', 'os-sart', 'tv'], strength: ['tv'], subsets: ['os-sart'],
  } as const satisfies Partial<Record<keyof typeof reconstruction, readonly MethodName[]>>;
  for (const [key, methods] of Object.entries(of)) {
    if (key in reconstruction && !(methods as readonly string[]).includes(method)) return `reconstruction.${key} is given and reconstruction.method is "${method}": it belongs to ${methods.map((name) => `"${name}"`).join(', ')}.`;
  }
  return undefined;
}

function mistakeInCurve({ encoding, curve }: Extract<Scan['frames'], { kind: 'photographs' }>): string | undefined {
  if (encoding !== 'measured') return curve ? `frames.curve is given and frames.encoding is "${encoding}": a curve belongs to "measured".` : undefined;
  if (!curve) return 'frames.encoding is "measured" and frames.curve is missing: it has the light of each stored value.';
  const { stored, light } = curve;
  if (stored.length !== light.length) return `frames.curve has ${stored.length} stored values and ${light.length} of light: there should be one for each.`;
  const falls = stored.findIndex((value, k) => k > 0 && !(value > stored[k - 1] && light[k] >= light[k - 1]));
  return falls < 0 ? undefined : `frames.curve falls at its entry ${falls + 1}: stored values rise, and light with them.`;
}

/** Number of views of a scan. */
export const viewCount = (angles: Scan['angles']): number => ('list' in angles ? angles.list.length : angles.count);

/**
 * Writes a scan file that readScan reads back as the same scan; lists of numbers stay on one line.
 * Throws BadInput where readScan would.
 */
export function writeScan(scan: Scan): string {
  const lists: string[] = [];
  const text = JSON.stringify(scan, (_, value) => (Array.isArray(value) && value.every((item) => typeof item === 'number') ? `\u0000${lists.push(JSON.stringify(value)) - 1}` : value), 2)
    .replace(/"\\u0000(\d+)"/g, (_, index) => lists[Number(index)].replaceAll(',', ', '));
  readScan(text);
  return `${text}\n`;
}
