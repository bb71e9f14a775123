import { BadInput } from '../../lib/index.ts';

/** Which views a scan has lost. Views are counted from 1, as a reader counts them. */
export type Loss = 'none' | 'every' | 'block' | 'scattered' | 'list';

export interface LossSettings {
  readonly lost: Loss;
  /** First view lost: every, block. */
  readonly first: number;
  /** How many are lost: block, scattered. */
  readonly count: number;
  /** every: the distance from one lost view to the next. */
  readonly apart: number;
  /** list: numbers and ranges, "3, 10-14". */
  readonly list: string;
}

/** The views that are left, by number from 0. One is kept even where the settings leave none. */
export function keptViews(views: number, settings: LossSettings): number[] {
  const gone = new Set(lostViews(views, settings));
  const kept = Array.from({ length: views }, (_, view) => view).filter((view) => !gone.has(view));
  return kept.length > 0 ? kept : [0];
}

function lostViews(views: number, { lost, first, count, apart, list }: LossSettings): number[] {
  const all = Array.from({ length: views }, (_, view) => view);
  if (lost === 'every') return all.filter((view) => view >= first - 1 && (view - first + 1) % apart === 0);
  if (lost === 'block') return all.slice(first - 1, first - 1 + count);
  if (lost === 'scattered') return all.sort((a, b) => lot(a) - lot(b)).slice(0, count);
  if (lost === 'list') return readList(list).map((view) => view - 1);
  return [];
}

/** A number between 0 and 1 that looks drawn by lot and is the same every time: the fraction of a large multiple of a sine. */
function lot(view: number): number {
  const drawn = Math.sin(12.9898 * (view + 1)) * 43758.5453;
  return drawn - Math.floor(drawn);
}

/** "3, 10-14" as numbers. Throws BadInput with a sentence for anything else. */
export function readList(text: string): number[] {
  return text.split(/[,;\s]+/).filter(Boolean).flatMap((part) => {
    const range = /^(\d{1,4})(?:[-–](\d{1,4}))?$/.exec(part);
    if (!range) throw new BadInput(`“${part}” is not a view: write numbers and ranges from 1, such as 3, 10-14.`);
    const from = Number(range[1]);
    const to = Number(range[2] ?? range[1]);
    if (from < 1 || to < from) throw new BadInput(`“${part}” is not a range of views: they count from 1, the lower number first.`);
    return Array.from({ length: to - from + 1 }, (_, k) => from + k);
  });
}
