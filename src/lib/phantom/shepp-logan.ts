import { ellipse, type Ellipse } from './shapes.ts';

export interface SheppLoganOptions {
  /** 1974: the original, a head with contrasts of 1 %. high-contrast: the same ellipses with contrasts that a screen can show. */
  readonly variant?: '1974' | 'high-contrast';
  /** Side of the square −1…1 of the published tables, mm. The skull is 0.92 of it high and 0.69 wide. */
  readonly size?: number;
  /** Attenuation of a grey of 1, 1/mm. */
  readonly scale?: number;
}

/**
 * The head of Shepp and Logan: ten ellipses, scaled to millimetres. Its brain has a grey of 1.02 (1974) or 0.2 (high-contrast).
 * size 200 mm gives a head about 184 mm long; scale 0.02/mm is about the attenuation of water at 60 keV: our own choices.
 * Sources: Shepp & Logan, IEEE Trans. Nucl. Sci. NS-21:21 (1974), Table 1, from transcriptions: the skull is 2, not the 1 of some
 * later copies. High contrast: Toft, thesis (1996), Table B.3, from copies; there the ninth ellipse lies at −0.606, not −0.605.
 */
export function sheppLogan({ variant = '1974', size = 200, scale = 0.02 }: SheppLoganOptions = {}): Ellipse[] {
  const greys = variant === '1974' ? GREYS_1974 : GREYS_HIGH_CONTRAST;
  const unit = size / 2;
  return ELLIPSES.map(([a, b, x, y, degrees], k) => {
    const shifted = variant === 'high-contrast' && k === NINTH ? -0.606 : y;
    return ellipse(x * unit, shifted * unit, a * unit, b * unit, (degrees * Math.PI) / 180, greys[k]! * scale);
  });
}

const NINTH = 8;
const GREYS_1974 = [2, -0.98, -0.02, -0.02, 0.01, 0.01, 0.01, 0.01, 0.01, 0.01];
const GREYS_HIGH_CONTRAST = [1, -0.8, -0.2, -0.2, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1];

/** Semi-axes along x and y, centre, tilt in degrees counter-clockwise. */
const ELLIPSES: readonly (readonly [a: number, b: number, x: number, y: number, degrees: number])[] = [
  [0.69, 0.92, 0, 0, 0],
  [0.6624, 0.874, 0, -0.0184, 0],
  [0.11, 0.31, 0.22, 0, -18],
  [0.16, 0.41, -0.22, 0, 18],
  [0.21, 0.25, 0, 0.35, 0],
  [0.046, 0.046, 0, 0.1, 0],
  [0.046, 0.046, 0, -0.1, 0],
  [0.046, 0.023, -0.08, -0.605, 0],
  [0.023, 0.023, 0, -0.605, 0],
  [0.023, 0.046, 0.06, -0.605, 0],
];
