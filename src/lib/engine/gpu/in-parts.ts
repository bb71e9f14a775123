import type { Job } from './job.ts';
import type { WorkKind } from './pace.ts';

/** What each view is worked into, or out of: rows of a slice or a frame, slices of a volume. */
export interface Blocks {
  readonly count: number;
  /** As few as are done at once. */
  readonly least: number;
  /** Units of work in one of them, for one view. */
  readonly cells: number;
}

/**
 * Work over views and blocks in parts as large as the pace allows by then: some views and all blocks, or one view and some of the blocks. A view's
 * blocks are all done before the next views. told: hears which fraction is on its way.
 */
export async function inParts(
  job: Job, kind: WorkKind, { count, least, cells }: Blocks, views: number,
  part: (firstView: number, views: number, firstBlock: number, endBlock: number, units: number) => Promise<void>, told?: (done: number) => void,
): Promise<void> {
  for (let view = 0; view < views;) {
    const shown = Math.max(1, Math.min(views - view, MOST_VIEWS, Math.floor(job.card.pace.units(kind) / (Math.min(count, least) * cells))));
    for (let first = 0; first < count;) {
      const atOnce = Math.max(1, Math.floor(job.card.pace.units(kind) / (shown * cells * least))) * least;
      const end = Math.min(count, first + atOnce);
      await part(view, shown, first, end, shown * (end - first) * cells);
      first = end;
      told?.((view + (shown * first) / count) / views);
    }
    view += shown;
  }
}

/** Workgroups along one direction. */
const MOST_VIEWS = 65535;
