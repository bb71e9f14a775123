import { expect, test } from 'vitest';
import { timeLeft } from '../../src/workshop/time-left.ts';

/** Marks every half second, up to so many seconds, of work that takes `whole` seconds in all. */
const steady = (seconds: number, whole: number, from = 0) => Array.from({ length: 2 * seconds + 1 }, (_, k) => ({ at: 1000 + 500 * k, fraction: from + ((1 - from) * k) / 2 / whole }));

test.each([
  ['nothing heard yet', [], ''],
  ['two seconds of a minute', steady(2, 60), ''],
  ['five seconds of a minute', steady(5, 60), 'at this pace about 60\u00a0s more'],
  ['fifty seconds of a minute', steady(50, 60), ''],
  ['a minute of ten', steady(60, 600), 'at this pace about 9 minutes more'],
  ['a minute of two days', steady(60, 48 * 3600), 'at this pace about 48 hours more'],
  ['work that stands still', Array.from({ length: 30 }, (_, k) => ({ at: 1000 * k, fraction: 0.4 })), ''],
  ['quick at first, then slow: the pace of now counts', [...steady(20, 40), ...steady(20, 200, 0.5).map(({ at, fraction }) => ({ at: at + 20_500, fraction }))], 'at this pace about 3 minutes more'],
])('%s', (_, marks, words) => expect(timeLeft(marks)).toBe(words));
