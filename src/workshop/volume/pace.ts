/** When to draw the solid picture and how finely: coarse while it moves, as coarse as the machine needs to keep up; finer and finer when it rests. */

export interface Pace<T> {
  /** To be drawn as soon as what is being drawn is done; of several wishes only the newest. */
  want(what: T): void;
  close(): void;
}

/** A picture takes at most about so long, ms: one of many while it moves, and the one that stays. */
const longestCoarse = 30, longestFine = 1500;
/** Nothing new for so long, ms: it rests. */
const calm = 150;
const coarsest = 0.15;

/**
 * paint: draws at a fineness 0…1, resolves when that is done on the card.   frame: resolves when the browser is about to draw.
 * An error of paint ends the work on that wish and goes to `fail`.
 */
export function openPace<T>(paint: (what: T, fineness: number) => Promise<void>, fail: (error: unknown) => void, frame: () => Promise<unknown> = () => new Promise(requestAnimationFrame)): Pace<T> {
  let wanted: { what: T } | undefined;
  let busy = false, closed = false, first = true, moving = 0.5;
  let wake = () => {};

  const timed = async (what: T, fineness: number): Promise<number> => {
    const began = performance.now();
    await paint(what, fineness);
    return Math.max(1, performance.now() - began);
  };
  const rest = () => new Promise<void>((resolve) => {
    const timer = setTimeout(resolve, calm);
    wake = () => { clearTimeout(timer); resolve(); };
  });
  const one = async (what: T) => {
    let fineness = moving;
    let took = await timed(what, fineness);
    if (first && !wanted) took = await timed(what, fineness); // the first one is held up by loading, which says nothing of the next
    first = false;
    moving = bounded(fineness * factor(longestCoarse / took, 0.6, 1.3), coarsest, 1);
    if (fineness < 1 && !wanted) await rest();
    while (!wanted && !closed && fineness < 1 && took <= longestFine) {
      fineness = Math.min(1, fineness * factor(longestFine / took, 1.25, 3));
      took = await timed(what, fineness);
    }
  };
  const work = async () => {
    if (busy) return;
    busy = true;
    while (wanted && !closed) {
      await frame();
      const { what } = wanted;
      wanted = undefined;
      try {
        if (!closed) await one(what);
      } catch (error) {
        if (!closed) fail(error);
      }
    }
    busy = false;
  };
  return {
    want(what) {
      wanted = { what };
      wake();
      void work();
    },
    close() {
      closed = true;
      wake();
    },
  };
}

const bounded = (value: number, from: number, to: number) => Math.min(to, Math.max(from, value));
/** The work grows with the third power of the fineness: two sides of the picture, and the steps along each ray. */
const factor = (more: number, from: number, to: number) => bounded(Math.cbrt(more), from, to);
