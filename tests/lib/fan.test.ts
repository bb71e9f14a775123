import { describe, expect, it } from 'vitest';
import { bead, coverage, fbp, parallelBeam, pointOnDetector, projectPhantom, rayOf, widestRay } from '../../src/lib/index.ts';
import { fan, fanOf, misread, starOf, type FanResult, type FanState } from '../../src/widgets/fan/model.ts';
import { specimen, type Specimen } from '../../src/widgets/specimen/specimen.ts';

const show = (change: Partial<FanState> = {}, subject: Specimen = specimen('head')) => fan.compute({ ...fan.initial, ...change }, subject) as FanResult;
const apart = (a: ArrayLike<number>, b: ArrayLike<number>) => Array.from(a).reduce((most, value, i) => Math.max(most, Math.abs(value - b[i])), 0);
const radians = (degrees: number) => (degrees * Math.PI) / 180;

describe('fanOf(radius, opening, turn)', () => {
  it('opens as it is told, the field just inside: F5 and F6', () => {
    const half = 11.536959; // F5: radius 100 from 500 mm
    const scan = fanOf(100, radians(2 * half), 'short');
    expect(scan.sourceToAxis).toBeCloseTo(500, 4);
    expect((widestRay(scan) * 180) / Math.PI).toBeCloseTo(half, 6);
    expect((coverage(scan).needed * 180) / Math.PI).toBeCloseTo(203.073918, 5);
  });
  it.each([['whole', 'full'], ['short', 'short'], ['half', 'incomplete']] as const)('a turn called %s is %s', (turn, kind) => {
    for (const opening of [10, 20, 40, 60]) expect(coverage(fanOf(40, radians(opening), turn)).kind, `${opening}°`).toBe(kind);
  });
});

describe('the star of a point that is read as parallel', () => {
  it('is touched by the ray that each view lays for it', () => {
    const [x, y, R] = [18, 13, 117];
    const star = starOf(x, y, R);
    const scan = fanOf(40, 2 * Math.asin(40 / R), 'whole');
    // The line that view 30 (of 120) lays, as a parallel ray of that view and that place on a detector on the axis.
    for (const view of [0, 17, 30, 88]) {
      const beta = scan.angles[view];
      const s = pointOnDetector(scan, view, x, y);
      const distances = Array.from(star.x, (X, k) => X * Math.cos(beta) + star.y[k] * Math.sin(beta) - s);
      expect(Math.min(...distances.map(Math.abs)), `view ${view}`).toBeLessThan(1e-3);
    }
  });
  it('is nearly an astroid that reaches r²/R, when the fan is small', () => {
    const [r, R] = [10, 2000];
    const { x, y } = starOf(r, 0, R);
    const reach = Math.max(...Array.from(x, (X, k) => Math.hypot(X - r, y[k])));
    expect(reach / (r ** 2 / R)).toBeCloseTo(1, 1);
    for (let k = 0; k < x.length; k += 7) {
      const [a, b] = [Math.abs(x[k] - r), Math.abs(y[k])].map((each) => (each / (r ** 2 / R)) ** (2 / 3));
      expect(a + b, `point ${k} of the curve`).toBeCloseTo(1, 1);
    }
  });
  it('is where the picture of a small bead is bright', () => {
    const [x, y] = [18, 13];
    const scan = fanOf(40, radians(40), 'whole');
    const sinogram = projectPhantom([bead(x, y, 0.6, 1)], scan);
    const image = misread('parallel', sinogram, scan, { width: 112, height: 112, pixelSize: 80 / 112, data: new Float32Array(112 * 112) });
    const { x: X, y: Y } = starOf(x, y, scan.sourceToAxis);
    const near = (px: number, py: number) => Math.min(...Array.from(X, (each, k) => Math.hypot(each - px, Y[k] - py)));
    const brightest = Array.from(image.data.keys()).sort((a, b) => image.data[b] - image.data[a]).slice(0, 25);
    for (const i of brightest) expect(near(((i % 112) + 0.5 - 56) * (80 / 112), (56 - Math.floor(i / 112) - 0.5) * (80 / 112)), 'mm from the curve').toBeLessThan(0.9);
  });
});

describe('misread(wrong, …)', () => {
  const subject = specimen('head');
  it('without the half for lines seen twice, a whole turn comes out exactly twice too high: all other weights are the library’s', () => {
    const { right, beside } = show({ beside: 'share' }, subject);
    expect(apart(beside.data, right.data.map((value) => 2 * value))).toBeLessThan(1e-5);
  });
  it('of a very narrow fan hardly matters, whatever is left out', () => {
    for (const beside of ['cosine', 'distance'] as const) {
      for (const turn of ['whole', 'short'] as const) {
        const { rightError, besideError } = show({ opening: 2, turn, beside }, subject);
        expect(Math.abs(besideError / rightError - 1), `${beside}, ${turn}`).toBeLessThan(0.06);
      }
    }
  });
  it('of a wide fan matters', () => {
    // Measured on the head: 4.3, 1.64 and 1.055. The cosine weighs rays near the rim, which are short.
    for (const [beside, least] of [['parallel', 4], ['distance', 1.5], ['cosine', 1.03]] as const) {
      const { rightError, besideError } = show({ opening: 60, beside }, subject);
      expect(besideError / rightError, beside).toBeGreaterThan(least);
    }
  });
  it('as parallel is the library’s own fbp of a parallel beam', () => {
    const { beside } = show({ opening: 30 });
    const scan = fanOf(subject.radius, radians(30), 'whole');
    const sinogram = projectPhantom(subject.phantom!, scan);
    const parallel = parallelBeam({ angles: scan.angles, detectors: scan.detectors, pitch: scan.pitch });
    expect(rayOf(parallel, 3, 20).s).toBeCloseTo(pointOnDetectorOf(scan, 20), 9);
    expect(apart(beside.data, fbp(sinogram, parallel, { window: 'shepp-logan', grid: beside }).data)).toBeLessThan(1e-7);
  });
});

const pointOnDetectorOf = (scan: ReturnType<typeof fanOf>, j: number) => (j - (scan.detectors - 1) / 2) * scan.pitch;

describe('the plate fan', () => {
  it('errs more the wider the fan when it is read as parallel, and hardly more when it is read rightly', () => {
    const errors = [10, 20, 40, 60].map((opening) => show({ opening }));
    errors.slice(1).forEach(({ besideError }, k) => expect(besideError).toBeGreaterThan(errors[k].besideError));
    expect(errors[2].rightError).toBeLessThan(0.25 * errors[2].besideError);
  });
  it('makes the same picture from 180° and the fan as from the whole turn, and a worse one from 180°', () => {
    const [whole, short, half] = (['whole', 'short', 'half'] as const).map((turn) => show({ turn, beside: 'object' }));
    expect(short.complete && whole.complete).toBe(true);
    expect(half.complete).toBe(false);
    expect(short.rightError / whole.rightError).toBeLessThan(1.15);
    expect(half.rightError).toBeGreaterThan(1.6 * short.rightError);
  });
  it('says what was taken, what is missing and how far the star reaches', () => {
    const state: FanState = { ...fan.initial, turn: 'half' };
    const words = fan.describe(state, show(state), specimen('head'));
    expect(words).toContain('A fan of 40° from 292 mm, over 180°.');
    expect(words).toContain('Every ray is seen only after 220°');
    expect(words).toMatch(/a point 60\.3 mm from the axis becomes a star that reaches about 12 mm/);
  });
});
