import { BadInput } from '../files/bad-input.ts';
import { grouped, inWords } from '../files/memory-limit.ts';
import type { Grid, Image, Volume, VolumeGrid } from '../types.ts';
import type { Needs, StopRule } from './iterate.ts';
import type { Numbers } from './operator.ts';

/** What the iterative methods refuse: each throws BadInput, one sentence. */
export function checkStop({ discrepancy, stagnation }: StopRule = {}): void {
  if (discrepancy && !(discrepancy.noise > 0 && Number.isFinite(discrepancy.noise))) {
    throw new BadInput(`The noise level of the discrepancy rule is ${discrepancy.noise}; it has to be the rms of the noise in the line integrals, above 0.`);
  }
  if (discrepancy?.factor !== undefined && !(discrepancy.factor > 0 && Number.isFinite(discrepancy.factor))) {
    throw new BadInput(`The factor of the discrepancy rule is ${discrepancy.factor}; it has to be above 0, and is 1 as a rule.`);
  }
  if (stagnation !== undefined && !(stagnation > 0 && stagnation < 1)) {
    throw new BadInput(`The change at which to stop is ${stagnation}; it has to be a fraction between 0 and 1, 0.0001 say.`);
  }
}

export function checkWorkMemory(pixels: number, rays: number, bytesEach: number, needs: Needs, allowed = 1e9): void {
  const bytes = bytesEach * (pixels * needs.pictures + rays * needs.rays);
  if (bytes <= allowed) return;
  throw new BadInput(
    `With ${grouped(pixels)} pixels and ${grouped(rays)} rays this method would take ${inWords(bytes)} of memory and at most ${inWords(allowed)} are allowed for: `
    + 'choose a coarser grid, bin the detector, or take fewer views.',
  );
}

export function checkLength(list: ArrayLike<number> | undefined, length: number, name: string, of: string): void {
  if (!list || list.length === length) return;
  throw new BadInput(`The ${name} has ${grouped(list.length)} numbers and there are ${grouped(length)} ${of}; it needs one for each.`);
}

/** Throws BadInput unless all are finite numbers from 0 and some are above; gives their sum. */
export function checkWeights(weights: Numbers): number {
  let sum = 0;
  for (let i = 0; i < weights.length; i++) {
    if (!(weights[i] >= 0 && Number.isFinite(weights[i]))) throw new BadInput(`The weight of ray ${i} (counted from 0) is ${weights[i]}; it has to be a finite number from 0.`);
    sum += weights[i];
  }
  if (!(sum > 0)) throw new BadInput('The weights of all rays are 0; those that count need a weight above 0.');
  return sum;
}

export function checkStart(start: Image | Volume, grid: Grid | VolumeGrid): void {
  const sizes = (of: Grid | VolumeGrid) => [of.width, of.height, ...('depth' in of ? [of.depth] : [])].join(' × ');
  if (sizes(start) !== sizes(grid)) throw new BadInput(`The picture to start from has ${sizes(start)} pixels and the grid ${sizes(grid)}; they need the same numbers.`);
  checkLength(start.data, grid.width * grid.height * ('depth' in grid ? grid.depth : 1), 'picture to start from', 'pixels');
  const bad = start.data.findIndex((value) => !Number.isFinite(value));
  if (bad >= 0) throw new BadInput(`The picture to start from holds ${start.data[bad]} at pixel ${bad} (counted from 0); every value has to be a finite number.`);
}
