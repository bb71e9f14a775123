/** When a film's frames were taken, and which of them are picked: no browser needed. */
import { BadInput } from '../../lib/index.ts';

/** The part of a film that is a turn, seconds, and the views wanted from it. */
export interface Choice {
  readonly from: number;
  readonly to: number;
  readonly count: number;
}

export interface FrameTimes {
  /** Ascending, seconds from the first frame, which is at 0. */
  readonly times: Float64Array;
  /** What was taken from every time stamp in the file, s. */
  readonly origin: number;
  /** To the end of the last frame. */
  readonly seconds: number;
  /** Frames a second on average. */
  readonly rate: number;
  readonly uneven?: { readonly shortest: number; readonly longest: number };
}

/** Fewer views than this make no slice worth looking at, and are most likely a slip. */
export const FEWEST = 8;

/**
 * The times at which views are taken, seconds: from + k·(to − from)/count, k = 0 … count − 1.
 * The marks are set where the object stands at the start and where it stands so again, so the first view is the marked frame itself
 * (angle 0) and the frame at the end mark, which would be the first view once more, is not taken. View k then stands at k/count of
 * what was turned between the marks, the same rule as for photographs, if the turning was steady.
 */
export function pickTimes(from: number, to: number, count: number): number[] {
  return Array.from({ length: count }, (_, k) => from + (k * (to - from)) / count);
}

/**
 * The index of the frame nearest to a time; halfway between two it is the later. Before the first it is the first, after the last the last.
 * times: ascending, at least one.
 */
export function nearestFrame(times: ArrayLike<number>, seconds: number): number {
  let low = 0;
  let high = times.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    // A millionth of a second of grace, so that rounding does not send one halfway point down and the next one up.
    if (seconds - times[middle] < times[middle + 1] - seconds - 1e-6) high = middle;
    else low = middle + 1;
  }
  return low;
}

/**
 * Frame times from the time stamps of a film's packets.
 * stamps: seconds, in any order; a frame that is over before 0 is not shown by any player and is left out.
 * lastLasts: how long the last frame stays, s, 0 when the file does not say.   tick: what the stamps are rounded to in the file, s.
 * uneven: when gaps between frames differ by more than the rounding of the stamps can (two ticks) and by more than a tenth of the middle gap.
 * Throws BadInput if there are fewer than two frames. `name` begins its sentence.
 */
export function frameTimes(name: string, stamps: readonly number[], lastLasts: number, tick: number): FrameTimes {
  const sorted = Float64Array.from(stamps).sort().filter((stamp, i, all) => i === 0 || stamp > all[i - 1]);
  const shown = sorted.filter((stamp, i) => stamp >= 0 || (i + 1 < sorted.length && sorted[i + 1] > 0));
  if (shown.length < 2) throw new BadInput(`${name}: There ${shown.length === 1 ? 'is one frame' : 'are no frames'} in this film; a film of the whole turn is needed.`);
  const origin = shown[0];
  const times = shown.map((stamp) => stamp - origin);
  const last = times[times.length - 1];
  const gaps = times.subarray(1).map((time, i) => time - times[i]).sort();
  const [shortest, middle, longest] = [gaps[0], gaps[gaps.length >> 1], gaps[gaps.length - 1]];
  const steady = longest - shortest <= Math.max(2.01 * tick, middle / 10);
  return { times, origin, seconds: last + (lastLasts > 0 ? lastLasts : middle), rate: (times.length - 1) / last, ...(steady ? {} : { uneven: { shortest, longest } }) };
}

/** What to tell of a film whose frames do not follow at one pace; undefined when they do. */
export function unevenSentence({ name, uneven }: { readonly name: string; readonly uneven?: FrameTimes['uneven'] }): string | undefined {
  return uneven && `${name}: The frames of this film do not follow at one pace (${inMilliseconds(uneven.shortest)} to ${inMilliseconds(uneven.longest)} ms apart), so they are picked by their times, not by counting.`;
}

