import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  archerThickness, archerTransmission, barrierRange, doseEstimate, halfValueTransmission, inverseSquare, sharesOfLimits, tubeOutput, type BarrierMaterial, type DoseQuestion, type Range,
} from '../../src/lib/index.ts';

const seed = { seed: 20250313 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const material = fc.constantFrom<BarrierMaterial>('lead', 'concrete');
const scan: DoseQuestion = { kVp: 80, mAs: 100, seconds: 100, sourceToObject: 400, distance: 3000 };
const rises = ({ low, likely, high }: Range) => expect(low <= likely && likely <= high && low >= 0 && Number.isFinite(high), `${low} ${likely} ${high}`).toBe(true);

describe('archerTransmission', () => {
  test('starts at 1, falls with thickness, and archerThickness turns it round', () => {
    fc.assert(fc.property(material, real(20, 150), real(0, 30), real(0.001, 5), (of, kVp, mm, more) => {
      expect(archerTransmission(of, kVp, 0)).toBeCloseTo(1, 12);
      const through = archerTransmission(of, kVp, mm);
      expect(archerTransmission(of, kVp, mm + more)).toBeLessThan(through);
      if (through > 1e-250) expect(archerThickness(of, kVp, Math.min(1, through))).toBeCloseTo(mm, 6);
    }), seed);
  });
  test('a metre of lead lets nothing through that a number can hold, not NaN, and ten metres of concrete join on to the formula', () => {
    expect(archerTransmission('lead', 70, 1000)).toBe(0);
    const slope = Math.log(archerTransmission('concrete', 150, 10_400) / archerTransmission('concrete', 150, 10_600)) / 200;
    expect(slope).toBeCloseTo(0.03243, 9); // across the place where the formula is left, at αγx = 500
  });
  test('between two voltages of the set the next higher is taken, which lets at least as much through behind a barrier worth the name', () => {
    expect(archerTransmission('lead', 91, 1)).toBe(archerTransmission('lead', 100, 1));
    expect(archerTransmission('lead', 30, 1)).toBe(archerTransmission('lead', 70, 1));
    fc.assert(fc.property(material, real(20, 149), real(0, 1), real(0.05, 5), (of, kVp, up, mm) => {
      const thickness = of === 'lead' ? mm : 20 * mm + 4;
      expect(archerTransmission(of, Math.min(150, kVp + up * (150 - kVp)), thickness)).toBeGreaterThanOrEqual(archerTransmission(of, kVp, thickness));
    }), seed);
  });
});

describe('barrierRange', () => {
  test('rises from low to high, stays within 1, and high is at least what every set says', () => {
    fc.assert(fc.property(material, real(20, 150), real(0, 400), (of, kVp, thickness) => {
      const range = barrierRange({ material: of, thickness }, kVp);
      rises(range);
      expect(range.high).toBeLessThanOrEqual(1);
      for (const set of ['NCRP 49', 'ASTM E94'] as const) expect(range.high).toBeGreaterThanOrEqual(halfValueTransmission(set, of, kVp, thickness));
    }), seed);
  });
  test('steel, glass and wood count in the low figure alone, and it is said', () => {
    const range = barrierRange({ material: 'iron', thickness: 5 }, 80);
    expect([range.likely, range.high]).toEqual([1, 1]);
    expect(range.low).toBeLessThan(0.1);
    expect(range.assumptions[0]).toContain('No broad-beam figures for iron');
  });
  test('the set is named', () => {
    const says = barrierRange({ material: 'lead', thickness: 1 }, 100).assumptions.join(' ');
    for (const set of ['NCRP 147, Table A.1', 'NCRP 49', 'ASTM E94']) expect(says).toContain(set);
  });
});

describe('doseEstimate', () => {
  const anyScan: fc.Arbitrary<DoseQuestion> = fc.record({
    kVp: real(20, 150), mAs: real(0.01, 5000), seconds: real(0.1, 10_000), sourceToObject: real(50, 2000), distance: real(100, 10_000), housing: fc.constantFrom('bare', 'rated'),
    occupancy: real(0, 1), scansPerYear: real(0, 1000), otherMAs: real(0, 1000), otherSeconds: real(0, 1000), inBeam: fc.boolean(),
    barrier: fc.option(fc.record({ material: fc.constantFrom('lead' as const, 'concrete' as const, 'wood' as const), thickness: real(0, 300) }), { nil: undefined }),
  });
  test('every range rises, and the routes add up to the scan', () => {
    fc.assert(fc.property(anyScan, (question) => {
      const { perScan, perYear, routes, inOpenBeam, limits, assumptions } = doseEstimate(question);
      for (const range of [perScan, perYear, routes.scatter, routes.leakage, routes.beam, inOpenBeam, ...limits.map(({ share }) => share)]) rises(range);
      for (const name of ['low', 'likely', 'high'] as const) expect(Math.abs(routes.scatter[name] + routes.leakage[name] + routes.beam[name] - perScan[name])).toBeLessThanOrEqual(1e-12 * perScan[name]);
      expect(assumptions.length).toBeGreaterThan(6);
    }), seed);
  });
  test('more charge, nearer, a thinner barrier and more time never give less', () => {
    fc.assert(fc.property(anyScan, real(1, 3), (question, more) => {
      const { high, likely } = doseEstimate(question).perYear;
      const worse: DoseQuestion[] = [
        { ...question, mAs: question.mAs * more, seconds: question.seconds * more }, { ...question, distance: question.distance / more }, { ...question, scansPerYear: question.scansPerYear! * more },
        { ...question, occupancy: Math.min(1, question.occupancy! * more) }, { ...question, barrier: undefined },
      ];
      for (const each of worse) {
        const { perYear } = doseEstimate(each);
        expect(perYear.high).toBeGreaterThanOrEqual(high * (1 - 1e-12));
        expect(perYear.likely).toBeGreaterThanOrEqual(likely * (1 - 1e-12));
      }
    }), seed);
  });
  test('by hand: a measured output of 100 µGy/mAs, 100 mAs, object at 0.5 m, person at 2 m, rated housing, 36 s', () => {
    const { routes } = doseEstimate({ kVp: 80, mAs: 100, seconds: 36, sourceToObject: 500, distance: 2000, housing: 'rated', output: { value: 100, basis: 'measured' } });
    // 100 · 100 µGy at 1 m is 40,000 µGy at the object; a thousandth of it at 1 m, a quarter of that at 2 m; 100 µGy/h for 36 s is 1 µGy at 1 m.
    expect(routes.scatter.likely).toBeCloseTo(10, 9);
    expect(routes.leakage.likely).toBeCloseTo(0.25, 9);
    expect(routes.beam).toEqual({ low: 0, likely: 0, high: 0 });
  });
  test('the open beam alone far exceeds a year’s limit for the public where the tube points the wrong way, and it is shown though nobody is in it', () => {
    const { inOpenBeam, routes } = doseEstimate({ ...scan, distance: 1000 });
    expect(inOpenBeam.likely).toBeGreaterThan(5000);
    expect(routes.beam.high).toBe(0);
  });
  test('what is left out errs high: a bare tube, all the time there, nothing between', () => {
    const left = doseEstimate(scan).perYear;
    for (const better of [{ housing: 'rated' }, { occupancy: 0.5 }, { barrier: { material: 'lead', thickness: 1 } }] as Partial<DoseQuestion>[]) expect(doseEstimate({ ...scan, ...better }).perYear.likely).toBeLessThan(left.likely);
  });
  test('always says to measure, never that it is safe', () => {
    fc.assert(fc.property(anyScan, (question) => {
      const { caution, assumptions } = doseEstimate(question);
      expect(caution).toContain('measure it');
      expect(caution).toContain('none of its figures says that anything is safe');
      expect(assumptions.join(' ')).not.toMatch(/\bsafe(ly)?\b|harmless|no danger|below the limit/i);
    }), { ...seed, numRuns: 30 });
  });
});

test('sharesOfLimits: 1 mSv is a year for the public and a twentieth for a worker', () => {
  const shares = sharesOfLimits({ low: 0, likely: 1000, high: 2000 });
  expect(shares.find(({ who, part }) => who === 'public' && part === 'whole body')!.share).toEqual({ low: 0, likely: 1, high: 2 });
  expect(shares.find(({ who, part, period }) => who === 'worker' && part === 'whole body' && period.includes('5 years'))!.share.likely).toBeCloseTo(0.05, 12);
  expect(shares.filter(({ who, part }) => who === 'worker' && part === 'lens of the eye').map(({ milliSievert, since }) => [since, milliSievert]), 'the old limit of the lens and the new one, with their dates').toEqual([[2007, 150], [2011, 20], [2011, 50]]);
});

test('inverseSquare there and back is where it began', () => {
  fc.assert(fc.property(real(0.1, 100), real(0.1, 100), real(0, 1000), (from, to, value) => {
    expect(inverseSquare(inverseSquare(value, from, to), to, from)).toBeCloseTo(value, 9);
  }), seed);
});

test('tubeOutput rises with the voltage', () => {
  fc.assert(fc.property(real(10, 150), real(0, 1), (kVp, up) => {
    const [less, more] = [tubeOutput(kVp), tubeOutput(Math.min(150, kVp + up * (150 - kVp)))];
    rises(less);
    for (const name of ['low', 'likely', 'high'] as const) expect(more[name]).toBeGreaterThanOrEqual(less[name]);
  }), seed);
});

test.each<[what: string, call: () => unknown, says: string]>([
  ['a voltage beyond the set', () => archerTransmission('lead', 160, 1), 'NCRP 147, Table A.1 goes to 150 kVp and the tube is at 160'],
  ['a voltage beyond the dose', () => doseEstimate({ ...scan, kVp: 200 }), 'The tube is at 200 kVp'],
  ['a barrier of negative thickness', () => doseEstimate({ ...scan, barrier: { material: 'lead', thickness: -1 } }), 'The thickness of the barrier is -1'],
  ['a material that nobody knows', () => doseEstimate({ ...scan, barrier: { material: 'unobtainium' as 'lead', thickness: 1 } }), 'No attenuation is known for "unobtainium"'],
  ['nowhere', () => doseEstimate({ ...scan, distance: 0 }), 'The distance is 0'],
  ['more than all the time', () => doseEstimate({ ...scan, occupancy: 1.5 }), 'The occupancy of a dose estimate is 1.5'],
  ['a charge that is no number', () => doseEstimate({ ...scan, mAs: NaN }), 'The mAs of a dose estimate is NaN'],
  ['a range that falls', () => sharesOfLimits({ low: 2, likely: 1, high: 3 }), 'should be three numbers of µSv from 0 that do not fall'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));
