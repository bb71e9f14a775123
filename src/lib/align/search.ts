import type { Steps } from '../engine/steps.ts';
import { movedGaps, movedTogether, stepsOf, type GapProblem } from './gaps.ts';

/** A way to place the frames, and how well it does. */
export interface Candidate {
  readonly gaps: readonly number[];
  readonly score: number;
}

export interface SearchOptions {
  /** How far, in places, one lost frame is moved at a time. */
  readonly far: number;
  /** How far two are moved together. */
  readonly together: number;
  /** It ends when so many candidates, taken up after the best one, brought nothing better. */
  readonly patience: number;
}

/**
 * Searches over where the gaps are, best first: the best candidate not yet taken up is taken up, all that lie one lost frame away from
 * it are scored, and the best few of them wait their turn. Whenever a new best is found, two lost frames are moved together as well.
 * So it climbs, and climbs again from the second best, instead of ending at the first top.
 * starts: places to begin from.   Result: every candidate that was scored, the best first.
 */
export function* searchGaps(score: (steps: readonly number[]) => number, problem: GapProblem, starts: readonly (readonly number[])[], { far, together, patience }: SearchOptions): Steps<Candidate[]> {
  const known = new Map<string, Candidate>();
  const look = (gaps: readonly number[]): Candidate => {
    const key = gaps.join();
    const candidate = known.get(key) ?? { gaps, score: score(stepsOf(gaps)) };
    known.set(key, candidate);
    return candidate;
  };
  const waiting: Candidate[] = [];
  const listed = new Set<string>();
  const list = (candidates: readonly Candidate[]) => {
    for (const candidate of candidates) {
      const key = candidate.gaps.join();
      if (!listed.has(key)) waiting.push(candidate);
      listed.add(key);
    }
  };
  list(starts.map(look));
  let best: Candidate | undefined;
  let since = 0;
  for (let taken = 0; waiting.length > 0 && since < patience; taken++) {
    waiting.sort((a, b) => b.score - a.score);
    const current = waiting.shift()!;
    const better = !best || current.score > best.score;
    since = better ? 0 : since + 1;
    if (better) best = current;
    const children: Candidate[] = [];
    const near = function* () {
      yield* movedGaps(current.gaps, problem, far);
      if (better) yield* movedTogether(current.gaps, problem, together);
    };
    for (const gaps of near()) {
      children.push(look(gaps));
      if (children.length % 16 === 0) yield Math.min(0.98, 1 - 1 / (1 + (taken + children.length / 600) / 8));
    }
    list(children.sort((a, b) => b.score - a.score).slice(0, 6));
  }
  return [...known.values()].sort((a, b) => b.score - a.score);
}