/**
 * The frames for the views, as indices into times, one each and ascending: the nearest in time to each of pickTimes.
 * Where no frame stays longer than a step from view to view, none is wanted twice.
 * Throws BadInput, its sentence begun by `name`: marks that are no times in the film or the wrong way round; too few views;
 * more views than there are frames between the marks; a stretch in which the film stood still, so that two views would be one frame.
 */
export function chooseFrames(name: string, { times, seconds }: Pick<FrameTimes, 'times' | 'seconds'>, { from, to, count }: Choice): number[] {
  const refuse = (sentence: string): never => { throw new BadInput(`${name}: ${sentence}`); };
  const lasts = `the film lasts from 0 to ${inSeconds(seconds)}`;
  if (!Number.isFinite(from) || from < 0 || from > seconds) refuse(`The start mark (${inSeconds(from)}) is outside the film; ${lasts}.`);
  if (!Number.isFinite(to) || to < 0 || to > seconds + 1e-6) refuse(`The end mark (${inSeconds(to)}) is outside the film; ${lasts}.`);
  if (from >= to) refuse(`The start mark (${inSeconds(from)}) must lie before the end mark (${inSeconds(to)}).`);
  if (!Number.isInteger(count) || count < FEWEST) refuse(`${count} views are too few or no whole number; at least ${FEWEST} are needed.`);
  const there = times.reduce((sum, time) => sum + (time >= from - 1e-6 && time < to - 1e-6 ? 1 : 0), 0);
  if (count > there) refuse(`There are ${there} frames between ${inSeconds(from)} and ${inSeconds(to)}, and ${count} views are wanted: take fewer views, or film the turn more slowly.`);

  const chosen = pickTimes(from, to, count).map((time) => nearestFrame(times, time));
  const twice = chosen.findIndex((frame, k) => k > 0 && frame === chosen[k - 1]);
  if (twice > 0) {
    const frame = chosen[twice];
    const [before, after] = [times[Math.max(0, frame - 1)], times[frame + 1] ?? seconds];
    refuse(`Views ${twice} and ${twice + 1} would be one frame, because there is no other between ${inSeconds(before)} and ${inSeconds(after)}: ${fewerViews(times, chosen, to - from)}.`);
  }
  return chosen;
}

/**
 * The list cut into pieces of as many frames as may lie decoded in `memory` bytes together: decoders run ahead of whoever saves the pictures.
 * A decoded frame takes a byte and a half a pixel. Each piece begins again at a frame that stands by itself, so pieces are as long as may be.
 */
export function inBatches(chosen: readonly number[], width: number, height: number, memory: number): number[][] {
  const size = Math.max(1, Math.floor(memory / (1.5 * width * height)));
  return Array.from({ length: Math.ceil(chosen.length / size) }, (_, k) => chosen.slice(k * size, (k + 1) * size));
}

/** clip.mp4 → clip-001.png, clip-002.png …; digits enough for the last, so that every way of sorting gives the order of the views. */
export function frameNames(name: string, count: number): string[] {
  const stem = (name.split(/[\\/]/).at(-1) ?? '').replace(/\.[^.]*$/, '') || 'film';
  const digits = Math.max(3, String(count).length);
  return Array.from({ length: count }, (_, k) => `${stem}-${String(k + 1).padStart(digits, '0')}.png`);
}

export function inSeconds(seconds: number): string {
  return `${Number.isFinite(seconds) ? seconds.toFixed(2).replace('-', '−') : 'not a number of'} s`;
}

/** As many views as there are longest gaps in the turn can all be had. */
function fewerViews(times: Float64Array, chosen: readonly number[], turn: number): string {
  let longest = 0;
  for (let i = Math.max(1, chosen[0]); i <= Math.min(times.length - 1, chosen[chosen.length - 1] + 1); i++) longest = Math.max(longest, times[i] - times[i - 1]);
  const most = Math.floor(turn / longest + 1e-6);
  return most >= FEWEST ? `${most} views can be had` : 'film the turn again, at a fixed frame rate';
}

function inMilliseconds(seconds: number): string {
  const milliseconds = seconds * 1000;
  return milliseconds < 100 ? String(Number(milliseconds.toPrecision(2))) : String(Math.round(milliseconds));
}
