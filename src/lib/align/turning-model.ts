import { invert } from './cholesky.ts';
import type { BeamWithoutAngles } from './frames.ts';

/**
 * What is known, before it is seen, of the views of any object at equal steps round a circle: how the cells of one row go together.
 * covariance[m]: of the view's mth harmonic round the circle, cells × cells, complex (Hermitian), m = 0 … circle − 1, scaled so that a cell has
 * variance 1 in all.
 */
export interface TurningModel {
  readonly circle: number;
  readonly cells: number;
  readonly covariance: readonly { readonly re: Float64Array; readonly im: Float64Array }[];
}

/**
 * The model of objects that fill a disc about the axis and are as likely to be one thing as another: noise of equal strength everywhere
 * in the disc, smoothed as real things are (spectrum falling as 1/(1 + (k/k₀)²), k₀ = 4/radius).
 * The object's nth angular harmonic at radius ρ draws, along a row, the harmonic (Cormack 1963)
 *   gₙ(s) = 2 Tₙ(s/ρ) / √(1 − s²/ρ²) dρ,  here averaged over cells by  ∫ Tₙ(s/ρ) ds / √(1 − s²/ρ²) = −ρ sin(n arccos(s/ρ))/n,
 * and a fan sees gₙ at s = R sin γ turned by γ: pₙ(γ) = gₙ(R sin γ) exp(i n γ). Harmonics that equal steps cannot tell apart, n and
 * n + circle, are added. So what the model knows is that views change smoothly with the angle, low frequencies along the row more slowly than
 * high ones, and that each ray meets its opposite: the conditions of Helgason and Ludwig, and of a fan's opposite rays, in one.
 * circle: steps once round.   direction: 1 where the source goes counter-clockwise from step to step, −1 where it goes clockwise.
 * reach: half the width of the row that is looked at, mm on the detector, about the axis, in `cells` equal cells.
 * The harmonic m = 0, what is round about the axis, is left nearly free (100 times the variance): most things have a shell.
 * Source: A. M. Cormack, J. Appl. Phys. 34:2722 (1963), citation from memory; tested against projections of random discs.
 */
export function turningModel(detector: BeamWithoutAngles, circle: number, direction: 1 | -1, reach: number, cells: number): TurningModel {
  const fan = detector.beam !== 'parallel';
  const gammaAt = (s: number) => (fan ? Math.atan2(s, detector.sourceToDetector) : 0);
  const rayAt = (s: number) => (fan ? detector.sourceToAxis * Math.sin(gammaAt(s)) : s);
  const radius = rayAt(reach);
  const edges = Array.from({ length: cells + 1 }, (_, i) => -reach + (2 * reach * i) / cells);
  const rays = edges.map(rayAt);
  const gammas = Array.from({ length: cells }, (_, i) => gammaAt((edges[i]! + edges[i + 1]!) / 2));

  // A finer row, a little wider than the disc, on which the smoothing is done; then the cells are averaged from it.
  const fine = 3 * cells;
  const width = (2.5 * radius) / fine;
  const fineEdges = Float64Array.from({ length: fine + 1 }, (_, i) => -1.25 * radius + i * width);
  const toCells = smoothedCells(rays, fineEdges, width, 4 / radius);

  const covariance = Array.from({ length: circle }, () => ({ re: new Float64Array(cells * cells), im: new Float64Array(cells * cells) }));
  const rings = 2 * cells;
  const drawn = new Float64Array(cells * rings);
  const along = new Float64Array(fine);
  const highest = Math.ceil(1.15 * (Math.PI / 2) * cells) + 6; // beyond it Tₙ is finer than a cell everywhere in the disc
  for (let n = 0; n <= highest; n++) {
    for (let ring = 0; ring < rings; ring++) {
      const rho = ((ring + 0.5) / rings) * radius;
      for (let f = 0; f < fine; f++) {
        const from = Math.acos(clamp(fineEdges[f]! / rho)), to = Math.acos(clamp(fineEdges[f + 1]! / rho));
        along[f] = ((2 * rho) / width) * (n === 0 ? from - to : (Math.sin(n * from) - Math.sin(n * to)) / n);
      }
      for (let i = 0; i < cells; i++) {
        let sum = 0;
        for (let f = 0; f < fine; f++) sum += toCells[i * fine + f]! * along[f]!;
        drawn[i * rings + ring] = sum / Math.sqrt(rho); // a ring of equal noise: variance ∝ 1/ρ
      }
    }
    for (let i = 0; i < cells; i++) {
      for (let j = 0; j < cells; j++) {
        let sum = 0;
        for (let ring = 0; ring < rings; ring++) sum += drawn[i * rings + ring]! * drawn[j * rings + ring]!;
        for (const sign of n === 0 ? [1] : [1, -1]) {
          const to = covariance[(((sign * direction * n) % circle) + circle) % circle]!;
          to.re[i * cells + j]! += sum * Math.cos(sign * n * (gammas[i]! - gammas[j]!));
          to.im[i * cells + j]! += sum * Math.sin(sign * n * (gammas[i]! - gammas[j]!));
        }
      }
    }
  }
  let variance = 0;
  for (const { re } of covariance) for (let i = 0; i < cells; i++) variance += re[i * cells + i]! / cells;
  covariance.forEach(({ re, im }, m) => {
    const scale = (m === 0 ? 100 : 1) / variance;
    for (let i = 0; i < cells * cells; i++) {
      re[i]! *= scale;
      im[i]! *= scale;
    }
  });
  return { circle, cells, covariance };
}

