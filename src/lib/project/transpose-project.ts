import { kernelsInUse } from '../engine/in-use.ts';
import { finish, type Steps } from '../engine/steps.ts';
import type { FlatBeam, Grid, Image, Sinogram } from '../types.ts';
import { bordered, emptyWalk, takeBordered, walkRay } from './ray-walk.ts';

/**
 * The transpose of forwardProject: every ray spreads its value back over the pixels that it took it from, with the same weights, so
 * that ⟨forwardProject(x), y⟩ = ⟨x, transposeProject(y)⟩. It is what iterative reconstruction needs; it is not an inverse, and not the
 * backprojection of fbp: there are no view weights and no filter. Summed in double precision, rounded to float32; unit: mm × the sinogram's.
 * After useKernels() it runs on them, to 1e-5 the same.   Throws RangeError when the sinogram does not fit the geometry.
 */
export function transposeProject(sinogram: Sinogram, geometry: FlatBeam, grid: Grid): Image {
  const fits = sinogram.views === geometry.angles.length && sinogram.detectors === geometry.detectors && sinogram.data.length === sinogram.views * sinogram.detectors;
  return (fits && kernelsInUse()?.transposeProject(sinogram, geometry, grid)) || finish(transposeProjectSteps(sinogram, geometry, grid));
}

export function* transposeProjectSteps(sinogram: Sinogram, geometry: FlatBeam, grid: Grid): Steps<Image> {
  const { detectors, angles } = geometry;
  if (sinogram.views !== angles.length || sinogram.detectors !== detectors || sinogram.data.length !== angles.length * detectors) {
    throw new RangeError(
      `The sinogram has ${sinogram.views} views of ${sinogram.detectors} cells and ${sinogram.data.length} values; the geometry asks for ${angles.length} × ${detectors}.`,
    );
  }
  const pixels = new Float64Array(bordered(grid));
  for (let view = 0; view < angles.length; view++) {
    spreadView(pixels, geometry, view, grid, sinogram.data.subarray(view * detectors, (view + 1) * detectors));
    yield (view + 1) / angles.length;
  }
  const { width, height, pixelSize, centre } = grid;
  const data = new Float32Array(width * height);
  takeBordered(pixels, data, grid);
  return { width, height, pixelSize, ...(centre && { centre }), data };
}

/** Adds what one view spreads back to the pixels of a bordered image (see ray-walk.ts). */
export function spreadView(pixels: Float64Array, geometry: FlatBeam, view: number, grid: Grid, cells: Float32Array | Float64Array): void {
  const walk = emptyWalk();
  for (let j = 0; j < geometry.detectors; j++) {
    if (cells[j] === 0) continue;
    walkRay(walk, geometry, view, j, grid);
    const { first, end, base, along, across, at, slope, step } = walk;
    const value = cells[j]! * step;
    for (let k = first; k < end; k++) {
      const place = at + k * slope;
      const i = Math.floor(place) | 0;
      const fraction = place - i;
      const pixel = base + k * along + i * across;
      // Both are read before either is written: with the | 0 above that runs three times as fast.
      const near = pixels[pixel]!;
      const far = pixels[pixel + across]!;
      pixels[pixel] = near + (1 - fraction) * value;
      pixels[pixel + across] = far + fraction * value;
    }
  }
}
