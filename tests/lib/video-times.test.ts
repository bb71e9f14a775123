/** Which frames of a film become views: times, gaps, names, and choices that cannot be. */
import fc from 'fast-check';
import { describe, expect, it, test } from 'vitest';
import { BadInput, naturalOrder } from '../../src/lib/index.ts';
import { chooseFrames, frameNames, frameTimes, inBatches, nearestFrame, pickTimes, unevenSentence } from '../../src/workshop/photographs/video-times.ts';

const even = (count: number, gap: number) => Float64Array.from({ length: count }, (_, k) => k * gap);

describe('pickTimes', () => {
  it('takes the marked start and leaves the end mark, where the start comes again', () => {
    expect(pickTimes(2, 10, 8)).toEqual([2, 3, 4, 5, 6, 7, 8, 9]);
    expect(pickTimes(0, 1, 4)).toEqual([0, 0.25, 0.5, 0.75]);
  });

  it('stands at k/count of the turning, whatever the marks', () => {
    fc.assert(fc.property(fc.double({ min: 0, max: 1e4, noNaN: true }), fc.double({ min: 0.1, max: 1e4, noNaN: true }), fc.integer({ min: 8, max: 720 }), (from, turn, count) => {
      const times = pickTimes(from, from + turn, count);
      expect(times).toHaveLength(count);
      expect(times[0]).toBe(from);
      times.forEach((time, k) => expect(Math.abs((time - from) / turn - k / count), 'the share of the turn').toBeLessThan(1e-9 * (1 + from / turn)));
    }));
  });
});

describe('nearestFrame', () => {
  const times = [0, 1, 2, 4];
  it.each([[-5, 0], [0, 0], [0.49, 0], [0.5, 1], [1.2, 1], [2.9, 2], [3, 3], [3.1, 3], [99, 3]])('at %f s it is frame %i', (seconds, frame) => {
    expect(nearestFrame(times, seconds)).toBe(frame);
  });

  it('finds no frame farther away than another', () => {
    fc.assert(fc.property(fc.uniqueArray(fc.integer({ min: 0, max: 1e6 }), { minLength: 1, maxLength: 60 }), fc.integer({ min: -10, max: 1e6 + 10 }), (ticks, at) => {
      const sorted = ticks.sort((a, b) => a - b).map((tick) => tick / 1000);
      const found = Math.abs(sorted[nearestFrame(sorted, at / 1000)] - at / 1000);
      expect(found, 'the distance in time to the frame found').toBeLessThanOrEqual(Math.min(...sorted.map((time) => Math.abs(time - at / 1000))) + 1e-6);
    }));
  });
});

