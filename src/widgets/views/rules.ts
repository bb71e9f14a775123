import { detailKept, viewsNeeded } from '../../lib/index.ts';

/** One rule for the number of views, asked both ways about one scan. */
export interface RuleAnswer {
  readonly name: string;
  /** What it calls a detail. */
  readonly detail: string;
  /** Degrees. */
  readonly over: 180 | 360;
  /** Views it asks for, with details as fine as the filter lets through. */
  readonly needed: number;
  /** The detail that it promises for these directions, mm, in its own sense of the word. */
  readonly kept: number;
}

/**
 * diameter: of the object, mm. period: the finest full period that the filter lets through, mm.
 * directions: evenly spaced over half a turn. The fan's rule is asked for a very narrow fan with twice as many views over a whole turn.
 */
export function askRules(diameter: number, period: number, directions: number): RuleAnswer[] {
  const cell = period / 2;
  return [
    { name: 'Crowther, DeRosier, Klug', detail: 'a full period, line and gap', over: 180, needed: viewsNeeded({ rule: 'period', diameter, detail: period }).views, kept: detailKept(diameter, directions) },
    { name: 'the detector’s limit', detail: 'a cell, half a period', over: 180, needed: viewsNeeded({ rule: 'pitch', diameter, pitch: cell }).views, kept: detailKept(diameter, directions) / 2 },
    { name: 'one cell', detail: 'a cell, taken for a full period', over: 180, needed: viewsNeeded({ rule: 'one-pixel', diameter, pitch: cell }).views, kept: detailKept(diameter, directions) },
    { name: 'Natterer', detail: 'the distance between rays', over: 180, needed: viewsNeeded({ rule: 'rays', rays: diameter / cell }).views, kept: diameter / ((2 * directions) / Math.PI + 1) },
    { name: 'Joseph and Schulz, narrow fan', detail: 'a full period', over: 360, needed: viewsNeeded({ rule: 'fan', diameter, detail: period, fanAngle: 0 }).views, kept: (2 * Math.PI * diameter) / (2 * directions) },
  ];
}
