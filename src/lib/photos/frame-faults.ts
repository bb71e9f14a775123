import { grouped } from '../files/memory-limit.ts';
import type { Projections } from '../types.ts';

/** Something in the frames that the reader should know before trusting the result. The frames count from 0. */
export interface FrameWarning {
  readonly kind: 'saturated' | 'truncated' | 'same' | 'half-turn' | 'covered' | 'channel';
  readonly frames: readonly number[];
  /** One sentence: what is wrong, where, what it does. */
  readonly says: string;
}

/** Names of frames for a sentence: the first few, and how many more. */
export function named(frames: readonly number[], nameOf: (frame: number) => string, most = 4): string {
  const names = frames.slice(0, most).map(nameOf);
  if (frames.length > most) return `${names.join(', ')} and ${grouped(frames.length - most)} more`;
  return names.length < 2 ? names.join('') : `${names.slice(0, -1).join(', ')} and ${names.at(-1)}`;
}

/** A line integral at the edge of the frame above this is the object. */
const leastShadow = 0.06;
const leastRows = 0.02;

/** Where the object runs out of the frame at its left or right edge. */
export interface Truncation {
  /** Frames in which it does so in rows where others show it whole. */
  readonly frames: readonly number[];
  readonly sides: readonly ('left' | 'right')[];
  /** Rows (0 at the bottom) that are covered at both edges in nearly all views: a stand or a table as wide as the frame. */
  readonly coveredRows: readonly number[];
}

/** Looks for shadow in the outermost columns: the mean of the outer 1 % of the columns and of three rows. */
export function findTruncation({ views, rows, columns, data }: Projections): Truncation {
  const wide = Math.max(1, Math.round(0.01 * columns));
  const edge = (view: number, row: number, right: boolean) => {
    let sum = 0, count = 0;
    for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r++) {
      const at = (view * rows + r) * columns + (right ? columns - wide : 0);
      for (let k = 0; k < wide; k++) sum += data[at + k];
      count += wide;
    }
    return sum / count;
  };
  const shadow = (right: boolean) => Array.from({ length: views }, (_, view) => Uint8Array.from({ length: rows }, (_, row) => (edge(view, row, right) > leastShadow ? 1 : 0)));
  const [left, right] = [shadow(false), shadow(true)];
  const coveredRows = Array.from({ length: rows }, (_, row) => row).filter((row) => {
    let count = 0;
    for (let view = 0; view < views; view++) count += left[view][row] & right[view][row];
    return count > 0.9 * views;
  });
  const covered = new Set(coveredRows);
  const enough = Math.max(2, leastRows * rows);
  const runsOut = (side: readonly Uint8Array[], view: number) => side[view].reduce((sum, value, row) => sum + (value && !covered.has(row) ? 1 : 0), 0) >= enough;
  const frames = Array.from({ length: views }, (_, view) => view).filter((view) => runsOut(left, view) || runsOut(right, view));
  const sides = ([['left', left], ['right', right]] as const).filter(([, side]) => frames.some((view) => runsOut(side, view))).map(([name]) => name);
  return { frames, sides, coveredRows };
}

/** Pairs of frames that are the same, pixel for pixel: a file that was copied, or listed twice. */
export function findSameFrames({ views, rows, columns, data }: Projections): (readonly [number, number])[] {
  const size = rows * columns;
  const bits = new Uint32Array(data.buffer, data.byteOffset, data.length);
  const seen = new Map<number, number[]>();
  const same: [number, number][] = [];
  for (let view = 0; view < views; view++) {
    let hash = 0x811c9dc5;
    for (let i = view * size; i < (view + 1) * size; i++) hash = Math.imul(hash ^ bits[i], 0x01000193);
    const alike = seen.get(hash) ?? [];
    const first = alike.find((other) => {
      for (let i = 0; i < size; i++) if (bits[view * size + i] !== bits[other * size + i]) return false;
      return true;
    });
    if (first !== undefined) same.push([first, view]);
    seen.set(hash, [...alike, view]);
  }
  return same;
}
