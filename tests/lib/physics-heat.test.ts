import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { BadInput, dutyCycle, exposureEnergy, heatUnits, restNeeded, tubeHeat } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const seed = { seed: 20250311 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const tube = { limit: 2000, coolingTime: 300 };
const anyPlan = fc.record({ power: real(1, 500), seconds: real(0.01, 20), frames: fc.integer({ min: 1, max: 60 }), startHeat: real(0, 500) });

/** The same equation by small steps of time (midpoint rule), which knows nothing of exponentials. */
function inSmallSteps(power: number, seconds: number, rest: number, frames: number, start: number, coolingTime: number): number[] {
  const ends = [start];
  let heat = start;
  const run = (watt: number, time: number) => {
    const steps = Math.max(1, Math.ceil((time / coolingTime) * 2000));
    const dt = time / steps;
    for (let k = 0; k < steps; k++) {
      const middle = heat + (dt / 2) * (watt - heat / coolingTime);
      heat += dt * (watt - middle / coolingTime);
    }
    ends.push(heat);
  };
  for (let k = 0; k < frames; k++) {
    run(power, seconds);
    if (k < frames - 1) run(0, rest);
  }
  return ends;
}

describe('tubeHeat(plan, tube)', () => {
  test('is what the equation gives in small steps of time', () => {
    fc.assert(fc.property(anyPlan, real(0, 60), real(5, 900), (plan, rest, coolingTime) => {
      const { heat } = tubeHeat({ ...plan, rest }, { limit: 1000, coolingTime });
      const steps = inSmallSteps(plan.power, plan.seconds, rest, plan.frames, plan.startHeat, coolingTime);
      expect(heat).toHaveLength(steps.length);
      heat.forEach((value, k) => expect(Math.abs(value - steps[k])).toBeLessThan(1e-5 * (1 + steps[k])));
    }), { ...seed, numRuns: 40 });
  });
  test('without cooling, near enough, adds up the energy; times and duty follow the schedule', () => {
    const curve = tubeHeat({ power: 50, seconds: 2, frames: 10, rest: 8 }, { limit: 2000, coolingTime: 1e9 });
    expect(curve.peak).toBeCloseTo(1000, 3);
    expect(curve.energy).toBe(1000);
    expect([curve.total, curve.on]).toEqual([92, 20]);
    expect(curve.duty).toBeCloseTo(20 / 92, 12);
    expect([...curve.times].slice(0, 5)).toEqual([0, 2, 10, 12, 20]);
    expect(curve.share).toBeCloseTo(0.5, 5);
  });
  test('a tube that rests for a time constant keeps 1/e of its heat', () => {
    const { heat } = tubeHeat({ power: 1e-9, seconds: 1e-9, frames: 2, rest: 300, startHeat: 1000 }, tube);
    expect(heat[2] / heat[1]).toBeCloseTo(1 / Math.E, 9);
  });
  test('never exceeds what goes in, nor what a tube on all the time would come to', () => {
    fc.assert(fc.property(anyPlan, real(0, 60), (plan, rest) => {
      const { peak, energy } = tubeHeat({ ...plan, rest }, tube);
      expect(peak).toBeLessThanOrEqual((plan.startHeat + energy) * (1 + 1e-12));
      expect(peak).toBeLessThanOrEqual(Math.max(plan.startHeat, plan.power * tube.coolingTime) * (1 + 1e-12));
    }), seed);
  });
});

describe('restNeeded(plan, tube, fraction)', () => {
  test('is enough, and a tenth of a second and a bit less is not', () => {
    let rested = 0;
    fc.assert(fc.property(anyPlan, real(0.05, 1), (plan, fraction) => {
      let found;
      try {
        found = restNeeded(plan, tube, fraction);
      } catch (error) {
        expect(error).toBeInstanceOf(BadInput);
        // It says that no rest is enough: then an hour's is not, nor is a day's.
        expect(tubeHeat({ ...plan, rest: 86_400 }, tube).peak).toBeGreaterThan(fraction * tube.limit);
        return;
      }
      expect(found.peak).toBeLessThanOrEqual(fraction * tube.limit);
      if (found.rest === 0) return;
      rested++;
      expect(tubeHeat({ ...plan, rest: Math.max(0, found.rest - 0.102) }, tube).peak).toBeGreaterThan(fraction * tube.limit);
    }), seed);
    expect(rested, 'plans that needed a rest').toBeGreaterThan(10);
  });
  test('for very many exposures is −τ·ln(1 − gain/limit) − exposure, the steady state', () => {
    const gain = 100 * 300 * (1 - Math.exp(-1 / 300));
    const { rest } = restNeeded({ power: 100, seconds: 1, frames: 100_000 }, tube, 0.5);
    expect(Math.abs(rest - (-300 * Math.log(1 - gain / 1000) - 1))).toBeLessThan(0.11);
  });
  test('a scan that the tube can take at once needs none', () => expect(restNeeded({ power: 5, seconds: 1, frames: 45 }, tube).rest).toBe(0));

  test('one exposure that alone is too much is refused, and the longest that it names is not', async () => {
    const says = await refusal(() => restNeeded({ power: 600, seconds: 2, frames: 45 }, tube, 0.5));
    expect(says).toMatch(/^No rest between exposures is enough: one exposure of 2 s at 600 W alone brings the tube to 1200 J, and 1000 J, 50 % of the tube's limit of 2000 J are allowed; expose for at most [\d.]+ s/);
    const longest = Number(/at most ([\d.]+) s/.exec(says)![1]);
    expect(restNeeded({ power: 600, seconds: longest, frames: 45 }, tube, 0.5).peak).toBeLessThanOrEqual(1000);
    expect(longest).toBeGreaterThan(1.65);
  });
  test('a tube too warm to begin with is told to cool', async () => {
    expect(await refusal(() => restNeeded({ power: 10, seconds: 1, frames: 2, startHeat: 1500 }, tube, 0.5))).toContain('let it cool first');
  });
});

test('energy and heat units: 60 kVp, 2 mA, 5 s are 600 J, and by waveform 600, 810 and 846 heat units', () => {
  const exposure = { kV: 60, mA: 2, seconds: 5 };
  expect(exposureEnergy(exposure)).toBe(600);
  expect(heatUnits(exposure, 'single-phase')).toBe(600);
  expect(heatUnits(exposure, 'three-phase')).toBeCloseTo(810, 9);
  expect(heatUnits(exposure)).toBeCloseTo(846, 9);
});

test('dutyCycle(on, rest)', () => {
  expect(dutyCycle(1, 3)).toBe(0.25);
  expect(dutyCycle(2, 0)).toBe(1);
});

test.each<[what: string, call: () => unknown, says: string]>([
  ['no exposures', () => tubeHeat({ power: 1, seconds: 1, frames: 0, rest: 0 }, tube), 'The number of exposures is 0'],
  ['a negative rest', () => tubeHeat({ power: 1, seconds: 1, frames: 1, rest: -1 }, tube), 'The rest between exposures is -1'],
  ['no limit', () => tubeHeat({ power: 1, seconds: 1, frames: 1, rest: 0 }, { limit: 0, coolingTime: 1 }), 'The heat that the tube may hold is 0'],
  ['more than all of the limit', () => restNeeded({ power: 1, seconds: 1, frames: 1 }, tube, 1.2), 'The share of the limit that may be used is 1.2'],
  ['a current that is no number', () => exposureEnergy({ kV: 60, mA: NaN, seconds: 1 }), 'The exposure has NaN for its mA'],
  ['an exposure of no time', () => dutyCycle(0, 1), 'An exposure of 0 s'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));
