import { part, type Steps } from '../engine/steps.ts';
import { BadInput } from '../files/bad-input.ts';
import { matchProjections } from '../project/cone-input.ts';
import type { ConeBeam, FlatBeam, Geometry, Grid, Image, Projections, Sinogram, Volume, VolumeGrid } from '../types.ts';
import { checkVolumeGrid } from '../volume/fit-grid.ts';
import { checkLength, checkStart, checkStop, checkWeights, checkWorkMemory } from './iterate-input.ts';
import { checkGrid, matchSinogram } from './match-sinogram.ts';
import { usualOperator, type Numbers, type Operator } from './operator.ts';

/** What belongs to a geometry: a slice to parallel and fan beams, a volume to a cone. */
export type GridOf<G extends Geometry> = G extends ConeBeam ? VolumeGrid : Grid;
export type ShadowsOf<G extends Geometry> = G extends ConeBeam ? Projections : Sinogram;
export type PictureOf<G extends Geometry> = G extends ConeBeam ? Volume : Image;

/** What all iterative methods are told. Pictures are in 1/mm. */
export interface IterateOptions<G extends Geometry> {
  readonly grid: GridOf<G>;
  /** The most iterations to make. */
  readonly iterations: number;
  /** The known support: not 0 where the object may be, one number a pixel. Outside it the result is exactly 0. Everywhere when left out. */
  readonly mask?: ArrayLike<number>;
  /** How much each ray counts, from 0; in proportion to 1/variance where noise is unequal. In the order of the data; 1 when left out. */
  readonly weights?: ArrayLike<number>;
  /** Where to begin, with the grid's size; 0 when left out. It is cut to the mask, and to what is not negative where that is asked for. */
  readonly start?: PictureOf<G>;
  readonly stop?: StopRule;
  /** Called with the picture after each iteration, counted from 1: a copy, to be kept or thrown away. */
  readonly every?: (picture: PictureOf<G>, iteration: number) => void;
  /** The most that the work may take beside the data handed in, bytes; 1 GB when left out. */
  readonly memory?: number;
  /** Who projects, and projects back: an engine. The plain code, or for slices the kernels after useKernels(), when left out. With one that has threads of its own the steps want `run`. */
  readonly engine?: { operator<B extends Geometry>(geometry: B, grid: GridOf<B>, mask?: ArrayLike<number>): Operator };
}

/** When to stop before the last iteration, by whichever rule is met first. */
export interface StopRule {
  /** As soon as history.rms is at most factor · noise: to go on would fit the noise (Morozov). noise: its rms in the line integrals; factor: 1 when left out. */
  readonly discrepancy?: { readonly noise: number; readonly factor?: number };
  /** As soon as an iteration changes the picture by less than this fraction of its own norm. */
  readonly stagnation?: number;
}

/** How well the picture explains the data, at the start ([0]) and after each iteration. */
export interface IterationHistory {
  /** √Σ w·(b − Ax)² over all rays. */
  readonly residual: number[];
  /** The same as a root mean square, √(Σ w·(b − Ax)² / Σ w), in the unit of the line integrals. */
  readonly rms: number[];
}

export interface Iterated<G extends Geometry, H extends IterationHistory = IterationHistory> {
  readonly picture: PictureOf<G>;
  /** Iterations made. */
  readonly iterations: number;
  readonly stopped: Stopped;
  readonly history: H;
}

/** solved: nothing is left to do, to the last digit. diverged: the picture explained the data ten times worse than none at all; the last good one is given. */
export type Stopped = 'iterations' | 'discrepancy' | 'stagnation' | 'solved' | 'diverged';

/** The scan as the methods work on it. x is the picture, begun at `start`; data, weights and x are never those handed in. */
export interface Problem<G extends Geometry> {
  readonly operator: Operator;
  readonly data: Numbers;
  /** One a ray, where not all are 1. */
  readonly weights?: Numbers;
  readonly x: Numbers;
  /** Σ w (residual)², each residual given in turn. */
  readonly squared: (residual: Numbers) => number;
  /** Notes what the picture has come to; says why to stop, if so. change: ‖Δx‖/‖x‖ of this iteration. */
  readonly follow: (iteration: number, squaredResidual: number, change: number) => Stopped | undefined;
  readonly done: (iterations: number, stopped: Stopped) => Iterated<G>;
}

