import { expect, test } from 'vitest';
import { disc, parallelBeam, fanBeam, projectPhantom, type FlatBeam, type Phantom, type Table2D } from '../../src/lib/index.ts';
import { guessBright, guessNumbers, guessTurn } from '../../src/workshop/scan/guess.ts';

// Invented: a disc with two beads off its middle, so that no two sides look alike.
const object: Phantom = [disc(2, 1, 20, 0.02), disc(9, 4, 4, 0.05), disc(-7, -9, 3, 0.04)];

function table(geometry: FlatBeam): Table2D {
  const { views, detectors, data } = projectPhantom(object, geometry);
  return { rows: views, columns: detectors, data };
}
const light = (line: Table2D, bright: number): Table2D => ({ ...line, data: line.data.map((p) => Math.round(bright * Math.exp(-p))) });

const half = table(parallelBeam({ views: 60, turn: Math.PI, detectors: 64, pitch: 1 }));
const whole = table(parallelBeam({ views: 120, turn: 2 * Math.PI, detectors: 64, pitch: 1 }));
const bothEnds = table(parallelBeam({ angles: Array.from({ length: 91 }, (_, k) => (k * Math.PI) / 45), detectors: 64, pitch: 1 }));
const fan = table(fanBeam({ views: 100, detectors: 80, pitch: 1, sourceToAxis: 100, sourceToDetector: 150 }));

test('guessTurn: half a turn is told from a whole one, and both ends of a turn from one', () => {
  expect(guessTurn(half).value).toEqual({ turn: 180, step: 3 });
  expect(guessTurn(whole).value).toEqual({ turn: 360, step: 3 });
  expect(guessTurn(bothEnds).value).toEqual({ turn: 360, step: 4 });
  expect(guessTurn(fan).value).toEqual({ turn: 360, step: 3.6 });
});

test('guessTurn says so when the object looks alike from all sides', () => {
  const { views, detectors, data } = projectPhantom([disc(0, 0, 20, 0.02)], parallelBeam({ views: 40, detectors: 64, pitch: 1 }));
  const { value, why } = guessTurn({ rows: views, columns: detectors, data });
  expect(value.turn).toBe(360);
  expect(why).toContain('assumed');
});

test('guessNumbers: line integrals are dark at the edges, brightness is bright there', () => {
  expect(guessNumbers(half).value).toBe('line-integrals');
  expect(guessNumbers(light(half, 60000)).value).toBe('brightness');
  expect(guessNumbers(light(half, 1)).value).toBe('brightness');
  const drawn = { ...half, data: half.data.map((p) => Math.round(p * 100)) }; // a picture of line integrals, 0 … 255
  expect(guessNumbers(drawn)).toMatchObject({ value: 'line-integrals' });
  expect(guessNumbers(drawn).why).toContain('scale of their own');
});

test('guessBright: the level of open light is not set by a few hot cells', () => {
  const brightness = light(half, 50000);
  brightness.data[7] = 65535;
  expect(guessBright(brightness).value).toBe(50000);
});
