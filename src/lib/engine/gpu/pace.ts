/**
 * How much work to hand to the card at once: so much that it takes about a tenth of a second. Browsers give up a card that does not come back
 * for a few seconds, and progress and a stop want to be heard. It begins with little and learns from what each part took.
 */
export interface Pace {
  /** Units of work of this kind for one submission. */
  units(kind: WorkKind): number;
  /** So many units took so many milliseconds. */
  took(kind: WorkKind, units: number, milliseconds: number): void;
}

export type WorkKind = 'filter' | 'smear' | 'project' | 'spread';

/** Units to begin with, about 20 ms on a card that is no more than a processor: cells to be filtered, voxels smeared into, steps along rays, voxels gathered. */
const first: Readonly<Record<WorkKind, number>> = { filter: 2 ** 18, smear: 2 ** 20, project: 2 ** 20, spread: 2 ** 17 };

export function newPace(): Pace {
  const learned = new Map<WorkKind, { units: number; spent: number; milliseconds: number }>();
  const of = (kind: WorkKind) => learned.get(kind) ?? { units: first[kind], spent: 0, milliseconds: 0 };
  return {
    units: (kind) => of(kind).units,
    took(kind, units, milliseconds) {
      const before = of(kind);
      // Over several submissions, because two that end while the thread is busy are both heard of at its end.
      const spent = 0.7 * before.spent + units, time = 0.7 * before.milliseconds + milliseconds;
      const right = (spent / Math.max(time, 0.1)) * AIM_MS;
      learned.set(kind, { units: Math.max(first[kind] / 8, Math.min(GROWTH * Math.max(units, before.units / GROWTH), right)), spent, milliseconds: time });
    },
  };
}

const AIM_MS = 100;
/** No more than so many times what has been tried. */
const GROWTH = 8;
