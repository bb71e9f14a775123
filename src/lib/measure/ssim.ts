import { BadInput } from '../files/bad-input.ts';
import { sameSize, type Pixels } from './pixels.ts';

/** Which setting; figures made with different ones cannot be compared. */
export interface SsimSettings {
  /**
   * wang2004: 11 × 11 Gaussian window of σ = 1.5 pixels, covariance over N; the paper's own.
   * uniform7: 7 × 7 even window, covariance over N − 1; the default of scikit-image.   uniform7-population: the same over N.
   * one-window: a single even window as large as the picture, over N.
   */
  readonly kind: 'wang2004' | 'uniform7' | 'uniform7-population' | 'one-window';
}

/**
 * Structural similarity: the mean, over all places where the window lies wholly inside the pictures, of
 *   (2·ma·mb + C1)(2·cab + C2) / ((ma² + mb² + C1)(va + vb + C2)),  C1 = (0.01·range)², C2 = (0.03·range)²
 * with m, v, c the window's mean, variance and covariance. So a border of 5 pixels (wang2004) or 3 (uniform7) is left out.
 * 1 where the pictures are the same.   range: as for psnr.
 * Throws: BadInput if the pictures differ in size or are smaller than the window.
 * Source: Z. Wang et al., IEEE Trans. Image Process. 13 (2004) 600.
 */
export function ssim(a: Pixels, b: Pixels, range: number, { kind }: SsimSettings = { kind: 'wang2004' }): number {
  sameSize(a, b);
  const window = windowOf(kind, a);
  const [across, down] = [window.across.length, window.down.length];
  if (a.width < across || a.height < down) {
    throw new BadInput(`The pictures have ${a.width} × ${a.height} pixels; this similarity looks through a window of ${across} × ${down}, so they need at least that.`);
  }
  const overCovariance = kind === 'uniform7' ? 49 / 48 : 1;
  const c1 = (0.01 * range) ** 2, c2 = (0.03 * range) ** 2;

  const columns = a.width - across + 1, rows = a.height - down + 1;
  const lines = Array.from({ length: down }, () => new Float64Array(5 * columns)); // averaged along the row; only as many as the window is high
  const means = new Float64Array(5 * columns);
  let sum = 0;
  for (let row = 0; row < a.height; row++) {
    alongRow(a, b, row, window.across, lines[row % down]);
    if (row < down - 1) continue;
    means.fill(0);
    for (let k = 0; k < down; k++) {
      const line = lines[(row + 1 + k) % down], weight = window.down[k];
      for (let i = 0; i < means.length; i++) means[i] += weight * line[i];
    }
    for (let column = 0; column < columns; column++) {
      const ma = means[column], mb = means[columns + column];
      const variances = overCovariance * (means[2 * columns + column] - ma * ma + means[3 * columns + column] - mb * mb);
      const covariance = overCovariance * (means[4 * columns + column] - ma * mb);
      sum += ((2 * ma * mb + c1) * (2 * covariance + c2)) / ((ma * ma + mb * mb + c1) * (variances + c2));
    }
  }
  return sum / (columns * rows);
}

/** Weighted means along one row, of a, b, a², b² and ab one after the other, for each place where the window fits. */
function alongRow(a: Pixels, b: Pixels, row: number, across: Float64Array, line: Float64Array): void {
  const columns = line.length / 5;
  line.fill(0);
  for (let k = 0; k < across.length; k++) {
    const weight = across[k];
    for (let column = 0, at = row * a.width + k; column < columns; column++, at++) {
      const va = a.data[at], vb = b.data[at];
      line[column] += weight * va;
      line[columns + column] += weight * vb;
      line[2 * columns + column] += weight * va * va;
      line[3 * columns + column] += weight * vb * vb;
      line[4 * columns + column] += weight * va * vb;
    }
  }
}

/** A window's weights along the rows and down the columns; the weight of a place is their product. */
interface Window {
  readonly across: Float64Array;
  readonly down: Float64Array;
}

function windowOf(kind: SsimSettings['kind'], { width, height }: Pixels): Window {
  const even = (size: number) => new Float64Array(size).fill(1 / size);
  if (kind === 'one-window') return { across: even(width), down: even(height) };
  const line = kind === 'wang2004' ? gaussianLine(5, 1.5) : even(7);
  return { across: line, down: line };
}

function gaussianLine(radius: number, sigma: number): Float64Array {
  const line = Float64Array.from({ length: 2 * radius + 1 }, (_, k) => Math.exp(-((k - radius) ** 2) / (2 * sigma ** 2)));
  const sum = line.reduce((total, value) => total + value, 0);
  return line.map((value) => value / sum);
}
