import { detectorPosition } from '../geometry/detector-position.ts';
import type { ParallelBeam, Sinogram } from '../types.ts';

/**
 * A view's moment ∫ sⁿ p(s) ds, mmⁿ⁺¹, as the sum over its cells. Of a whole object's parallel views, moment 0 is the object's mass at
 * every angle, moment 1 a sinusoid, moment n a trigonometric polynomial of degree n in θ: a scan that breaks this is inconsistent.
 * Error, for averaged cells: n = 0 none but rounding; n = 1 falls faster than pitch²; n = 2 is pitch²/12 of moment 0 too much.
 * Source: the Helgason–Ludwig conditions; Natterer, The Mathematics of Computerized Tomography (1986), citation from memory.
 */
export function projectionMoment(sinogram: Sinogram, geometry: ParallelBeam, view: number, order: number): number {
  let sum = 0;
  for (let j = 0; j < sinogram.detectors; j++) {
    sum += detectorPosition(geometry, j) ** order * sinogram.data[view * sinogram.detectors + j]!;
  }
  return sum * geometry.pitch;
}
