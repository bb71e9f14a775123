import { BadInput } from '../files/bad-input.ts';
import { sameSize, type Pixels } from './pixels.ts';

/** Which of the two common settings; figures made with different ones cannot be compared. */
export interface SsimSettings {
  /** 'wang2004': 11 × 11 Gaussian window, σ = 1.5 pixels, covariance over N. 'uniform7': 7 × 7 even window, covariance over N − 1. */
  readonly kind: 'wang2004' | 'uniform7';
}

/**
 * Structural similarity: the mean, over all places where the window lies wholly inside the pictures, of
 *   (2·ma·mb + C1)(2·cab + C2) / ((ma² + mb² + C1)(va + vb + C2)),  C1 = (0.01·range)², C2 = (0.03·range)²
 * with m, v, c the window's mean, variance and covariance. So a border of 5 pixels (wang2004) or 3 (uniform7) is left out.
 * 1 where the pictures are the same.   range: as for psnr.
 * Throws: BadInput if the pictures differ in size or are smaller than the window.
 * Source: Z. Wang et al., IEEE Trans. Image Process. 13 (2004) 600; the even window of 7 is the default of scikit-image.
 */
export function ssim(a: Pixels, b: Pixels, range: number, { kind }: SsimSettings = { kind: 'wang2004' }): number {
  sameSize(a, b);
  const window = kind === 'wang2004' ? gaussianWindow(5, 1.5) : new Float64Array(7).fill(1 / 7);
  const size = window.length;
  if (a.width < size || a.height < size) {
    throw new BadInput(`The pictures have ${a.width} × ${a.height} pixels; this similarity looks through a window of ${size} × ${size}, so they need at least that.`);
  }
  const overCovariance = kind === 'wang2004' ? 1 : size ** 2 / (size ** 2 - 1);
  const c1 = (0.01 * range) ** 2, c2 = (0.03 * range) ** 2;

  const meanA = windowed(a, window, (i) => a.data[i]);
  const meanB = windowed(a, window, (i) => b.data[i]);
  const meanAA = windowed(a, window, (i) => a.data[i] * a.data[i]);
  const meanBB = windowed(a, window, (i) => b.data[i] * b.data[i]);
  const meanAB = windowed(a, window, (i) => a.data[i] * b.data[i]);

  let sum = 0;
  for (let i = 0; i < meanA.length; i++) {
    const ma = meanA[i], mb = meanB[i];
    const variances = overCovariance * (meanAA[i] - ma * ma + meanBB[i] - mb * mb);
    const covariance = overCovariance * (meanAB[i] - ma * mb);
    sum += ((2 * ma * mb + c1) * (2 * covariance + c2)) / ((ma * ma + mb * mb + c1) * (variances + c2));
  }
  return sum / meanA.length;
}

/** Means under the window, of the places where it fits: along the rows first, then down the columns. */
function windowed({ width, height }: Pixels, window: Float64Array, value: (index: number) => number): Float64Array {
  const size = window.length;
  const across = width - size + 1, down = height - size + 1;
  const alongRows = new Float64Array(across * height);
  for (let row = 0; row < height; row++) {
    for (let column = 0; column < across; column++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += window[k] * value(row * width + column + k);
      alongRows[row * across + column] = sum;
    }
  }
  const means = new Float64Array(across * down);
  for (let row = 0; row < down; row++) {
    for (let column = 0; column < across; column++) {
      let sum = 0;
      for (let k = 0; k < size; k++) sum += window[k] * alongRows[(row + k) * across + column];
      means[row * across + column] = sum;
    }
  }
  return means;
}

function gaussianWindow(radius: number, sigma: number): Float64Array {
  const window = Float64Array.from({ length: 2 * radius + 1 }, (_, k) => Math.exp(-((k - radius) ** 2) / (2 * sigma ** 2)));
  const sum = window.reduce((total, value) => total + value, 0);
  return window.map((value) => value / sum);
}