/** Working arrays of a method, counted in pictures and in sets of rays, beside data, weights, x and the projector's own picture. */
export interface Needs {
  readonly pictures: number;
  readonly rays: number;
}

/** Checks everything that was handed in, the memory too, and lays it out. Throws BadInput, one sentence. */
export function problemOf<G extends Geometry>(
  measured: ShadowsOf<G>, geometry: G, options: IterateOptions<G> & { readonly nonNegative?: boolean }, needs: Needs,
): Problem<G> {
  const { grid, iterations, mask, weights, start, stop, every, nonNegative = false } = options;
  if (geometry.beam === 'cone') {
    matchProjections(measured as Projections, geometry);
    checkVolumeGrid(grid as VolumeGrid, Infinity);
  } else {
    matchSinogram(measured as Sinogram, geometry as FlatBeam);
    checkGrid(grid as Grid);
  }
  if (!(Number.isInteger(iterations) && iterations >= 1)) throw new BadInput(`The number of iterations is ${iterations}; it has to be a whole number from 1.`);
  checkStop(stop);
  const pixels = grid.width * grid.height * ('depth' in grid ? grid.depth : 1);
  checkWorkMemory(pixels, measured.data.length, geometry.beam === 'cone' ? 4 : 8, { pictures: needs.pictures + 3, rays: needs.rays + (weights ? 2 : 1) }, options.memory);
  checkLength(mask, pixels, 'mask', 'pixels');
  checkLength(weights, measured.data.length, 'list of weights', 'rays');
  if (mask && !Array.prototype.some.call(mask, Boolean)) throw new BadInput('The mask is 0 everywhere; it has to be something else where the object may be.');

  const operator = options.engine ? options.engine.operator(geometry, grid, mask) : usualOperator(geometry, grid, mask);
  const data = operator.numbers(measured.data.length), x = operator.numbers(pixels);
  data.set(measured.data);
  const w = weights && operator.numbers(weights.length);
  w?.set(weights!);
  const total = w ? checkWeights(w) : data.length;
  if (start) {
    checkStart(start, grid);
    x.set(start.data);
    for (let k = 0; k < x.length; k++) if ((mask && !mask[k]) || (nonNegative && x[k] < 0)) x[k] = 0;
  }

  const squared = (residual: Numbers) => {
    let sum = 0;
    for (let i = 0; i < residual.length; i++) sum += (w ? w[i] : 1) * residual[i] * residual[i];
    return sum;
  };
  const history: IterationHistory = { residual: [], rms: [] };
  const picture = (of = x) => ({ ...grid, data: new Float32Array(of) }) as unknown as PictureOf<G>;
  const good = x.slice(), ofNothing = Math.sqrt(squared(data) / total);
  return {
    operator, data, weights: w, x, squared,
    follow(iteration, squaredResidual, change) {
      const rms = Math.sqrt(squaredResidual / total);
      if (!(rms <= 10 * Math.max(ofNothing, history.rms[0] ?? rms))) return 'diverged';
      good.set(x);
      history.residual.push(Math.sqrt(squaredResidual));
      history.rms.push(rms);
      if (iteration > 0) every?.(picture(), iteration);
      if (stop?.discrepancy && rms <= (stop.discrepancy.factor ?? 1) * stop.discrepancy.noise) return 'discrepancy';
      if (stop?.stagnation !== undefined && iteration > 0 && change < stop.stagnation) return 'stagnation';
      return iteration >= iterations ? 'iterations' : undefined;
    },
    done(iterations, stopped) {
      operator.dispose?.();
      return stopped === 'diverged' ? { picture: picture(good), iterations: history.rms.length - 1, stopped, history } : { picture: picture(), iterations, stopped, history };
    },
  };
}

/** Steps as part of the whole's progress, from iteration + from to iteration + to: 0 … 1 is what comes before the first, 1 … 2 that itself. */
export function* partOfIteration<T>(steps: Steps<T>, iteration: number, from: number, to: number, iterations: number): Steps<T> {
  const all = iterations + 1.5; // before the first, and a last projection to see what has come of it
  return yield* part(steps, (iteration + from) / all, (iteration + to) / all);
}
