import { spectrum, type Image } from '../../lib/index.ts';

/** The transform of a picture on its own mesh of frequencies: real[row · size + column], u rising to the right, v rising upwards (row 0 on top). */
export interface Plane {
  readonly size: number;
  /** Cycles/mm from one point of the mesh to the next. */
  readonly step: number;
  readonly real: Float64Array;
  readonly imaginary: Float64Array;
}

/** The two-dimensional transform of a square picture whose side is a power of two, by transforms of its rows and then of the columns. In mm. */
export function planeOf(image: Image): Plane {
  const size = image.width;
  const rows = { real: new Float64Array(size * size), imaginary: new Float64Array(size * size) };
  for (let row = 0; row < size; row++) {
    const { real, imaginary } = spectrum(image.data.subarray(row * size, (row + 1) * size), image.pixelSize, size);
    rows.real.set(real, row * size);
    rows.imaginary.set(imaginary, row * size);
  }
  const plane: Plane = { size, step: 1 / (size * image.pixelSize), real: new Float64Array(size * size), imaginary: new Float64Array(size * size) };
  for (let column = 0; column < size; column++) {
    // A column read upwards; the transform of a complex column is that of its real part plus i times that of its imaginary part.
    const upwards = (part: Float64Array) => spectrum(Float64Array.from({ length: size }, (_, k) => part[(size - 1 - k) * size + column]), image.pixelSize, size);
    const [a, b] = [upwards(rows.real), upwards(rows.imaginary)];
    for (let k = 0; k < size; k++) {
      const at = (size - 1 - k) * size + column;
      plane.real[at] = a.real[k] - b.imaginary[k];
      plane.imaginary[at] = a.imaginary[k] + b.real[k];
    }
  }
  return plane;
}

/**
 * The picture's transform along one line through the middle of the plane, summed pixel by pixel: F(f cos θ, f sin θ) for each f.
 *   F = a² / (sinc(a f cos θ) · sinc(a f sin θ)) · Σ μ e^(−2πi f (x cos θ + y sin θ)),   a the pixel's edge
 * A pixel is the mean over its square, which weakens fine waves by the two sinc; that is known and divided out again. In mm.
 */
export function alongLine(image: Image, theta: number, frequency: ArrayLike<number>): { real: Float64Array; imaginary: Float64Array } {
  const { width, height, pixelSize, data } = image;
  const real = new Float64Array(frequency.length);
  const imaginary = new Float64Array(frequency.length);
  const columns = { cos: new Float64Array(width), sin: new Float64Array(width) };
  for (let k = 0; k < frequency.length; k++) {
    const u = frequency[k] * Math.cos(theta);
    const v = frequency[k] * Math.sin(theta);
    for (let column = 0; column < width; column++) {
      const turn = 2 * Math.PI * u * (column - (width - 1) / 2) * pixelSize;
      columns.cos[column] = Math.cos(turn);
      columns.sin[column] = Math.sin(turn);
    }
    for (let row = 0; row < height; row++) {
      let c = 0;
      let s = 0;
      for (let column = 0, at = row * width; column < width; column++, at++) {
        c += data[at] * columns.cos[column];
        s += data[at] * columns.sin[column];
      }
      const turn = 2 * Math.PI * v * ((height - 1) / 2 - row) * pixelSize;
      const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
      real[k] += c * cos - s * sin;
      imaginary[k] -= s * cos + c * sin;
    }
    const pixel = pixelSize ** 2 / (sinc(pixelSize * u) * sinc(pixelSize * v));
    real[k] *= pixel;
    imaginary[k] *= pixel;
  }
  return { real, imaginary };
}

const sinc = (x: number) => (x === 0 ? 1 : Math.sin(Math.PI * x) / (Math.PI * x));
