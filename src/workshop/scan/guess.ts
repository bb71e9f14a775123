/** What the numbers themselves tell about how they were taken. Every guess comes with its reason, for the reader to overrule. */
import type { Table2D } from '../../lib/index.ts';
import { figure } from './words.ts';

export interface Guess<T> {
  readonly value: T;
  readonly why: string;
}

/** Nobody measures a line integral of 20: two parts in a thousand million of the light would be left. */
const GREATEST_LINE_INTEGRAL = 20;

/** Are the numbers line integrals (dark outside the object) or brightness (bright outside it)? The views must be rows. */
export function guessNumbers(table: Table2D): Guess<'line-integrals' | 'brightness'> {
  const { edge, middle } = edgeAndMiddle(table);
  const top = greatest(table);
  if (top <= GREATEST_LINE_INTEGRAL) {
    return edge <= middle
      ? { value: 'line-integrals', why: `nothing is above ${figure(top, 3)}, and the shadow’s edges are lower than its middle` }
      : { value: 'brightness', why: `the edges (${figure(edge, 3)}) are higher than the middle (${figure(middle, 3)}), as light past an object is` };
  }
  return edge > middle
    ? { value: 'brightness', why: `the edges (${figure(edge, 3)}) are brighter than the middle (${figure(middle, 3)}), as light past an object is` }
    : { value: 'line-integrals', why: `the edges (${figure(edge, 3)}) are lower than the middle (${figure(middle, 3)}); but a line integral of ${figure(top, 3)} cannot be measured, so they are on a scale of their own` };
}

/** The level of open light: what one number in a hundred exceeds, so that a few hot cells do not set it. */
export function guessBright(table: Table2D): Guess<number> {
  const sorted = Float32Array.from(table.data).sort();
  const value = sorted[Math.floor((sorted.length - 1) * 0.99)];
  return { value, why: 'at most one number in a hundred lies above it' };
}

export interface TurnGuess {
  /** Whole turn in degrees, and how far each view is from the next. */
  readonly turn: number;
  readonly step: number;
}

/**
 * Half a turn or a whole one? After half a turn (parallel light) a view is the first one mirrored; after a whole turn it
 * is the first one again. The next view after the last would be that one, so the last is about one step away from it.
 * A last view that equals the first says that both ends of the turn were taken. The views must be rows.
 */
export function guessTurn(table: Table2D): Guess<TurnGuess> {
  const views = table.rows;
  if (views < 4) return { value: { turn: 360, step: 360 / views }, why: 'a whole turn is assumed; the views are too few to tell' };
  const stepwise = neighbours(table);
  const whole = difference(table, views - 1, 0, false);
  const half = difference(table, views - 1, 0, true);
  const turn = half < whole * 0.8 ? 180 : 360;
  const nearest = Math.min(half, whole);
  const alike = Math.max(stepwise * 3, rms(table) / 1000);
  const bothEnds = nearest < stepwise * 0.1 && stepwise > rms(table) / 1000;
  const step = turn / (bothEnds ? views - 1 : views);
  if (whole < alike && half < alike && turn === 360) {
    return { value: { turn, step }, why: 'a whole turn is assumed; the object looks so alike from all sides that the views cannot tell' };
  }
  if (nearest > stepwise * 6) return { value: { turn, step }, why: 'a whole turn is assumed; the last view leads back to the first neither as it is nor mirrored' };
  const ends = bothEnds ? 'is' : 'leads back to';
  return turn === 180
    ? { value: { turn, step }, why: `the last view ${ends} the first one mirrored, as after half a turn` }
    : { value: { turn, step }, why: `the last view ${ends} the first one, as after a whole turn` };
}

function greatest(table: Table2D): number {
  let most = -Infinity;
  for (const value of table.data) if (value > most) most = value;
  return most;
}

/** Mean of the outer twentieth of the cells on either side, and of the middle tenth. */
function edgeAndMiddle({ rows, columns, data }: Table2D) {
  const rim = Math.max(1, Math.round(columns / 20));
  let edge = 0, middle = 0, inMiddle = 0;
  for (let row = 0; row < rows; row++) {
    for (let column = 0; column < columns; column++) {
      const value = data[row * columns + column];
      if (column < rim || column >= columns - rim) edge += value;
      if (Math.abs(column - (columns - 1) / 2) <= columns / 20 + 0.5) { middle += value; inMiddle++; }
    }
  }
  return { edge: edge / (rows * Math.min(columns, 2 * rim)), middle: middle / Math.max(1, inMiddle) };
}

/** Root of the mean squared difference of two views, the second mirrored or not. */
function difference({ columns, data }: Table2D, one: number, other: number, mirrored: boolean): number {
  let sum = 0;
  for (let column = 0; column < columns; column++) {
    const d = data[one * columns + column] - data[other * columns + (mirrored ? columns - 1 - column : column)];
    sum += d * d;
  }
  return Math.sqrt(sum / columns);
}

function rms({ data }: Table2D): number {
  let sum = 0;
  for (const value of data) sum += value * value;
  return Math.sqrt(sum / data.length);
}

/** The middle one of the differences between neighbouring views. */
function neighbours(table: Table2D): number {
  const all: number[] = [];
  for (let view = 1; view < table.rows; view++) all.push(difference(table, view, view - 1, false));
  return all.sort((a, b) => a - b)[all.length >> 1];
}