describe('frameTimes', () => {
  it('sorts stamps out of the order of decoding, begins at the first and measures to the end of the last', () => {
    const film = frameTimes('a.mp4', [1.0, 1.2, 1.1, 1.4, 1.3], 0.1, 1e-4);
    expect(Array.from(film.times).map((time) => Math.round(time * 1e6) / 1e6)).toEqual([0, 0.1, 0.2, 0.3, 0.4]);
    expect(film.origin).toBe(1);
    expect(film.seconds).toBeCloseTo(0.5, 12);
    expect(film.rate).toBeCloseTo(10, 12);
    expect(film.uneven).toBeUndefined();
  });

  it('leaves out what is over before 0, as players do, and what stands at the same time twice', () => {
    expect(Array.from(frameTimes('a.mp4', [-0.2, -0.1, 0, 0.1, 0.1], 0.1, 1e-4).times)).toEqual([0, 0.1]);
    const cut = frameTimes('a.mp4', [-0.15, -0.05, 0.05, 0.15], 0, 1e-4); // the second is on show at 0
    expect(cut.origin).toBe(-0.05);
    expect(cut.seconds, 'the last frame is taken to stay as long as the others').toBeCloseTo(0.3, 12);
  });

  it.each([
    ['30 a second in whole milliseconds', Array.from({ length: 90 }, (_, k) => Math.round(k * 1000 / 30) / 1000), 1e-3, undefined],
    ['120 a second in whole milliseconds', Array.from({ length: 90 }, (_, k) => Math.round(k * 1000 / 120) / 1000), 1e-3, undefined],
    ['30000/1001 a second', Array.from({ length: 90 }, (_, k) => (k * 1001) / 30000), 1 / 30000, undefined],
    ['one frame dropped', [0, 0.04, 0.08, 0.16, 0.2], 1e-3, { shortest: 0.04, longest: 0.08 }],
    ['a camera slowing down in the dark', [0, 0.033, 0.066, 0.099, 0.149, 0.199], 1e-3, { shortest: 0.033, longest: 0.05 }],
  ])('%s', (_, stamps, tick, uneven) => {
    const film = frameTimes('a.mp4', stamps, 0, tick);
    expect(film.uneven === undefined).toBe(uneven === undefined);
    if (uneven) {
      expect(film.uneven!.shortest).toBeCloseTo(uneven.shortest, 9);
      expect(film.uneven!.longest).toBeCloseTo(uneven.longest, 9);
    }
  });

  it.each([[[]], [[0.5]], [[0.5, 0.5]]])('refuses a film with the stamps %j', (stamps) => {
    expect(() => frameTimes('still.mp4', stamps, 0.1, 1e-3)).toThrow(/^still\.mp4: There (are no frames|is one frame) in this film/);
  });

  it('says in a sentence how far the gaps differ', () => {
    expect(unevenSentence({ name: 'clip.mp4', uneven: { shortest: 1 / 30, longest: 0.25 } })).toBe('clip.mp4: The frames of this film do not follow at one pace (33 to 250 ms apart), so they are picked by their times, not by counting.');
    expect(unevenSentence({ name: 'clip.mp4' })).toBeUndefined();
  });
});

