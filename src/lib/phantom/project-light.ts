import { finish, type Steps } from '../engine/steps.ts';
import { writeConeRay } from '../geometry/cone-ray.ts';
import type { ConeBeam, Projections } from '../types.ts';
import { attenuationOf } from './attenuation-of.ts';
import { pathTracer } from './chord.ts';
import { erf } from './erf.ts';
import type { Solid } from './solids.ts';

/** How much of the light on an uncovered screen comes from photons of this energy; in proportion, the shares need not add up to 1. */
export interface EnergyShare {
  readonly keV: number;
  readonly share: number;
}

export interface ProjectLightOptions {
  /** Rays along each edge of a cell, which are the points of the focal spot along each of its two directions too; 1 when left out. */
  readonly samples?: number;
  /** Standard deviation of the focal spot, mm, a round Gaussian square to the middle ray; 0, a point, when left out. */
  readonly spot?: number;
}

/**
 * The light that a screen gives behind solids, as a share of what it gives uncovered (1 beside them): the mean over the cell, the focal spot
 * and the energies.
 *   T = mean over rays of Σ share·exp(−Σ μ(E)·length) / Σ share
 * The samples² rays of a cell start from as many points of the spot, each half-way through an equal part of it; each starts from another and
 * ends at another part of the cell, so that the two do not go together. No scatter. Rounded to float32.
 * Throws RangeError: samples not a whole number from 1, a spot below 0, no energies, an energy outside the table.
 */
export function projectLight(solids: readonly Solid[], geometry: ConeBeam, energies: readonly EnergyShare[], options: ProjectLightOptions = {}): Projections {
  return finish(projectLightSteps(solids, geometry, energies, options));
}

export function* projectLightSteps(solids: readonly Solid[], geometry: ConeBeam, energies: readonly EnergyShare[], { samples = 1, spot = 0 }: ProjectLightOptions = {}): Steps<Projections> {
  if (!Number.isInteger(samples) || samples < 1) throw new RangeError(`samples is ${samples} and should be a whole number from 1.`);
  if (!(spot >= 0)) throw new RangeError(`The focal spot is ${spot} mm wide and should be 0 or more.`);
  const whole = energies.reduce((total, { share }) => total + share, 0);
  if (!(whole > 0)) throw new RangeError('The beam has no energies, or their shares add up to 0: at least one should have a share above 0.');
  const shares = energies.map(({ share }) => share / whole);
  const attenuations = energies.map(({ keV }) => Float64Array.from(solids, (solid) => attenuationOf(solid, keV)));
  const trace = pathTracer(solids);
  const lengths = new Float64Array(solids.length);
  const ray = new Float64Array(6);
  const inCell = Array.from({ length: samples }, (_, k) => (k + 0.5) / samples - 0.5);
  const inSpot = inCell.map((share) => spot * normalQuantile(share + 0.5));

  const throughput = (): number => {
    trace(ray, lengths);
    if (lengths.every((length) => length === 0)) return 1;
    let light = 0;
    for (let e = 0; e < shares.length; e++) {
      let sum = 0;
      for (let k = 0; k < lengths.length; k++) sum += attenuations[e][k] * lengths[k];
      light += shares[e] * Math.exp(-sum);
    }
    return light;
  };

  const { angles, rows, detectors: columns } = geometry;
  const data = new Float32Array(angles.length * rows * columns);
  for (let view = 0; view < angles.length; view++) {
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        let sum = 0;
        for (let i = 0; i < samples; i++) {
          for (let j = 0; j < samples; j++) {
            writeConeRay(geometry, view, column + inCell[j], row + inCell[i], ray);
            if (spot > 0) moveSource(ray, geometry, view, inSpot[(i + j) % samples], inSpot[(i + 2 * j) % samples]);
            sum += throughput();
          }
        }
        data[(view * rows + row) * columns + column] = sum / (samples * samples);
      }
      yield (view * rows + row + 1) / (angles.length * rows);
    }
  }
  return { views: angles.length, rows, columns, data };
}

/** The ray to the same point of the screen from a source that lies `aside` along the columns' direction and `up` along z. */
function moveSource(ray: Float64Array, { angles, sourceToDetector }: ConeBeam, view: number, aside: number, up: number): void {
  const cos = Math.cos(angles[view]);
  const sin = Math.sin(angles[view]);
  const far = sourceToDetector / (ray[3] * sin - ray[4] * cos); // from the source to the point
  const x = far * ray[3] - aside * cos;
  const y = far * ray[4] - aside * sin;
  const z = far * ray[5] - up;
  const norm = Math.sqrt(x * x + y * y + z * z);
  ray[0] += aside * cos;
  ray[1] += aside * sin;
  ray[2] += up;
  ray[3] = x / norm;
  ray[4] = y / norm;
  ray[5] = z / norm;
}

/** The number below which a standard Gaussian falls with this probability, by halving an interval of its distribution. */
function normalQuantile(probability: number): number {
  let [low, high] = [-8, 8];
  for (let k = 0; k < 60; k++) {
    const middle = (low + high) / 2;
    if (0.5 * (1 + erf(middle / Math.SQRT2)) < probability) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
