import { finish, type Steps } from '../engine/steps.ts';
import { writeConeRay } from '../geometry/cone-ray.ts';
import type { ConeBeam, Projections } from '../types.ts';
import { attenuationOf } from './attenuation-of.ts';
import { pathTracer } from './chord.ts';
import type { Solid, Substance } from './solids.ts';

export interface ProjectSolidsOptions {
  /** Energy of the beam, keV; needed where a solid is of a material. */
  readonly keV?: number;
  /** Rays along each edge of a cell, evenly spread over it: the mean of samples² line integrals. 1, the cell's middle, when left out. */
  readonly samples?: number;
}

/**
 * Exact line integrals through solids (Σ attenuation · length, no unit) for a beam of one energy, without voxels between them and the
 * screen; where solids overlap the later counts. Rounded to float32.
 * The mean over a cell is of the line integrals; a real cell takes the mean of the light, which is a little more at sharp edges.
 * Throws RangeError: samples not a whole number from 1, an energy missing or outside the table.
 */
export function projectSolids(solids: readonly Solid[], geometry: ConeBeam, options: ProjectSolidsOptions = {}): Projections {
  return finish(projectSolidsSteps(solids, geometry, options));
}

export function* projectSolidsSteps(solids: readonly Solid[], geometry: ConeBeam, { keV, samples = 1 }: ProjectSolidsOptions = {}): Steps<Projections> {
  const attenuations = Float64Array.from(solids, (solid) => attenuationOf(solid, keV));
  const [projections] = yield* traceSteps(solids, geometry, samples, 1, (lengths, sums) => {
    for (let k = 0; k < lengths.length; k++) sums[0] += attenuations[k] * lengths[k];
  });
  return projections;
}

/** How far the rays run in one substance, mm. */
export interface SubstancePaths {
  readonly substance: Substance;
  readonly paths: Projections;
}

/**
 * The same for a beam of many energies: for each substance of the list its path lengths in mm, from which the light at any energy
 * follows. Solids of the same material and density, or of the same attenuation, make one substance, named after the first of them.
 */
export function projectPaths(solids: readonly Solid[], geometry: ConeBeam, samples = 1): SubstancePaths[] {
  return finish(projectPathsSteps(solids, geometry, samples));
}

export function* projectPathsSteps(solids: readonly Solid[], geometry: ConeBeam, samples = 1): Steps<SubstancePaths[]> {
  const { substances, of } = substancesOf(solids);
  const projections = yield* traceSteps(solids, geometry, samples, substances.length, (lengths, sums) => {
    for (let k = 0; k < lengths.length; k++) if (of[k] >= 0) sums[of[k]] += lengths[k];
  });
  return projections.map((paths, k) => ({ substance: substances[k], paths }));
}

/** The different substances of a list, in order, and which of them each solid is of; −1 for empty space. */
export function substancesOf(solids: readonly Solid[]): { substances: Substance[]; of: number[] } {
  const substances: Substance[] = [];
  const of = solids.map(({ name, material, density, attenuation }) => {
    if (material === undefined && attenuation === undefined) return -1;
    const same = substances.findIndex((known) => known.material === material && known.density === density && known.attenuation === attenuation);
    return same >= 0 ? same : substances.push({ name, material, density, attenuation }) - 1;
  });
  return { substances, of };
}

/** Sends samples² rays to every cell; `add` puts what one of them met into `count` sums, whose means become as many projections. */
function* traceSteps(solids: readonly Solid[], geometry: ConeBeam, samples: number, count: number, add: (lengths: Float64Array, sums: Float64Array) => void): Steps<Projections[]> {
  if (!Number.isInteger(samples) || samples < 1) throw new RangeError(`samples is ${samples} and should be a whole number from 1.`);
  const { angles, rows, detectors: columns } = geometry;
  const views = angles.length;
  const made = Array.from({ length: count }, (): Projections => ({ views, rows, columns, data: new Float32Array(views * rows * columns) }));
  const trace = pathTracer(solids);
  const ray = new Float64Array(6);
  const lengths = new Float64Array(solids.length);
  const sums = new Float64Array(count);
  const offset = (k: number) => (k + 0.5) / samples - 0.5;
  for (let view = 0; view < views; view++) {
    for (let row = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++) {
        sums.fill(0);
        for (let i = 0; i < samples; i++) {
          for (let j = 0; j < samples; j++) {
            trace(writeConeRay(geometry, view, column + offset(j), row + offset(i), ray), lengths);
            add(lengths, sums);
          }
        }
        for (let k = 0; k < count; k++) made[k].data[(view * rows + row) * columns + column] = sums[k] / (samples * samples);
      }
      yield (view * rows + row + 1) / (views * rows);
    }
  }
  return made;
}