const clamp = (cosine: number) => Math.max(-1, Math.min(1, cosine));

/** cells × fine: each cell's average over the fine row, the row smoothed by the kernel whose spectrum is 1/√(1 + (k/k₀)²). */
function smoothedCells(rays: readonly number[], fineEdges: Float64Array, width: number, k0: number): Float64Array {
  const [cells, fine] = [rays.length - 1, fineEdges.length - 1];
  const kernel = new Float64Array(fine);
  const highest = Math.PI / width;
  const samples = 400;
  for (let away = 0; away < fine; away++) {
    for (let q = 0; q < samples; q++) {
      const k = ((q + 0.5) / samples) * highest;
      kernel[away]! += Math.cos(k * away * width) / Math.sqrt(1 + (k / k0) ** 2) / samples;
    }
  }
  const result = new Float64Array(cells * fine);
  for (let i = 0; i < cells; i++) {
    const [from, to] = [rays[i]!, rays[i + 1]!];
    for (let g = 0; g < fine; g++) {
      const share = (Math.min(fineEdges[g + 1]!, to) - Math.max(fineEdges[g]!, from)) / (to - from);
      if (share <= 0) continue;
      for (let f = 0; f < fine; f++) result[i * fine + f]! += share * kernel[Math.abs(f - g)]!;
    }
  }
  return result;
}

/** The inverse of the covariance of all views round the circle, noise added. */
export interface Precision {
  /** lags[d]: the block between views d steps apart, cells × cells: view k's cells down, view k − d's across. */
  readonly lags: readonly Float64Array[];
  /** ln det of the covariance of all views. */
  readonly logDeterminant: number;
}

/** noise: variance of a cell's noise, where the object's own variance is 1. */
export function precisionOf({ circle, cells, covariance }: TurningModel, noise: number): Precision {
  let logDeterminant = 0;
  const inverses = covariance.map(({ re, im }) => {
    // As one real matrix of twice the size; each view's harmonic is the circle's mean, so its covariance counts `circle` times.
    const size = 2 * cells;
    const matrix = new Float64Array(size * size);
    for (let i = 0; i < cells; i++) {
      for (let j = 0; j < cells; j++) {
        const own = i === j ? noise : 0;
        matrix[i * size + j] = matrix[(i + cells) * size + j + cells] = circle * re[i * cells + j]! + own;
        matrix[i * size + j + cells] = -circle * im[i * cells + j]!;
        matrix[(i + cells) * size + j] = circle * im[i * cells + j]!;
      }
    }
    const { inverse, logDeterminant: twice } = invert(matrix, size);
    logDeterminant += twice / 2;
    return inverse;
  });
  const lags = Array.from({ length: circle }, (_, lag) => {
    const block = new Float64Array(cells * cells);
    for (let m = 0; m < circle; m++) {
      const angle = (2 * Math.PI * m * lag) / circle;
      const [cos, sin] = [Math.cos(angle) / circle, Math.sin(angle) / circle];
      const inverse = inverses[m]!;
      for (let i = 0; i < cells; i++) {
        for (let j = 0; j < cells; j++) block[i * cells + j]! += cos * inverse[i * 2 * cells + j]! - sin * inverse[(i + cells) * 2 * cells + j]!;
      }
    }
    return block;
  });
  return { lags, logDeterminant };
}
