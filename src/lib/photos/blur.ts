import type { Light } from './light.ts';

/**
 * Convolution with a Gaussian of standard deviation sigma (pixels, > 0), its two axes one after the other, cut off at 4 sigma. Beyond
 * the edge the picture is taken as mirrored there, so that light is neither lost nor made.
 * A wide one is worked out on means of b × b pixels, b = ⌊sigma/4⌋, with straight lines between them; the width that this adds is
 * taken off sigma before.
 */
export function blur(light: Light, sigma: number): Light {
  const b = Math.max(1, Math.floor(sigma / 4));
  if (b === 1) return blurred(light, sigma);
  const margin = Math.ceil((4 * sigma) / b);
  const small = shrunk(light, b, margin);
  // A mean of b pixels has a variance of b²/12, and straight lines between means b²/6 more.
  const narrower = Math.sqrt(sigma ** 2 - b ** 2 / 4) / b;
  return grown(blurred(small, narrower), b, margin, light.width, light.height);
}

function blurred({ width, height, data }: Light, sigma: number): Light {
  const reach = Math.ceil(4 * sigma);
  const kernel = Float64Array.from({ length: reach + 1 }, (_, i) => Math.exp(-(i * i) / (2 * sigma * sigma)));
  const sum = kernel.reduce((total, value, i) => total + (i === 0 ? value : 2 * value), 0);
  for (let i = 0; i <= reach; i++) kernel[i] /= sum;
  const pass = (from: Float32Array, count: number, length: number, step: number, lineStep: number) => {
    const to = new Float32Array(from.length);
    const line = new Float64Array(length + 2 * reach);
    for (let l = 0; l < count; l++) {
      for (let i = -reach; i < length + reach; i++) line[i + reach] = from[l * lineStep + mirrored(i, length) * step];
      for (let i = 0; i < length; i++) {
        let value = kernel[0] * line[i + reach];
        for (let k = 1; k <= reach; k++) value += kernel[k] * (line[i + reach - k] + line[i + reach + k]);
        to[l * lineStep + i * step] = value;
      }
    }
    return to;
  };
  return { width, height, data: pass(pass(data, height, width, 1, width), width, height, width, 1) };
}

/** d c b a | a b c d | d c b a */
function mirrored(index: number, length: number): number {
  const at = ((index % (2 * length)) + 2 * length) % (2 * length);
  return at < length ? at : 2 * length - 1 - at;
}

/** Means of b × b pixels of the picture and, mirrored, of so many cells around it. */
function shrunk({ width, height, data }: Light, b: number, margin: number): Light {
  const [columns, rows] = [Math.ceil(width / b) + 2 * margin, Math.ceil(height / b) + 2 * margin];
  const from = Int32Array.from({ length: columns * b }, (_, x) => mirrored(x - margin * b, width));
  const small = new Float32Array(columns * rows);
  for (let row = 0; row < rows; row++) {
    for (let y = row * b; y < (row + 1) * b; y++) {
      const line = mirrored(y - margin * b, height) * width;
      for (let column = 0, x = 0; column < columns; column++) for (let k = 0; k < b; k++) small[row * columns + column] += data[line + from[x++]] / (b * b);
    }
  }
  return { width: columns, height: rows, data: small };
}

/** Straight lines between the means. */
function grown(small: Light, b: number, margin: number, width: number, height: number): Light {
  const data = new Float32Array(width * height);
  for (let row = 0; row < height; row++) {
    const v = (row + 0.5) / b - 0.5 + margin, above = Math.floor(v), fy = v - above;
    for (let column = 0; column < width; column++) {
      const u = (column + 0.5) / b - 0.5 + margin, left = Math.floor(u), fx = u - left;
      const at = above * small.width + left, below = at + small.width;
      data[row * width + column] = (1 - fy) * ((1 - fx) * small.data[at] + fx * small.data[at + 1]) + fy * ((1 - fx) * small.data[below] + fx * small.data[below + 1]);
    }
  }
  return { width, height, data };
}
