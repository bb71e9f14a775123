import { erf } from './erf.ts';
import { gaussLegendre } from './gauss-legendre.ts';
import type { Shape } from './shapes.ts';

/** What one shape throws on the detector in one view. Positions in mm on the detector, from the axis. */
export interface Shadow {
  /** Nothing outside these two. */
  readonly from: number;
  readonly to: number;
  /** The line integral along the ray to s. */
  readonly at: (s: number) => number;
  /** Its mean over the detector between two positions, s0 < s1. */
  readonly mean: (s0: number, s1: number) => number;
}

/**
 * In a parallel beam, closed forms. s from the shadow's middle; φ = θ − angle.
 *   ellipse    p = 2ρab·√(A² − s²)/A²,  A² = a²cos²φ + b²sin²φ,   ∫p ds = ρab·(s√(A² − s²)/A² + asin(s/A))
 *   Gaussian   p = ρσ√(2π)·exp(−s²/2σ²),                            ∫p ds = ρσ²π·erf(s/σ√2)
 * Source: Kak & Slaney 1988, chapter 3, projections of ellipses (citation from memory); the integrals are elementary.
 */
export function parallelShadow(shape: Shape, theta: number): Shadow {
  const middle = shape.x * Math.cos(theta) + shape.y * Math.sin(theta);
  if (shape.kind === 'gaussian') {
    const { sigma, value } = shape;
    const reach = REACH * sigma;
    const top = value * sigma * Math.sqrt(2 * Math.PI);
    const whole = value * sigma * sigma * Math.PI;
    return {
      from: middle - reach,
      to: middle + reach,
      at: (s) => top * Math.exp(-((s - middle) ** 2) / (2 * sigma * sigma)),
      mean: (s0, s1) => (whole * (erf((s1 - middle) / (sigma * Math.SQRT2)) - erf((s0 - middle) / (sigma * Math.SQRT2)))) / (s1 - s0),
    };
  }
  const { a, b, value } = shape;
  const half = Math.hypot(a * Math.cos(theta - shape.angle), b * Math.sin(theta - shape.angle));
  const top = (2 * value * a * b) / half;
  const upTo = (s: number) => {
    const u = Math.min(1, Math.max(-1, (s - middle) / half));
    return value * a * b * (u * Math.sqrt(1 - u * u) + Math.asin(u));
  };
  return {
    from: middle - half,
    to: middle + half,
    at: (s) => top * Math.sqrt(Math.max(0, 1 - ((s - middle) / half) ** 2)),
    mean: (s0, s1) => (upTo(s1) - upTo(s0)) / (s1 - s0),
  };
}

/**
 * In a fan, from the chord's own quadratic. Rays run from the source S along d = (s, −L) in the view's frame (u along the detector, v
 * towards the source; L = sourceToDetector). In the frame that makes the ellipse the unit circle, with q = S − centre and e = d so
 * mapped, the chord is 2√(|e|² − (q×e)²)/|e|² in units of |d|. Counted from the ray through the centre, σ = s − s₀, where q×e = 0:
 *   |e|² = E₀ + 2Mσ + mσ²,    (q×e)² = kσ²,    and the root is  κ(h² − (σ − σₘ)²),  κ = k − m: the shadow is σₘ ± h.
 * Mean over a cell: with σ = σₘ + h sin φ the root's ends vanish, and an 8-point Gauss–Legendre rule on panels of at most 0.4 rad is
 * exact to about 10⁻¹² of the shadow's height (tested). A Gaussian: the same rule on panels of one σ's shadow.
 * Source: derived here; tested against parallelShadow along the same lines.
 * Throws RangeError when the shape reaches as far out as the source.
 */
export function fanShadow(shape: Shape, beta: number, sourceToAxis: number, sourceToDetector: number): Shadow {
  const u0 = shape.x * Math.cos(beta) + shape.y * Math.sin(beta);
  const depth = sourceToAxis + shape.x * Math.sin(beta) - shape.y * Math.cos(beta); // from the source to the shape's middle, along v
  const middle = (sourceToDetector * u0) / depth;
  const length = (s: number) => Math.hypot(s, sourceToDetector);
  if (shape.kind === 'gaussian') {
    const { sigma, value } = shape;
    requireInFront(depth > REACH * sigma, shape, beta);
    const top = value * sigma * Math.sqrt(2 * Math.PI);
    const at = (s: number) => {
      const distance = (depth * (s - middle)) / length(s);
      return top * Math.exp(-(distance * distance) / (2 * sigma * sigma));
    };
    // The lines that pass the middle at REACH·sigma: the shadow of a disc of that radius.
    const [from, to] = discShadow(u0, depth, REACH * sigma, sourceToDetector);
    const panel = (sigma * sourceToDetector) / depth;
    return { from, to, at, mean: (s0, s1) => gaussLegendre(at, Math.max(s0, from), Math.min(s1, to), panel) / (s1 - s0) };
  }
  const { a, b, value } = shape;
  const cos = Math.cos(shape.angle - beta);
  const sin = Math.sin(shape.angle - beta);
  requireInFront(depth > Math.hypot(a * sin, b * cos), shape, beta);
  // u, −v and q in the ellipse's frame: (component along a)/a, (component along b)/b.
  const [ma, mb] = [cos / a, -sin / b];
  const [qa, qb] = [(-u0 * cos + depth * sin) / a, (u0 * sin + depth * cos) / b];
  const [ea, eb] = [middle * ma - (sourceToDetector * sin) / a, middle * mb - (sourceToDetector * cos) / b];
  const E0 = ea * ea + eb * eb;
  const M = ea * ma + eb * mb;
  const m = ma * ma + mb * mb;
  const kappa = (qa * mb - qb * ma) ** 2 - m;
  const offset = M / kappa;
  const half = Math.sqrt(offset * offset + E0 / kappa);
  const chord = (s: number, root: number) => {
    const sigma = s - middle;
    return (2 * value * root * length(s)) / (E0 + 2 * M * sigma + m * sigma * sigma);
  };
  const shadowMiddle = middle + offset;
  const swept = (phi: number) => half * Math.cos(phi) * chord(shadowMiddle + half * Math.sin(phi), Math.sqrt(kappa) * half * Math.cos(phi));
  const phi = (s: number) => Math.asin(Math.min(1, Math.max(-1, (s - shadowMiddle) / half)));
  return {
    from: shadowMiddle - half,
    to: shadowMiddle + half,
    at: (s) => chord(s, Math.sqrt(Math.max(0, kappa * (half * half - (s - shadowMiddle) ** 2)))),
    mean: (s0, s1) => gaussLegendre(swept, phi(s0), phi(s1), 0.4) / (s1 - s0),
  };
}

/** How many sigma of a Gaussian are looked at: exp(−9²/2) is 3·10⁻¹⁸ of its height. */
const REACH = 9;

function discShadow(u0: number, depth: number, radius: number, sourceToDetector: number): [from: number, to: number] {
  const middle = Math.atan2(u0, depth);
  const half = Math.asin(Math.min(1, radius / Math.hypot(u0, depth)));
  const edge = (angle: number) => (Math.abs(angle) < Math.PI / 2 ? sourceToDetector * Math.tan(angle) : Math.sign(angle) * Infinity);
  return [edge(middle - half), edge(middle + half)];
}

function requireInFront(inFront: boolean, shape: Shape, beta: number): void {
  if (inFront) return;
  throw new RangeError(
    `The ${shape.kind} at (${shape.x}, ${shape.y}) mm reaches as far out as the source in the view at ${beta} rad; the whole phantom should lie nearer to the axis than the source.`,
  );
}
