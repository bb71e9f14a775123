import type { Projections } from '../types.ts';

export interface TurnSeen {
  /** What the views look like: evenly spread over a full turn, over half of one, or neither to be seen. */
  readonly turn: 'full' | 'half' | 'unsure';
  /** Mean difference, without unit, between views half the list apart, one of them mirrored; small in a full turn. */
  readonly acrossHalf: number;
  /** The same between the views at the ends of the list; small in half a turn. */
  readonly acrossAll: number;
  /** Between neighbouring views, none mirrored: what a turn of one step changes. */
  readonly neighbours: number;
}

const bands = 12;
/** The axis is looked for within so much of the width on either side of the middle. */
const farthestAxis = 0.15;

/**
 * Whether views in order, at equal steps, go all the way round or half way, from the picture that is its own mirror image: seen from behind,
 * left and right change places. In a cone beam that is so near the plane of the source only, so the middle half of the rows is used,
 * as means of twelve bands. Where the axis falls is found with it, within 15 % of the width from the middle.
 * An object that looks the same from all sides shows nothing: 'unsure'.   Fewer than 8 views: 'unsure'.
 */
export function turnSeen(projections: Projections): TurnSeen {
  const { views, columns } = projections;
  const pictures = inBands(projections);
  const half = Math.round(views / 2);
  const pairs = (lag: number, most: number): [number, number][] => {
    const count = views - lag;
    const used = Math.min(count, most);
    return Array.from({ length: used }, (_, k) => { const a = Math.floor((k * count) / used); return [a, a + lag]; });
  };
  const acrossHalf = bestMirrored(pictures, columns, pairs(half, 12));
  const acrossAll = bestMirrored(pictures, columns, [...pairs(views - 1, 1), ...pairs(views - 2, 2)]);
  const steps = pairs(1, 12);
  const neighbours = steps.reduce((sum, [a, b]) => sum + difference(pictures[a], pictures[b]), 0) / steps.length;
  let turn: TurnSeen['turn'] = 'unsure';
  // The ends of half a turn are one and two steps from being each other's mirror image.
  if (views >= 8 && acrossAll < 0.5 * acrossHalf && acrossAll < 4 * neighbours) turn = 'half';
  else if (views >= 8 && acrossHalf < 0.5 * acrossAll) turn = 'full';
  return { turn, acrossHalf, acrossAll, neighbours };
}

function inBands({ views, rows, columns, data }: Projections): Float32Array[] {
  const from = rows < 4 ? 0 : Math.floor(rows / 4), to = rows < 4 ? rows : Math.ceil((3 * rows) / 4);
  const count = Math.min(bands, to - from);
  return Array.from({ length: views }, (_, view) => {
    const picture = new Float32Array(count * columns);
    const of = new Float64Array(count);
    for (let row = from; row < to; row++) of[Math.floor(((row - from) * count) / (to - from))]++;
    for (let row = from; row < to; row++) {
      const band = Math.floor(((row - from) * count) / (to - from));
      const at = (view * rows + row) * columns;
      for (let column = 0; column < columns; column++) picture[band * columns + column] += data[at + column] / of[band];
    }
    return picture;
  });
}

function difference(a: Float32Array, b: Float32Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += Math.abs(a[i] - b[i]);
  return sum / a.length;
}

/** The least mean difference of the pairs, the second mirrored about a column that is the same for all of them. */
function bestMirrored(pictures: readonly Float32Array[], columns: number, pairs: readonly (readonly [number, number])[]): number {
  const reach = Math.round(farthestAxis * columns);
  let best = Infinity;
  for (let shift = -2 * reach; shift <= 2 * reach; shift++) {
    // Column j of one lies where column (columns − 1 + shift) − j of the other does.
    const turn = columns - 1 + shift;
    const from = Math.max(0, turn - columns + 1), to = Math.min(columns - 1, turn);
    let sum = 0, count = 0;
    for (const [a, b] of pairs) {
      const [first, second] = [pictures[a], pictures[b]];
      for (let band = 0; band < first.length; band += columns) {
        for (let j = from; j <= to; j++) sum += Math.abs(first[band + j] - second[band + turn - j]);
        count += to - from + 1;
        // What is shifted out of the other frame was empty there, or the pair does not fit.
        for (let j = 0; j < from; j++) sum += Math.abs(first[band + j]);
        for (let j = to + 1; j < columns; j++) sum += Math.abs(first[band + j]);
        count += columns - (to - from + 1);
      }
    }
    best = Math.min(best, sum / count);
  }
  return best;
}
