import { BadInput } from '../files/bad-input.ts';
import type { Plan } from '../files/plan.ts';
import { checkViews, microstepsInScan, microstepsPerTurn } from '../physics/stage.ts';
import { lampCautions, tubeCautions } from './controller-cautions.ts';
import { controllerSource } from './controller-source.ts';
import { duration } from './duration.ts';
import { runTimes, type SheetOptions } from './run-times.ts';

/**
 * A C++ program that turns the table, releases the camera and asks for each exposure of a plan, for an ATmega328P at 16 MHz with avr-gcc and avr-libc;
 * for any other compiler it takes its pins from a board.h beside it. Its times are those of runSheet, its positions those of stageTable.
 * It only asks: the interlock is wired outside it, and its comments say how and what they do not promise.
 * For a plan with a lamp the program is the same: the shutter is open for the exposure alone, and its comments say what else hangs on the pins then.
 * Throws BadInput, one sentence, where the plan has no stage, and where its turn and gear make fractions beyond 64 bits; also as runTimes and stageTable.
 */
export function controllerListing(plan: Plan, options: SheetOptions = {}): string {
  const { stage, views: { count, turn = 360, direction }, exposure: { frames: each = 1 } } = plan;
  if (!stage) throw new BadInput('stage is missing from the plan: a controller needs the steps of its motor.');
  const times = runTimes(plan, options);
  const inScan = microstepsInScan(stage, (turn * Math.PI) / 180);
  checkViews(count, inScan);
  const common = divisor(inScan.above, BigInt(count));
  const [above, below] = [inScan.above / common, inScan.below * (BigInt(count) / common)];
  const perTurn = microstepsPerTurn(stage);
  const search = (perTurn.above * 11n) / (perTurn.below * 10n) + 1n;
  // The largest number on the way to a position.
  const widest = 2n * BigInt(count - 1) * above + below;
  if (widest >= 2n ** 64n || search >= 2n ** 32n || inScan.above / inScan.below >= 2n ** 32n) {
    throw new BadInput('The turn and the gear of this plan give positions too fine for 64-bit arithmetic in the controller: take a turn of whole degrees or a simpler gear.');
  }
  const ms = (seconds: number) => String(Math.round(seconds * 1000));
  return controllerSource({
    ...(plan.lamp ? lampCautions : tubeCautions),
    title: (plan.title ?? 'a scan without a title').replace(/[^\p{L}\p{N} .,:;()+'-]/gu, ' ').slice(0, 80).trim(),
    summary: `${count} views, ${each === 1 ? '' : `${each} exposures each, `}${times.seconds} s an exposure, ${duration(times.rest)} of rest after it`,
    sense: direction === 'clockwise' ? 'counterclockwise' : 'clockwise',
    exposures: String(times.exposures), each: String(each),
    expose: ms(times.seconds), rest: ms(times.rest), settle: ms(times.settle), lead: ms(times.lead), step: ms(times.stepTime), warn: ms(times.warning),
    wide: widest < 2n ** 32n ? 'uint32_t' : 'uint64_t', above: `${above}`, below: `${below}`, search: `${search}`,
    plan: String(tagOf([count, each, above, below, times.seconds].join(' '))),
  });
}

/** A number of 16 bits that tells one plan's record in the controller from another's (FNV-1a, folded). */
function tagOf(text: string): number {
  let tag = 0x811c9dc5;
  for (const letter of text) tag = Math.imul(tag ^ letter.charCodeAt(0), 0x01000193);
  return ((tag >>> 16) ^ tag) & 0xffff;
}

function divisor(a: bigint, b: bigint): bigint {
  while (b > 0n) [a, b] = [b, a % b];
  return a;
}
