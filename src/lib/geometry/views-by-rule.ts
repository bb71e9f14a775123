import { viewsNeeded, type ViewsAnswer } from './views-needed.ts';

export interface RuleAnswer extends ViewsAnswer {
  readonly rule: 'pitch' | 'one-pixel' | 'fan';
  /** The rule in words: what it calls a detail, over which turn it counts, and whose it is. */
  readonly convention: string;
  /** The same density of views over a whole turn. */
  readonly wholeTurn: number;
}

/**
 * The number of views that each published convention asks for, side by side: they differ by factors of two in what they call a detail and
 * a turn, so a number of views means nothing without its convention. Crowther's rule with a period of two cells, and Natterer's in rays, are
 * `pitch` in other words.
 * diameter: of the object, mm. pitch: a detector cell at the object, mm. fanAngle: the full fan, radians; the rule for a fan is left out without it.
 * Throws RangeError, one sentence, as viewsNeeded.
 */
export function viewsByRule(question: { readonly diameter: number; readonly pitch: number; readonly fanAngle?: number }): RuleAnswer[] {
  const { diameter, pitch, fanAngle } = question;
  const half = (rule: 'pitch' | 'one-pixel', convention: string): RuleAnswer => {
    const answer = viewsNeeded({ rule, diameter, pitch });
    return { rule, convention, ...answer, wholeTurn: Math.ceil(2 * answer.exact * (1 - 1e-12)) };
  };
  const answers = [
    half('pitch', 'πD/d over 180°, d a full period of two cells: (π/2) · cells across the object (Crowther, DeRosier & Klug 1970; Kak & Slaney 1988)'),
    half('one-pixel', 'πD/d over 180°, d one cell: twice as many'),
  ];
  if (fanAngle === undefined) return answers;
  const fan = viewsNeeded({ rule: 'fan', diameter, detail: 2 * pitch, fanAngle });
  return [...answers, { rule: 'fan', convention: '2πD/d/(1 − sin(Γ/2)) over 360°, d a full period of two cells, Γ the full fan (Joseph & Schulz 1980, from memory)', ...fan, wholeTurn: fan.views }];
}
