import type { Steps } from '../engine/steps.ts';
import { cholesky, solveLower, solveUpper } from './cholesky.ts';
import type { Strips } from './strips.ts';
import { precisionOf, type Precision, type TurningModel } from './turning-model.ts';

/** Levels of noise, beside an object's variance of 1, among which each band finds its own. */
const noiseLevels = [1, 0.2, 0.04, 0.008, 0.0016];

const usualLevel = 2;

export interface FrameFits {
  /** How far each frame is from what the others say it should be: root mean square, over what is expected of a frame. About 1 is usual. */
  readonly surprises: Float64Array;
  /** By how much of a step each frame lies ahead of its step (behind, below 0), as the others have it. */
  readonly ahead: Float64Array;
}

export interface Consistency {
  /** Log likelihood of the frames at these steps, up to what all steps share: higher is better. */
  readonly score: (steps: readonly number[]) => number;
  /** Chooses each band's level of noise anew, as fits best with the frames at these steps. */
  readonly settleSteps: (steps: readonly number[]) => Steps<void>;
  /** How each frame fits with all the others. */
  readonly fitsSteps: (steps: readonly number[]) => Steps<FrameFits>;
}

/**
 * How well frames at given steps are views of one object: what the best reconstruction leaves over.
 * Least over all objects f of  |p − A f|²/noise + |f|²  is  pᵀ K⁻¹ p, K the covariance of the views (turningModel). Because steps are equal, K of
 * all steps round the circle falls apart into one small matrix a harmonic; the views that are missing are filled in as fits best,
 * which leaves a system of only missing × cells unknowns (a Schur complement). Each band of rows is a slice by itself with its own
 * strength and its own level of noise: rows far from the plane of the source, where a cone is no fan, fit worse and count less.
 * A score looks up tables made once: one number for each pair of frames and each number of steps between them.
 */
