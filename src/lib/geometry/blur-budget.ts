import { bestMagnification, unsharpness } from './unsharpness.ts';

export interface BlurOptions {
  readonly magnification: number;
  /** Of the detector, mm on the detector. */
  readonly pitch: number;
  /** Width of the focal spot, mm. */
  readonly spot: number;
  /** Width over which the screen spreads a point of light, mm on the screen; 0 when left out. */
  readonly screen?: number;
  /** How far the table turns while a view is exposed, radians: 0 (the default) for one that stands still meanwhile. */
  readonly turning?: number;
  /** How far the object is shaken while a view is exposed, or stands beside its right place, mm; 0 when left out. */
  readonly motion?: number;
  /** From the axis to the place that is asked about, mm: the rim, say. Only turning, and the step below, depend on it; 0 when left out. */
  readonly radius?: number;
  /** Angle from one view to the next, radians. */
  readonly step?: number;
}

export type BlurPart = 'spot' | 'pitch' | 'screen' | 'turning' | 'motion';

export interface BlurBudget {
  /** Width that each adds, mm at the object. */
  readonly parts: Readonly<Record<BlurPart, number>>;
  /** All together, mm at the object: the root of the sum of their squares. */
  readonly total: number;
  readonly largest: BlurPart;
  /** What one view is from the next at this radius, mm: radius · step. No blur and not in the total; where it exceeds the total, views and not the rig limit the rim. */
  readonly arc: number;
  /** The magnification at which the total is least; Infinity for a spot of no width. Turning and motion are the same at every one. */
  readonly bestMagnification: number;
}

/**
 * What blurs a view, part by part, in mm at the object near the axis:
 *   spot · (M − 1)/M     pitch/M     screen/M     radius · turning     motion
 * Widths are added as if each were a bell (effectivePixel with more than two); give all of them in one sense, full width at half maximum say.
 * On the side of the object that faces the source the spot blurs more than stated, on the far side less.
 * Throws RangeError, one sentence, for a size that cannot be.   Source: as unsharpness.ts; radius · angle is an arc.
 */
export function blurBudget(options: BlurOptions): BlurBudget {
  const { magnification, pitch, spot, screen = 0, turning = 0, motion = 0, radius = 0, step = 0 } = options;
  for (const [name, value] of Object.entries({ pitch, screen, turning, motion, radius, step })) {
    if (!(value >= 0) || !Number.isFinite(value)) throw new RangeError(`The ${name} of a blur budget is ${value} and should be a number, 0 or more.`);
  }
  const parts: Record<BlurPart, number> = {
    spot: unsharpness(spot, magnification) / magnification,
    pitch: pitch / magnification,
    screen: screen / magnification,
    turning: radius * turning,
    motion,
  };
  const names = Object.keys(parts) as BlurPart[];
  return {
    parts,
    total: Math.hypot(...Object.values(parts)),
    largest: names.reduce((most, name) => (parts[name] > parts[most] ? name : most)),
    arc: radius * step,
    bestMagnification: bestMagnification(Math.hypot(pitch, screen), spot),
  };
}
