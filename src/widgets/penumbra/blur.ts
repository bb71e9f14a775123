/**
 * Shadows under an even spot and even cells: a pattern averaged over the width of the penumbra and once more over that of a cell. Two running
 * means of a function are differences of its second antiderivative, so the result is exact. Lengths in mm at the object.
 */
export interface Pattern {
  /** The share of the light that the object lets through at x. */
  readonly light: (x: number) => number;
  /** Its antiderivative, and that one's. */
  readonly first: (x: number) => number;
  readonly second: (x: number) => number;
}

/** Mean of the pattern about x over `penumbra` and over `cell`, either of which may be 0. */
export function blurred({ light, first, second }: Pattern, x: number, penumbra: number, cell: number): number {
  const [wide, narrow] = penumbra > cell ? [penumbra, cell] : [cell, penumbra];
  if (wide < tiny) return light(x);
  if (narrow < tiny) return (first(x + wide / 2) - first(x - wide / 2)) / wide;
  const [far, near] = [(wide + narrow) / 2, (wide - narrow) / 2];
  return (second(x + far) - second(x + near) - second(x - near) + second(x - far)) / (wide * narrow);
}

/** Below this, mm, a width counts as none: the differences of the second antiderivative would drown in rounding. */
const tiny = 1e-5;

/** An opaque plate on the left, nothing from x = 0 on. */
export const edge: Pattern = {
  light: (x) => (x > 0 ? 1 : x < 0 ? 0 : 0.5),
  first: (x) => Math.max(0, x),
  second: (x) => (x > 0 ? (x * x) / 2 : 0),
};

/** Bars and gaps of equal width, `period` in all: a gap from 0 to half of the period, then a bar. */
export function bars(period: number): Pattern {
  const half = period / 2;
  const phase = (x: number) => x - period * Math.floor(x / period);
  // About their mean, ½x, the antiderivatives repeat: a triangle, and parabolas that meet.
  const triangle = (x: number) => (phase(x) < half ? phase(x) : period - phase(x)) / 2 - half / 4;
  const parabolas = (x: number) => {
    const t = phase(x) < half ? phase(x) : phase(x) - half;
    const arc = (t * (t - half)) / 4;
    return phase(x) < half ? arc : -arc;
  };
  return {
    light: (x) => (phase(x) < half ? 1 : 0),
    first: (x) => x / 2 + triangle(x),
    second: (x) => (x * x) / 4 + parabolas(x),
  };
}

/** What is left of the contrast of the pattern's first wave, 1 for all of it: the product of two sinc functions. Negative: dark for bright. */
export function contrastLeft(period: number, penumbra: number, cell: number): number {
  const sinc = (width: number) => (width === 0 ? 1 : Math.sin((Math.PI * width) / period) / ((Math.PI * width) / period));
  return sinc(penumbra) * sinc(cell);
}
