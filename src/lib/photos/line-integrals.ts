import { finish, run, type Steps } from '../engine/steps.ts';
import type { Photograph } from '../files/photograph.ts';
import type { Work } from '../types.ts';
import { photoChain, type Ask, type Chain } from './photo-chain.ts';
import { frameList, frameOf, type LineIntegrals, type PhotoOptions, type PhotoScan } from './photo-scan.ts';

/**
 * From photographs of the screen to line integrals, without unit: the whole chain, frame by frame.
 *   p = −ln( (L(photograph) − L(dark)) / (L(flat) − L(dark)) ),   L the light that a stored value stands for
 * Bad pixels and spots are mended and glare taken off before, the views brought to one exposure, and rings, dead columns and beam
 * hardening seen to after; the report says in a sentence and in figures what each step did. Without flat frames the flat is estimated from
 * what the object leaves free. Beside the working frames, five photographs at most are in memory, and the means of dark and flat.
 * Throws BadInput: fewer than 8 views; frames of different sizes; dark frames as bright as the flat ones; more than memoryLimit at the
 * working size; and whatever a frame throws. What spoils a result and does not prevent it is in report.warnings.
 * Source: Beer and Lambert's law, with dark and flat taken off as is common practice; each step names its own.
 */
export async function lineIntegralsFrom(scan: PhotoScan<Photograph | Promise<Photograph>>, options: PhotoOptions, { signal, progress }: Work = {}): Promise<LineIntegrals> {
  const chain = photoChain(frameList(scan), options);
  const work: Work = { ...(signal ? { signal } : {}), progress: (fraction) => { if (fraction < 1) progress?.(fraction); } };
  try {
    let answer: Photograph | undefined;
    for (;;) {
      const next = await run(untilAsked(chain, answer), work);
      if ('projections' in next) {
        progress?.(1);
        return next;
      }
      answer = await frameOf(scan[next.kind]!, next.k);
    }
  } finally {
    chain.return(undefined as never);
  }
}

/** The same with all frames at hand. */
export function lineIntegrals(scan: PhotoScan, options: PhotoOptions): LineIntegrals {
  return finish(lineIntegralsSteps(scan, options));
}

/** The same as steps that can be followed and stopped. */
export function* lineIntegralsSteps(scan: PhotoScan, options: PhotoOptions): Steps<LineIntegrals> {
  const chain = photoChain(frameList(scan), options);
  try {
    let answer: Photograph | undefined;
    for (;;) {
      const next = yield* untilAsked(chain, answer);
      if ('projections' in next) return next;
      answer = frameOf(scan[next.kind]!, next.k);
    }
  } finally {
    chain.return(undefined as never);
  }
}

/** Gives the chain the frame that it asked for, and runs it until it asks for the next or is done. */
function* untilAsked(chain: Chain<LineIntegrals>, answer: Photograph | undefined): Steps<Ask | LineIntegrals> {
  for (let step = chain.next(answer); ; step = chain.next(undefined)) {
    if (step.done || typeof step.value !== 'number') return step.value as Ask | LineIntegrals;
    yield step.value;
  }
}
