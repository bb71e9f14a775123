import { projectionMoment } from '../../lib/index.ts';
import type { ParallelBeam, Sinogram } from '../../lib/index.ts';

/** Where the middle of the shadows goes from view to view: offset + a·cos θ + b·sin θ, mm, and what each view is off from that. */
export interface Track {
  /** Where the axis falls, by the beam's own count: 0 where it stands as the beam says. */
  readonly offset: number;
  readonly a: number;
  readonly b: number;
  readonly residual: Float64Array;
}

/**
 * The track of the centre of mass, by least squares. In a parallel beam, and of an object that no view cuts off, it is a sinusoid
 * about the axis (chapter 3), over any part of the turn; a stage that wobbles is seen in what does not fit.
 */
export function trackOf(sinogram: Sinogram, beam: ParallelBeam): Track {
  const centres = Float64Array.from(beam.angles, (_, view) => projectionMoment(sinogram, beam, view, 1) / projectionMoment(sinogram, beam, view, 0));
  const rows = beam.angles.map((angle) => [1, Math.cos(angle), Math.sin(angle)]);
  const normal = [0, 1, 2].map((i) => [0, 1, 2].map((j) => rows.reduce((sum, row) => sum + row[i] * row[j], 0)));
  const right = [0, 1, 2].map((i) => rows.reduce((sum, row, view) => sum + row[i] * centres[view], 0));
  const whole = determinant(normal);
  const [offset, a, b] = [0, 1, 2].map((column) => determinant(normal.map((row, i) => row.map((value, j) => (j === column ? right[i] : value)))) / whole);
  return { offset, a, b, residual: centres.map((centre, view) => centre - offset - a * rows[view][1] - b * rows[view][2]) };
}

/** Each view moved along the screen so that its middle lies on the track, the axis where the beam says; straight lines between cells. */
export function steadied(sinogram: Sinogram, beam: ParallelBeam): Sinogram {
  const { offset, residual } = trackOf(sinogram, beam);
  const { detectors, data } = sinogram;
  const moved = new Float32Array(data.length);
  for (let view = 0; view < sinogram.views; view++) {
    const by = (offset + residual[view]) / beam.pitch;
    const at = (j: number) => data[view * detectors + Math.min(detectors - 1, Math.max(0, j))];
    for (let j = 0; j < detectors; j++) {
      const cell = Math.floor(j + by);
      const share = j + by - cell;
      moved[view * detectors + j] = (1 - share) * at(cell) + share * at(cell + 1);
    }
  }
  return { ...sinogram, data: moved };
}

const determinant = ([a, b, c]: readonly (readonly number[])[]) =>
  a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0]);
