import { evenViews } from '../physics/even-views.ts';
import { asNumber, microstepsPerTurn } from '../physics/stage.ts';
import { stageTable } from '../physics/stage-table.ts';
import { stepAccuracy } from '../physics/step-accuracy.ts';
import type { Check } from './check.ts';
import { computed, degrees, series, type Figure } from './series.ts';

/** A turntable on a stepper motor of 200 full steps: check values M1 to M8. */

const calculators = 'public calculators for stepper motors';
const vendor = 'a motor-driver vendor’s forum answer: 3 to 5 % of a full step';

const full = { fullSteps: 200, microsteps: 1 };
const sixteenth = { fullSteps: 200, microsteps: 16 };
const thirtySecond = { fullSteps: 200, microsteps: 32 };

/** The places of 45 views in sixteenth steps, worked out by hand: 9 views are 640 microsteps. */
const nine = [0, 71, 142, 213, 284, 356, 427, 498, 569];
const steps = () => stageTable(sixteenth, 45).rows.map(({ position }, k, rows) => (k + 1 < rows.length ? rows[k + 1].position : stageTable(sixteenth, 45).end) - position);

const exact = (id: string, source: string, figures: readonly Figure[], tolerance = 0) => series(id, { tolerance, kind: 'absolute', source }, figures);
const views: readonly (readonly [views: number, each: number])[] = [[40, 80], [50, 64], [64, 50], [80, 40], [100, 32], [128, 25], [160, 20], [200, 16], [400, 8]];

export const stageChecks: readonly Check[] = [
  ...exact('M1', calculators, [
    ['full steps in a turn of a 1.8° motor', 200, () => asNumber(microstepsPerTurn(full))],
    ['sixteenth steps in a turn', 3200, () => asNumber(microstepsPerTurn(sixteenth))],
    ['a full step, degrees', 1.8, () => degrees(stageTable(full, 45).microstep)],
    ['a sixteenth step, degrees', 0.1125, () => degrees(stageTable(sixteenth, 45).microstep)],
  ], 1e-12),
  ...series('M2', { tolerance: 1e-9, kind: 'relative', source: `${computed}: 200/45, 3200/45, 6400/45` }, [
    ['full steps to each of 45 views', 40 / 9, () => stageTable(full, 45).perView],
    ['sixteenth steps to each of 45 views', 640 / 9, () => stageTable(sixteenth, 45).perView],
    ['thirty-second steps to each of 45 views', 1280 / 9, () => stageTable(thirtySecond, 45).perView],
  ]),
  ...exact('M3', `${computed}: k · 3200/45 rounded to the nearest`, [
    ...nine.map((position, k): Figure => [`position of view ${k} of 45, sixteenth steps`, position, () => stageTable(sixteenth, 45).rows[k].position]),
    ['position of view 9 of 45: the pattern begins again', 640, () => stageTable(sixteenth, 45).rows[9].position],
    ['views of the 45 whose position is not that of nine views before plus 640', 0, () => stageTable(sixteenth, 45).rows.filter(({ position }, k, rows) => k >= 9 && position !== rows[k - 9].position + 640).length],
    ['where the turn of 45 views ends, sixteenth steps', 3200, () => stageTable(sixteenth, 45).end],
    ['moves of 71 sixteenth steps among the 45', 40, () => steps().filter((step) => step === 71).length],
    ['moves of 72 sixteenth steps among the 45', 5, () => steps().filter((step) => step === 72).length],
  ]),
  ...exact('M4', `${computed}: 4/9 of 0.1125°`, [['largest error of 45 positions in sixteenth steps, degrees', 0.05, () => degrees(stageTable(sixteenth, 45).worst)]], 1e-9),
  ...exact('M5', `${computed}: 45 · 71 − 3200 = −5 steps of 0.1125°`, [['where 45 equal moves of 71 sixteenth steps end against a whole turn, degrees', -0.5625, () => degrees(stageTable(sixteenth, 45).offByEqualSteps)]], 1e-9),
  ...exact('M6', `${computed}: k · 200/45 rounded to the nearest`, [
    ...[0, 4, 9, 13, 18, 22, 27].map((position, k): Figure => [`position of view ${k} of 45, full steps`, position, () => stageTable(full, 45).rows[k].position]),
    ['largest error of 45 positions in full steps, degrees', 0.8, () => Number(degrees(stageTable(full, 45).worst).toFixed(9))],
  ]),
  ...exact('M7', `${computed}: divisors of 3200`, [
    ...views.map(([count, each]): Figure => [`sixteenth steps to each of ${count} views, a whole number`, each, () => (evenViews(sixteenth, count).even ? stageTable(sixteenth, count).perView : NaN)]),
    ['of 45, 72, 90, 120, 180 and 360 views, those that fall on whole sixteenth steps', 0, () => [45, 72, 90, 120, 180, 360].filter((count) => evenViews(sixteenth, count).even).length],
    ['next number of views below 45 that falls on whole sixteenth steps', 40, () => evenViews(sixteenth, 45).below ?? NaN],
    ['next number of views above 45 that falls on whole sixteenth steps', 50, () => evenViews(sixteenth, 45).above ?? NaN],
  ]),
  ...exact('M8', vendor, [
    ['how far a position may be off, 3 % of a full step, degrees', 0.054, () => degrees(stepAccuracy(sixteenth, 0.03))],
    ['how far a position may be off, 5 % of a full step, degrees', 0.09, () => degrees(stepAccuracy(sixteenth))],
  ], 1e-9),
];
