import { describe, expect, it } from 'vitest';
import { finish, interpolated, type Image, type Steps } from '../../src/lib/index.ts';
import { damageOf } from '../../src/widgets/too-much/damage.ts';
import { alphaOf, stops, tooMuch, type TooMuchResult, type TooMuchState } from '../../src/widgets/too-much/model.ts';
import { object, objectPicture, slope } from '../../src/widgets/too-much/object.ts';

const show = (change: Partial<TooMuchState> = {}) => finish(tooMuch.compute({ ...tooMuch.initial, ...change }, undefined as never) as Steps<TooMuchResult>);
const truth = objectPicture(128);
const changed = (change: (value: number, x: number, y: number) => number): Image => ({
  ...truth, data: truth.data.map((value, i) => change(value, ((i % 128) - 63.5) * truth.pixelSize, (63.5 - Math.floor(i / 128)) * truth.pixelSize)),
});

describe('objectPicture(size)', () => {
  it('has the ramp, the rods and the faint discs where the object has them', () => {
    const at = (x: number, y: number) => interpolated(truth, x, y);
    expect(at(0, -15)).toBeCloseTo((object.ramp.from + object.ramp.to) / 2, 4);
    expect((at(20, -15) - at(-20, -15)) / 40).toBeCloseTo(slope, 6);
    for (const { x, y } of object.rods) expect(at(x, y)).toBeCloseTo(object.rod.attenuation, 6);
    for (const { x, y, contrast } of object.details) expect(at(x, y)).toBeCloseTo(object.even + contrast, 6);
    expect(at(-10, 2)).toBeCloseTo(object.even, 6);
    expect(at(38, 0)).toBe(0);
  });
});

describe('damageOf(picture, truth)', () => {
  it('finds none in the object itself', () => {
    const { left, lost, flat, invented } = damageOf(truth, truth);
    left.forEach((share) => expect(share).toBeCloseTo(1, 1));
    expect([lost, flat, invented]).toEqual([0, 0, []]);
  });

  it('counts a faint disc that is gone', () => {
    const { x, y, radius } = object.details[3];
    const { lost, left } = damageOf(changed((value, px, py) => (Math.hypot(px - x, py - y) < radius + 1 ? object.even : value)), truth);
    expect(lost).toBe(1);
    expect(left[3]).toBeCloseTo(0, 6);
  });

  it('finds an even patch that was never there, where it is and as large as it is', () => {
    const { invented } = damageOf(changed((value, x, y) => (Math.hypot(x + 12, y - 2.5) < 2 ? value + 0.001 : value)), truth);
    expect(invented).toHaveLength(1);
    expect(Math.hypot(invented[0].x + 12, invented[0].y - 2.5)).toBeLessThan(0.3);
    expect(invented[0].area).toBeCloseTo(Math.PI * 4, -0.5);
  });

  it('takes neither grain nor a patch too faint, too small or too large for one', () => {
    const grain = changed((value, x, y) => value + 0.002 * Math.sin(9 * x) * Math.cos(11 * y));
    const faint = changed((value, x, y) => (Math.hypot(x + 12, y - 2.5) < 2 ? value + 0.0004 : value));
    const small = changed((value, x, y) => (Math.hypot(x + 12, y - 2.5) < 0.7 ? value + 0.001 : value));
    const large = changed((value, x, y) => (Math.hypot(x, y - 2) < 30 ? value + 0.001 : value));
    for (const [name, picture] of Object.entries({ grain, faint, small, large })) expect(damageOf(picture, truth).invented, name).toEqual([]);
  });

  it('finds how much of a ramp has become stairs', () => {
    const stairs = changed((value, x, y) => (y < object.ramp.top && Math.hypot(x, y) < object.radius - 1 ? object.ramp.from + slope * (Math.round(x / 6) * 6 + object.radius) : value));
    expect(damageOf(stairs, truth).flat).toBeGreaterThan(0.8); // one of every nine or ten differences is a step
  });
});

describe('the plate too-much', () => {
  it('doubles its strength from stop to stop, from none', () => {
    expect(alphaOf(0, 24)).toBe(0);
    for (let stop = 2; stop <= stops; stop++) expect(alphaOf(stop, 24)).toBeCloseTo(2 * alphaOf(stop - 1, 24), 12);
  });

  it('is best in between: both no prior and far too much of it err three times more', () => {
    const errors = [0, 7, stops].map((strength) => show({ strength }).error);
    expect(errors[0]).toBeGreaterThan(3 * errors[1]);
    expect(errors[2]).toBeGreaterThan(3 * errors[1]);
  });

  it('hardens streaks into patches when weak, and takes details away when strong', () => {
    const [none, weak, fair, strong] = [0, 4, 7, 10].map((strength) => show({ strength }).damage);
    expect(none.invented.length).toBe(0);
    expect(weak.invented.length).toBeGreaterThan(20);
    expect(fair.invented.length).toBeLessThan(3);
    expect(strong.lost).toBe(object.details.length);
    expect(weak.lost).toBeLessThan(3);
    expect(none.flat).toBeLessThan(0.05);
    expect(fair.flat).toBeGreaterThan(0.3);
  });

  it('takes the smaller and the fainter disc away first', () => {
    const { left } = show({ strength: 8 }).damage;
    expect(left[0]).toBeGreaterThan(left[1]);
    expect(left[1]).toBeGreaterThan(left[2]);
    expect(left[0]).toBeGreaterThan(left[3]);
  });

  it('shows the difference as picture less object, and the profile along the line', () => {
    const { picture, truth: object, difference, profile } = show({ height: 10 });
    expect(difference.data[7000]).toBeCloseTo(picture.data[7000] - object.data[7000], 7);
    const row = Math.round(63.5 - 10 / picture.pixelSize);
    expect(Array.from(profile.picture)).toEqual(Array.from(picture.data.subarray(row * 128, (row + 1) * 128)));
  });

  it('says in words what was lost and what was invented', () => {
    const say = (strength: number) => tooMuch.describe({ ...tooMuch.initial, strength }, show({ strength }), undefined as never);
    expect(say(0)).toMatch(/^Without total variation.*Never there: no patch that looks like a detail was invented\.$/);
    expect(say(4)).toMatch(/Never there: \d+ patches that look like details were invented, \d+ mm² in all\.$/);
    expect(say(10)).toMatch(/Lost: 6 of 6 faint discs have less than half of their contrast left/);
  });
});