export function consistencyOf({ views, bands, cells, data }: Strips, model: TurningModel): Consistency {
  const { circle } = model;
  const mod = (step: number) => ((step % circle) + circle) % circle;

  const precisions = new Map<number, Precision>();
  const precision = (level: number) => remembered(precisions, level, () => precisionOf(model, noiseLevels[level]!));
  const tables = new Map<number, Table>();
  const table = (level: number, band: number) => remembered(tables, level * bands + band, () => tableOf(precision(level), band));

  function tableOf({ lags }: Precision, band: number): Table {
    const drawn = new Float64Array(circle * views * cells);
    const pairs = new Float64Array(((views * (views + 1)) / 2) * circle);
    for (let lag = 0; lag < circle; lag++) {
      const block = lags[lag]!;
      for (let view = 0; view < views; view++) {
        const from = (view * bands + band) * cells;
        const to = (lag * views + view) * cells;
        for (let i = 0; i < cells; i++) {
          let sum = 0;
          for (let j = 0; j < cells; j++) sum += block[i * cells + j]! * data[from + j]!;
          drawn[to + i] = sum;
        }
        for (let other = 0; other <= view; other++) {
          const at = (other * bands + band) * cells;
          let sum = 0;
          for (let i = 0; i < cells; i++) sum += data[at + i]! * drawn[to + i]!;
          pairs[((view * (view + 1)) / 2 + other) * circle + lag] = sum;
        }
      }
    }
    return { drawn, pairs };
  }

  /** L of the missing views' own block of the precision, and its ln det. */
  function missingBlock(missing: readonly number[], level: number): Block {
    const { lags } = precision(level);
    const size = missing.length * cells;
    const lower = new Float64Array(size * size);
    for (const [row, step] of missing.entries()) {
      for (let column = 0; column <= row; column++) {
        const block = lags[mod(step - missing[column]!)]!;
        for (let i = 0; i < cells; i++) lower.set(block.subarray(i * cells, (i + 1) * cells), (row * cells + i) * size + column * cells);
      }
    }
    return { lower, size, logDeterminant: cholesky(lower, size) };
  }

  function squaresOf(steps: readonly number[], missing: readonly number[], { drawn, pairs }: Table, { lower, size }: Block): number {
    let squares = 0;
    for (let j = 0; j < views; j++) {
      const row = (j * (j + 1)) / 2;
      squares += pairs[(row + j) * circle]!;
      for (let i = 0; i < j; i++) squares += 2 * pairs[(row + i) * circle + mod(steps[i]! - steps[j]!)]!;
    }
    const filled = new Float64Array(size);
    for (const [row, step] of missing.entries()) addDrawn(filled, row * cells, drawn, steps, step);
    solveLower(lower, size, filled);
    return squares - filled.reduce((sum, value) => sum + value * value, 0);
  }

  const levels = Array.from({ length: bands }, () => usualLevel);
  const count = views * cells;
  const bandScore = (squares: number, logDeterminant: number) => -0.5 * (count * Math.log(squares / count) + logDeterminant);

  return {
    score(steps) {
      const missing = missingSteps(steps, circle);
      let score = 0;
      for (const level of new Set(levels)) {
        const block = missingBlock(missing, level);
        for (let band = 0; band < bands; band++) {
          if (levels[band] === level) score += bandScore(squaresOf(steps, missing, table(level, band), block), precision(level).logDeterminant + block.logDeterminant);
        }
      }
      return score;
    },
    *settleSteps(steps) {
      const missing = missingSteps(steps, circle);
      const blocks = new Map<number, Block>();
      const scoreAt = (level: number, band: number) => {
        const block = remembered(blocks, level, () => missingBlock(missing, level));
        return bandScore(squaresOf(steps, missing, table(level, band), block), precision(level).logDeterminant + block.logDeterminant);
      };
      for (let band = 0; band < bands; band++) {
        // From the level as it is, down or up as long as that is better.
        let best = scoreAt(levels[band]!, band);
        for (const way of [1, -1]) {
          for (let level = levels[band]! + way; level >= 0 && level < noiseLevels.length; level += way) {
            const score = scoreAt(level, band);
            yield (band + 0.5) / bands;
            if (score <= best) break;
            [best, levels[band]] = [score, level];
          }
        }
      }
      // The tables of the levels that lost are not needed any more.
      for (const key of tables.keys()) if (levels[key % bands] !== Math.floor(key / bands)) tables.delete(key);
    },
    *fitsSteps(steps) {
      const missing = missingSteps(steps, circle);
      const sums = new Float64Array(views);
      const along = new Float64Array(views); // of the difference along what a step changes
      const change = new Float64Array(views); // and of that change itself, both as the inverse covariance weighs them
      const at = new Map(steps.map((step, view) => [mod(step), view]));
      let done = 0;
      for (const level of new Set(levels)) {
        const { lags } = precision(level);
        const block = missingBlock(missing, level);
        const { lower, size } = block;
        const own = opennessOf(steps, missing, lags, block);
        yield done / bands;
        for (let band = 0; band < bands; band++) {
          if (levels[band] !== level) continue;
          const { drawn } = table(level, band);
          const squares = squaresOf(steps, missing, table(level, band), block) / count;
          const filled = new Float64Array(size); // minus the missing views themselves
          for (const [row, step] of missing.entries()) addDrawn(filled, row * cells, drawn, steps, step);
          solveLower(lower, size, filled);
          solveUpper(lower, size, filled);
          const left = new Float64Array(cells);
          const step = new Float64Array(cells);
          for (let view = 0; view < views; view++) {
            left.fill(0);
            // Half of what changes from the step before to the step after, frames or what fills their places.
            for (const [by, sign] of [[1, 0.5], [-1, -0.5]] as const) {
              const near = mod(steps[view]! + by);
              const [from, values, times] = at.has(near) ? [(at.get(near)! * bands + band) * cells, data, sign] : [missing.indexOf(near) * cells, filled, -sign];
              for (let i = 0; i < cells; i++) step[i] = (by === 1 ? 0 : step[i]!) + times * values[from + i]!;
            }
            addDrawn(left, 0, drawn, steps, steps[view]!);
            for (const [row, lost] of missing.entries()) {
              const coupling = lags[mod(steps[view]! - lost)]!;
              for (let i = 0; i < cells; i++) for (let j = 0; j < cells; j++) left[i]! -= coupling[i * cells + j]! * filled[row * cells + j]!;
            }
            // left is the inverse covariance L Lᵀ times what the view is more than its prediction.
            for (let i = 0; i < cells; i++) along[view]! += (step[i]! * left[i]!) / squares;
            for (let i = 0; i < cells; i++) {
              let sum = 0;
              for (let k = i; k < cells; k++) sum += own[view]![k * cells + i]! * step[k]!;
              change[view]! += (sum * sum) / squares;
            }
            solveLower(own[view]!, cells, left);
            for (let i = 0; i < cells; i++) sums[view]! += left[i]! ** 2 / squares / (bands * cells);
          }
          yield ++done / bands;
        }
      }
      return { surprises: sums.map(Math.sqrt), ahead: along.map((value, view) => (change[view]! > 0 ? value / change[view]! : 0)) };
    },
  };

  /** For each view, L of the inverse covariance of what the other views leave open of it. */
  function opennessOf(steps: readonly number[], missing: readonly number[], lags: readonly Float64Array[], { lower, size }: Block): Float64Array[] {
    const drawn = new Float64Array(size * cells); // L⁻¹ of the coupling with the missing views, one cell of the view after the other
    return steps.map((step) => {
      for (let i = 0; i < cells; i++) {
        for (const [row, lost] of missing.entries()) drawn.set(lags[mod(step - lost)]!.subarray(i * cells, (i + 1) * cells), i * size + row * cells);
        solveLower(lower, size, drawn, i * size);
      }
      const own = lags[0]!.slice();
      for (let i = 0; i < cells; i++) {
        for (let j = 0; j <= i; j++) {
          let sum = 0;
          for (let k = 0; k < size; k++) sum += drawn[i * size + k]! * drawn[j * size + k]!;
          own[i * cells + j]! -= sum;
        }
      }
      cholesky(own, cells);
      return own;
    });
  }

  /** Adds the row of the precision at `step`, times all frames, to `to` from `at` on. */
  function addDrawn(to: Float64Array, at: number, drawn: Float64Array, steps: readonly number[], step: number): void {
    for (let j = 0; j < views; j++) {
      const from = (mod(step - steps[j]!) * views + j) * cells;
      for (let c = 0; c < cells; c++) to[at + c]! += drawn[from + c]!;
    }
  }
}

interface Table {
  /** Every lag's block of the precision times every frame: (lag, frame, cell). */
  readonly drawn: Float64Array;
  /** pairs[(j(j + 1)/2 + i) · circle + lag], i ≤ j: frame i times that of frame j, which lies `lag` steps before it. */
  readonly pairs: Float64Array;
}

interface Block {
  readonly lower: Float64Array;
  readonly size: number;
  readonly logDeterminant: number;
}

/** The steps round the circle at which there is no frame, rising. */
export function missingSteps(steps: readonly number[], circle: number): number[] {
  const taken = new Uint8Array(circle);
  for (const step of steps) taken[((step % circle) + circle) % circle] = 1;
  return Array.from(taken.keys()).filter((step) => !taken[step]);
}

function remembered<K, V>(known: Map<K, V>, key: K, make: () => V): V {
  if (!known.has(key)) known.set(key, make());
  return known.get(key)!;
}
