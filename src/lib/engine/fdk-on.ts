import { fdkSteps, type FdkOptions } from '../reconstruct/fdk.ts';
import type { ConeBeam, Projections, Volume } from '../types.ts';
import type { Engine } from './engine.ts';
import { waitFor, type Steps } from './steps.ts';

/** fdk as steps of longer work: on an engine where there is one (the steps then wait for it), else by the plain code. */
export function fdkOn(engine: Pick<Engine, 'reconstruct'> | undefined, projections: Projections, geometry: ConeBeam, options: FdkOptions): Steps<Volume> {
  return engine ? waitFor((work) => engine.reconstruct(projections, geometry, options, work)) : fdkSteps(projections, geometry, options);
}
