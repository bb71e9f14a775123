import { finish, type Steps } from '../engine/steps.ts';
import type { FlatBeam, Grid, Image, Sinogram } from '../types.ts';
import { bordered, borderedWidth, emptyWalk, walkRay } from './ray-walk.ts';

/**
 * The transpose of forwardProject: every ray spreads its value back over the pixels that it took it from, with the same weights, so
 * that ⟨forwardProject(x), y⟩ = ⟨x, transposeProject(y)⟩. It is what iterative reconstruction needs; it is not an inverse, and not the
 * backprojection of fbp: there are no view weights and no filter. Summed in double precision, rounded to float32; unit: mm × the sinogram's.
 * Throws RangeError when the sinogram does not fit the geometry.
 */
export function transposeProject(sinogram: Sinogram, geometry: FlatBeam, grid: Grid): Image {
  return finish(transposeProjectSteps(sinogram, geometry, grid));
}

export function* transposeProjectSteps(sinogram: Sinogram, geometry: FlatBeam, grid: Grid): Steps<Image> {
  const { detectors, angles } = geometry;
  if (sinogram.views !== angles.length || sinogram.detectors !== detectors || sinogram.data.length !== angles.length * detectors) {
    throw new RangeError(
      `The sinogram has ${sinogram.views} views of ${sinogram.detectors} cells and ${sinogram.data.length} values; the geometry asks for ${angles.length} × ${detectors}.`,
    );
  }
  const pixels = new Float64Array(bordered(grid));
  const walk = emptyWalk();
  for (let view = 0; view < angles.length; view++) {
    for (let j = 0; j < detectors; j++) {
      walkRay(walk, geometry, view, j, grid);
      const { first, end, base, along, across, at, slope, step } = walk;
      const value = sinogram.data[view * detectors + j]! * step;
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
    yield (view + 1) / angles.length;
  }
  const { width, height, pixelSize, centre } = grid;
  const data = new Float32Array(width * height);
  for (let row = 0; row < height; row++) {
    const begin = (row + 1) * borderedWidth(grid) + 1;
    data.set(pixels.subarray(begin, begin + width), row * width);
  }
  return { width, height, pixelSize, ...(centre && { centre }), data };
}