describe('chooseFrames', () => {
  const film = { times: even(300, 0.04), seconds: 12 };

  it('picks every 5th of an even film', () => {
    expect(chooseFrames('a.mp4', film, { from: 1, to: 11, count: 50 })).toEqual(Array.from({ length: 50 }, (_, k) => 25 + 5 * k));
  });

  it('takes every frame when as many are wanted, also from marks halfway between frames', () => {
    for (const from of [0, 0.02, 0.0199, 0.04, 1.234]) {
      const chosen = chooseFrames('a.mp4', film, { from, to: from + 100 * 0.04, count: 100 });
      expect(chosen.every((frame, k) => frame === chosen[0] + k), `from ${from} s`).toBe(true);
    }
  });

  it('picks by time where the gaps differ; 1 s lies halfway between two, and the later is taken', () => {
    const times = Float64Array.from([0, 0.1, 0.2, 0.3, 0.4, 0.8, 1.2, 1.6, 2.0, 2.4, 2.8, 3.2, 3.6]);
    expect(chooseFrames('a.mp4', { times, seconds: 4 }, { from: 0, to: 4, count: 8 })).toEqual([0, 4, 6, 7, 8, 9, 11, 12]);
  });

  it('gives as many different frames as views, none farther off than half the longest gap', () => {
    const gaps = fc.array(fc.integer({ min: 10, max: 60 }), { minLength: 20, maxLength: 200 });
    fc.assert(fc.property(gaps, fc.double({ min: 0, max: 0.3, noNaN: true }), fc.double({ min: 0.6, max: 1, noNaN: true }), (ticks, start, end) => {
      const times = Float64Array.from([0, ...ticks.map((sum => (tick: number) => (sum += tick) / 1000)(0))]);
      const seconds = times[times.length - 1] + 0.01;
      const [from, to] = [start * seconds, end * seconds];
      const longest = Math.max(...ticks) / 1000;
      const count = Math.floor((to - from) / longest);
      fc.pre(count >= 8);
      const chosen = chooseFrames('a.mp4', { times, seconds }, { from, to, count });
      expect(new Set(chosen).size, 'different frames').toBe(count);
      pickTimes(from, to, count).forEach((time, k) => expect(Math.abs(times[chosen[k]] - time), `view ${k} is off by`).toBeLessThanOrEqual(longest / 2 + 1e-5));
    }));
  });

  const frozen = { times: Float64Array.from([...even(100, 0.04), ...even(100, 0.04).map((time) => 6 + time)]), seconds: 10 };
  test.each([
    ['marks the wrong way round', film, { from: 5, to: 4, count: 45 }, /^clip\.mp4: The start mark \(5\.00 s\) must lie before the end mark \(4\.00 s\)\.$/],
    ['marks at one place', film, { from: 5, to: 5, count: 45 }, /must lie before/],
    ['a start that is no number', film, { from: NaN, to: 5, count: 45 }, /^clip\.mp4: The start mark \(not a number of s\) is outside the film; the film lasts from 0 to 12\.00 s\.$/],
    ['a start before the film', film, { from: -1, to: 5, count: 45 }, /The start mark \(−1\.00 s\) is outside the film/],
    ['an end behind the film', film, { from: 1, to: 12.5, count: 45 }, /The end mark \(12\.50 s\) is outside the film/],
    ['seven views', film, { from: 1, to: 11, count: 7 }, /^clip\.mp4: 7 views are too few or no whole number; at least 8 are needed\.$/],
    ['half a view', film, { from: 1, to: 11, count: 45.5 }, /45\.5 views are too few or no whole number/],
    ['more views than frames', film, { from: 1, to: 2, count: 45 }, /^clip\.mp4: There are 25 frames between 1\.00 s and 2\.00 s, and 45 views are wanted: take fewer views, or film the turn more slowly\.$/],
    ['a stretch in which the film stood still', frozen, { from: 0, to: 10, count: 90 }, /^clip\.mp4: Views \d+ and \d+ would be one frame, because there is no other between 3\.\d\d s and 6\.00 s: film the turn again, at a fixed frame rate\.$/],
  ])('refuses %s in one sentence', (_, where, choice, sentence) => {
    expect(() => chooseFrames('clip.mp4', where, choice)).toThrow(BadInput);
    expect(() => chooseFrames('clip.mp4', where, choice)).toThrow(sentence);
  });

  it('says how many views can be had where frames are missing, and they can', () => {
    const times = even(300, 0.04).filter((_, k) => k < 100 || k > 104);
    const refusal = (() => { try { chooseFrames('clip.mp4', { times, seconds: 12 }, { from: 0, to: 12, count: 150 }); } catch (error) { return (error as Error).message; } return ''; })();
    const most = Number(/: (\d+) views can be had\.$/.exec(refusal)?.[1]);
    expect(most, refusal).toBe(50); // 12 s / 0.24 s
    expect(new Set(chooseFrames('clip.mp4', { times, seconds: 12 }, { from: 0, to: 12, count: most })).size).toBe(most);
  });
});

describe('frameNames', () => {
  it.each([
    ['clip.mp4', 90, 'clip-001.png', 'clip-090.png'],
    ['holiday/IMG.0042.MOV', 8, 'IMG.0042-001.png', 'IMG.0042-008.png'],
    ['film', 1200, 'film-0001.png', 'film-1200.png'],
    ['.mp4', 8, 'film-001.png', 'film-008.png'],
  ])('%s, %i views: %s to %s', (name, count, first, last) => {
    const names = frameNames(name, count);
    expect([names[0], names.at(-1)]).toEqual([first, last]);
    expect(naturalOrder(names), 'in natural order').toEqual(names);
    expect([...names].sort(), 'in the order of characters').toEqual(names);
  });
});

test.each([[1920, 1080, 20], [3840, 2160, 5], [7680, 4320, 1], [20000, 20000, 1]])('of %i × %i pixels, %i frames lie decoded at a time in 64 MB', (width, height, most) => {
  const chosen = Array.from({ length: 90 }, (_, k) => 3 * k);
  const batches = inBatches(chosen, width, height, 64e6);
  expect(batches.flat()).toEqual(chosen);
  expect(Math.max(...batches.map(({ length }) => length))).toBe(most);
});
