import type { Grid, Image } from '../types.ts';
import type { Ellipse, Gaussian, Phantom } from './shapes.ts';

/**
 * The phantom on a grid of pixels: each pixel is the mean of samples × samples points, evenly spread over it.
 * An edge pixel of a shape of value 1 is right to about 1/samples; everywhere else an ellipse is exact.
 * samples = 1 takes the value at the pixel's middle. Throws RangeError unless samples is a whole number from 1.
 */
export function rasterize(phantom: Phantom, grid: Grid, samples = 8): Image {
  if (!Number.isInteger(samples) || samples < 1) throw new RangeError(`samples is ${samples} and should be a whole number from 1.`);
  const sum = new Float64Array(grid.width * grid.height);
  for (const shape of phantom) {
    if (shape.kind === 'ellipse') addEllipse(sum, grid, samples, shape);
    else addGaussian(sum, grid, samples, shape);
  }
  const { width, height, pixelSize, centre } = grid;
  return { width, height, pixelSize, ...(centre && { centre }), data: Float32Array.from(sum) };
}

function addEllipse(sum: Float64Array, grid: Grid, samples: number, { x, y, a, b, angle, value }: Ellipse): void {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  const window = pixelsWithin(grid, x, y, Math.hypot(a * cos, b * sin), Math.hypot(a * sin, b * cos));
  const half = (grid.pixelSize * Math.SQRT1_2) / Math.min(a, b); // from a pixel's middle to its corner, at most, in the ellipse's own measure
  const offsets = sampleOffsets(grid.pixelSize, samples);
  for (let row = window.top; row <= window.bottom; row++) {
    for (let column = window.left; column <= window.right; column++) {
      const dx = window.x(column) - x;
      const dy = window.y(row) - y;
      const distance = Math.hypot((dx * cos + dy * sin) / a, (dy * cos - dx * sin) / b);
      if (distance >= 1 + half) continue;
      let share = 1;
      if (distance > 1 - half) {
        let inside = 0;
        for (let i = 0; i < samples; i++) {
          for (let j = 0; j < samples; j++) {
            const u = ((dx + offsets[j]!) * cos + (dy - offsets[i]!) * sin) / a;
            const v = ((dy - offsets[i]!) * cos - (dx + offsets[j]!) * sin) / b;
            if (u * u + v * v <= 1) inside++;
          }
        }
        share = inside / (samples * samples);
      }
      sum[row * grid.width + column]! += value * share;
    }
  }
}

/** exp(−x²)·exp(−y²): the mean over the pixel is a product of two means. */
function addGaussian(sum: Float64Array, grid: Grid, samples: number, { x, y, sigma, value }: Gaussian): void {
  const reach = 9 * sigma; // exp(−40) beyond
  const window = pixelsWithin(grid, x, y, reach, reach);
  const offsets = sampleOffsets(grid.pixelSize, samples);
  const mean = (distance: number) => offsets.reduce((total, offset) => total + Math.exp(-((distance + offset) ** 2) / (2 * sigma * sigma)), 0) / samples;
  const across = Float64Array.from({ length: Math.max(0, window.right - window.left + 1) }, (_, k) => mean(window.x(window.left + k) - x));
  for (let row = window.top; row <= window.bottom; row++) {
    const down = value * mean(window.y(row) - y);
    for (let k = 0; k < across.length; k++) sum[row * grid.width + window.left + k]! += down * across[k]!;
  }
}

function sampleOffsets(pixelSize: number, samples: number): number[] {
  return Array.from({ length: samples }, (_, i) => ((2 * i + 1 - samples) / (2 * samples)) * pixelSize);
}

/** The rows and columns that a box about (x, y) touches, and where their pixels' middles lie. */
function pixelsWithin(grid: Grid, x: number, y: number, halfWidth: number, halfHeight: number) {
  const { width, height, pixelSize, centre = [0, 0] } = grid;
  const left = centre[0] - ((width - 1) / 2) * pixelSize;
  const top = centre[1] + ((height - 1) / 2) * pixelSize;
  return {
    left: Math.max(0, Math.floor((x - halfWidth - left) / pixelSize)),
    right: Math.min(width - 1, Math.ceil((x + halfWidth - left) / pixelSize)),
    top: Math.max(0, Math.floor((top - y - halfHeight) / pixelSize)),
    bottom: Math.min(height - 1, Math.ceil((top - y + halfHeight) / pixelSize)),
    x: (column: number) => left + column * pixelSize,
    y: (row: number) => top - row * pixelSize,
  };
}
