import { detectorIndex, detectorPosition } from '../geometry/detector-position.ts';
import type { FlatBeam, Sinogram } from '../types.ts';
import { fanShadow, parallelShadow } from './shadow.ts';
import type { Phantom } from './shapes.ts';

export interface ProjectPhantomOptions {
  /** point: along the ray to the middle of each cell. average: the mean of the line integrals over the width of the cell. */
  readonly cell?: 'point' | 'average';
}

/**
 * The phantom's exact sinogram, without pixels between it and the detector. Line integrals have no unit; rounded to float32.
 * 'average' is in closed form for a parallel beam, and by a quadrature good to 10⁻¹² of the highest value for a fan (see shadow.ts).
 * The mean is of the line integrals. A real cell takes the mean of the light, whose logarithm gives a little less at sharp edges.
 * Throws RangeError when a shape of the phantom reaches the source of a fan.
 */
export function projectPhantom(phantom: Phantom, geometry: FlatBeam, { cell = 'point' }: ProjectPhantomOptions = {}): Sinogram {
  const { detectors, pitch, angles } = geometry;
  const data = new Float32Array(angles.length * detectors);
  const row = new Float64Array(detectors);
  angles.forEach((angle, view) => {
    row.fill(0);
    for (const shape of phantom) {
      const shadow =
        geometry.beam === 'parallel'
          ? parallelShadow(shape, angle)
          : fanShadow(shape, angle, geometry.sourceToAxis, geometry.sourceToDetector);
      const first = Math.max(0, Math.ceil(detectorIndex(geometry, shadow.from) - 0.5));
      const last = Math.min(detectors - 1, Math.floor(detectorIndex(geometry, shadow.to) + 0.5));
      for (let j = first; j <= last; j++) {
        const s = detectorPosition(geometry, j);
        row[j]! += cell === 'point' ? shadow.at(s) : shadow.mean(s - pitch / 2, s + pitch / 2);
      }
    }
    data.set(row, view * detectors);
  });
  return { views: angles.length, detectors, data };
}
