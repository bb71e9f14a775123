import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { planToScan, readDelimited, resumeAt, runSheet, runTimes, stageTable, stepTableCsv, type XrayPlan, type SheetOptions, type RunSheet } from '../../src/lib/index.ts';
import { refusal } from './support/bad-input.ts';

const capsule = JSON.parse(readFileSync(new URL('../../datasets/capsule/plan.json', import.meta.url), 'utf8')) as XrayPlan;
const sheet = runSheet(capsule);
const hot: XrayPlan = { ...capsule, tube: { ...capsule.tube, mA: 2 } };
const { heatLimit: _, coolingTime: __, ...unknownTube } = capsule.tube;
const words = (of: RunSheet) => [...of.cautions, ...of.checks.flatMap(({ heading, lines }) => [heading, ...lines]), ...of.darkAndFlat, ...of.rests, ...of.notes.map(({ what, planned = '' }) => `${what}: ${planned}`), ...of.resume, ...resumeAt(of, 2)];

const seed = { seed: 20250402, numRuns: 60 };
const real = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const anyPlan: fc.Arbitrary<XrayPlan> = fc.record({ mA: real(0.01, 3), limit: real(500, 5000), cooling: real(20, 900), seconds: real(0.01, 4), count: fc.integer({ min: 2, max: 60 }), each: fc.integer({ min: 1, max: 3 }), turn: fc.constantFrom(180, 203.5, 360), start: real(-90, 90), rest: fc.option(real(0, 20), { nil: undefined }), stage: fc.boolean() })
  .map(({ mA, limit, cooling, seconds, count, each, turn, start, rest, stage }) => ({
    ...capsule, tube: { ...capsule.tube, mA, heatLimit: limit, coolingTime: cooling }, exposure: { seconds, frames: each, ...(rest !== undefined && { rest }) }, views: { count, turn, start }, stage: stage ? capsule.stage : undefined,
  }));
const anyOptions: fc.Arbitrary<SheetOptions> = fc.record({ dark: fc.integer({ min: 0, max: 6 }), flat: fc.integer({ min: 0, max: 6 }), settle: real(0, 3), lead: real(0, 1), saving: real(0, 3), handling: real(0, 600), fraction: real(0.2, 1) });

/** The sheet, or undefined where the plan is refused: some of these tubes melt. */
function sheetOf(plan: XrayPlan, options: SheetOptions): RunSheet | undefined {
  try {
    return runSheet(plan, options);
  } catch (error) {
    expect((error as Error).name).toBe('BadInput');
    return undefined;
  }
}

/** Heat from the equation itself in small steps of time, over the sheet's own times. The greatest, J. */
function peakBySteps(frames: RunSheet['frames'], power: number, tau: number, start = 0): number {
  let [heat, peak, now] = [start, start, frames[0].begins];
  const run = (watt: number, time: number) => {
    const steps = Math.max(1, Math.ceil((time / tau) * 500));
    for (let k = 0; k < steps; k++) heat += (time / steps) * (watt - (heat + (time / steps / 2) * (watt - heat / tau)) / tau);
    peak = Math.max(peak, heat);
  };
  for (const { begins, ends, beam } of frames) {
    if (begins > now) run(0, begins - now);
    run(beam ? power : 0, ends - begins);
    now = ends;
  }
  return peak;
}

describe('runSheet(plan)', () => {
  test('the capsule: dark, flat, 45 views, flat, dark; 14 min in all, 55 s of it with the beam on', () => {
    const kinds = sheet.frames.map(({ kind }) => kind).join(' ').replace(/(\w+)( \1)*/g, '$1');
    expect(kinds).toBe('dark flat view flat dark');
    expect(['dark', 'flat', 'view'].map((kind) => sheet.frames.filter((frame) => frame.kind === kind).length)).toEqual([10, 10, 45]);
    expect(sheet.beamOn).toBe(55);
    expect(sheet.total).toBe(sheet.frames[64].ends);
    expect(Math.round(sheet.total / 60)).toBe(14);
    expect(sheet.peakShare).toBeCloseTo(0.115, 3);
  });
  test('names, angles and positions of the views are those of the scan file and of the step table', () => {
    const views = sheet.frames.filter(({ kind }) => kind === 'view');
    const { files } = planToScan(capsule).frames as { readonly files: readonly string[] };
    expect(views.map(({ name }) => `views/${name}.png`)).toEqual(files);
    expect(views.map(({ position }) => position)).toEqual(stageTable(capsule.stage!, 45).rows.map(({ position }) => position));
    // M3 of the step table: 3200 sixteenths in 45 views (public stepper calculators and arithmetic).
    expect(views.slice(0, 10).map(({ position }) => position)).toEqual([0, 71, 142, 213, 284, 356, 427, 498, 569, 640]);
    expect(views.map(({ angle }) => angle)).toEqual(Array.from({ length: 45 }, (_, k) => 8 * k));
  });
  test('any plan: in the order of time, no two at once, each after its rest; numbers and names tell frames apart', () => {
    let made = 0;
    fc.assert(fc.property(anyPlan, anyOptions, (plan, options) => {
      const found = sheetOf(plan, options);
      if (!found) return;
      made++;
      const { frames, times } = found;
      frames.forEach((frame, k) => {
        expect(frame.ends - frame.begins).toBeCloseTo(times.seconds, 6);
        if (k === 0) return;
        expect(frame.begins).toBeGreaterThanOrEqual(frames[k - 1].ends);
        expect(frame.begins - frames[k - 1].ends).toBeCloseTo(frame.restBefore, 6);
        if (frame.beam && frames[k - 1].beam) expect(frame.restBefore).toBeGreaterThanOrEqual(times.rest - 1e-9);
        if (plan.exposure.rest !== undefined && frame.beam && frames[k - 1].beam) expect(frame.restBefore).toBeGreaterThanOrEqual(plan.exposure.rest - 1e-9);
        if (frame.position !== undefined && (frames[k - 1].position ?? frame.position) !== frame.position) expect(frame.restBefore).toBeGreaterThanOrEqual(times.rest + times.settle + (frame.position - frames[k - 1].position!) * times.stepTime - 1e-6);
      });
      expect(new Set(frames.map(({ name }) => name)).size).toBe(frames.length);
      expect(frames.filter(({ kind }) => kind === 'view').map(({ number }) => number)).toEqual(Array.from({ length: times.exposures }, (_, k) => k + 1));
      expect(found.total).toBe(frames[frames.length - 1].ends);
      expect(frames.every(({ position }, k) => (frames[k].kind === 'view' && plan.stage ? Number.isInteger(position) : position === undefined))).toBe(true);
    }), seed);
    expect(made).toBeGreaterThan(20);
  });
  test('any plan: the tube stays below its limit, by the equation in small steps over the times of the sheet', () => {
    let [rested, made] = [0, 0];
    fc.assert(fc.property(anyPlan, anyOptions, (plan, options) => {
      const found = sheetOf(plan, options);
      if (!found) return;
      made++;
      const { limit, coolingTime } = found.times.tube!;
      const peak = peakBySteps(found.frames, found.times.power, coolingTime);
      expect(peak).toBeLessThanOrEqual(found.peakHeat! * 1.0001);
      expect(peak).toBeLessThanOrEqual(limit * (plan.exposure.rest === undefined ? found.times.fraction : 1) * 1.0001);
      if (found.times.rest > found.times.saving) rested++;
    }), seed);
    expect([made > 20, rested > 5]).toEqual([true, true]);
  });
  test('a hot tube rests: the sheet is long, says so, and half of the limit is kept to, flats too', () => {
    const found = runSheet(hot);
    expect(found.times.rest).toBeGreaterThan(30);
    expect(found.peakShare).toBeLessThanOrEqual(0.5);
    expect(found.rests[0]).toContain(`${found.times.rest} s of rest`);
  });
  test('a rest of the plan’s own that is more than the tube can take is refused with one that is enough; one above half is warned of', async () => {
    const says = await refusal(() => runSheet({ ...hot, exposure: { seconds: 1, rest: 2 } }));
    expect(says).toMatch(/^exposure\.rest is 2 s, and views and flats would take the tube to \d+ % of its limit: leave at least [\d.]+ s/);
    const least = Number(/at least ([\d.]+) s/.exec(says)![1]);
    expect(runSheet({ ...hot, exposure: { seconds: 1, rest: least } }).cautions).toHaveLength(3);
    const warned = runSheet({ ...hot, exposure: { seconds: 1, rest: least / 2 } });
    expect(warned.cautions[3]).toMatch(/takes the tube to \d+ % of its limit by estimate; 50 % is what this sheet would use/);
  });
});

describe('the words of the sheet', () => {
  const all = words(sheet).join('\n');
  test.each(['interlock', 'warning light', 'dosimeter', 'meter', 'Nobody is in the room', '4000 mm', '2 mm of lead', 'local law|law of th', 'licen[sc]e', 'signature', 'discharged and earthed', '100 kV kills', 'maker’s charts', 'locked', 'lamp', 'kV', 'mA', 'Frames lost'])('speak of %s', (word) => expect(all).toMatch(new RegExp(word)));
  test('never say that anything is safe', () => {
    for (const of of [sheet, runSheet(hot), runSheet({ ...capsule, room: undefined, stage: undefined, tube: unknownTube })]) {
      const claims = words(of).filter((line) => /\bsafe(ly|r)?\b|harmless|no danger|no risk/i.test(line));
      expect(claims.filter((line) => !/makes nothing safe|none of its figures says that anything is safe/.test(line))).toEqual([]);
    }
  });
  test('a plan without room, limits of the tube, or stage says what that means', () => {
    const bare = words(runSheet({ ...capsule, room: undefined, stage: undefined, tube: unknownTube })).join('\n');
    for (const part of ['The plan says nothing of the room', 'the rests of this sheet protect it from nothing', 'turned by hand']) expect(bare).toContain(part);
    expect(bare).not.toContain('µSv in this run');
  });
  test('the estimate of dose counts the flats, and prints its high end alone', () => {
    const line = (options: SheetOptions) => Number(/as much as ([\d.]+) µSv in this run/.exec(words(runSheet(capsule, options)).join('\n'))![1]);
    expect(line({ flat: 45 }) / line({ flat: 0 })).toBeCloseTo(3, 1);
  });
  test('the table turns the other way than the source goes round', () => {
    expect(words(sheet).join()).toContain('The table turns clockwise');
    expect(words(runSheet({ ...capsule, views: { count: 45, direction: 'clockwise' } })).join()).toContain('The table turns counterclockwise');
  });
});

describe('resumeAt(sheet, frame)', () => {
  test.each(sheet.frames.filter(({ kind }) => kind === 'view').map(({ number, name, angle, position }) => [number, name, angle!, position!] as const))('frame %d', (number, name, angle, position) => {
    const says = resumeAt(sheet, number).join('\n');
    expect(says).toContain(`${position} microsteps forwards, to ${angle}°`);
    expect(says).toContain(`frame ${number} (${name}) is taken again`.replace(/^f/, number > 1 ? 'F' : 'f'));
    expect(says).toContain(number > 1 ? `The last whole frame is ${number - 1} (view-${String(number - 1).padStart(3, '0')})` : 'No frame of the views is whole yet');
    expect(says).toMatch(/cools for at least [\d.]+ s/);
    expect(says).toContain('Object, camera, screen and source stand where they stood');
  });
  test.each([0, 46, 1.5])('frame %d is not on the sheet', (frame) => expect(() => resumeAt(sheet, frame)).toThrow('its frames of views are 1 to 45.'));
  test('any plan, upset at any frame at the end of its exposure, any number of times: cooled as long as it says, the tube stays as low as ever', () => {
    let tried = 0;
    fc.assert(fc.property(anyPlan, anyOptions, fc.nat(), fc.integer({ min: 1, max: 4 }), (plan, options, at, times) => {
      const found = sheetOf(plan, options);
      if (!found) return;
      const { power, tube, fraction, seconds } = found.times;
      const k = found.frames.findIndex(({ kind }) => kind === 'view') + (at % found.times.exposures);
      const top = Math.max(found.peakHeat!, fraction * tube!.limit);
      // The heat after frame k as planned; then cut short at its end again and again, each time after the cooling.
      let heat = found.frames[k].heat!;
      const decay = (time: number) => Math.exp(-time / tube!.coolingTime);
      for (let n = 1; n < times; n++) heat = heat * decay(found.frames[k].cool!) * decay(seconds) + power * tube!.coolingTime * (1 - decay(seconds));
      expect(heat).toBeLessThanOrEqual(top * (1 + 1e-9));
      const rest = found.frames.slice(k);
      expect(peakBySteps(rest, power, tube!.coolingTime, heat * decay(rest[0].cool!))).toBeLessThanOrEqual(top * 1.0001);
      expect(rest[0].cool!).toBeGreaterThanOrEqual(found.times.rest);
      tried++;
    }), { ...seed, numRuns: 100 });
    expect(tried).toBeGreaterThan(30);
  });
  test('a tube of which nothing is known is left to the maker’s charts', () => {
    expect(resumeAt(runSheet({ ...capsule, tube: unknownTube }), 3).join()).toContain('it cools for as long as the maker’s charts ask');
  });
});

describe('stepTableCsv(plan)', () => {
  test.each<[string, XrayPlan]>([['the capsule', capsule], ['two exposures a view, from −30°', { ...capsule, views: { count: 44, turn: 203.5, start: -30 }, exposure: { seconds: 1, frames: 2 } }]])('%s, read back: the sheet’s times, the step table’s positions', (_, plan) => {
    const text = stepTableCsv(plan);
    expect(text.split('\n')[0]).toBe('frame,time (s),angle wanted (degrees),position (microsteps),angle reached (degrees),error (degrees)');
    const { rows, columns, data } = readDelimited(text);
    const views = runSheet(plan).frames.filter(({ kind }) => kind === 'view');
    const table = stageTable(plan.stage!, plan.views.count, ((plan.views.turn ?? 360) * Math.PI) / 180);
    expect([rows, columns]).toEqual([views.length, 6]);
    views.forEach((frame, k) => {
      const [number, time, wanted, position, reached, error] = data.subarray(6 * k, 6 * k + 6);
      expect([number, position]).toEqual([frame.number, table.rows[frame.view! - 1].position]);
      expect(time).toBeCloseTo(frame.begins, 2);
      expect(wanted).toBeCloseTo(frame.angle!, 4);
      expect(reached).toBeCloseTo((plan.views.start ?? 0) + (position * 360) / 3200, 4);
      expect(error).toBeCloseTo(reached - wanted, 4);
      expect(Math.abs(error)).toBeLessThanOrEqual(180 / 3200 + 1e-6);
    });
  });
  test('without a stage there is none', async () => expect(await refusal(() => stepTableCsv({ ...capsule, stage: undefined }))).toContain('stage is missing'));
});

test.each<[what: string, call: () => unknown, says: string]>([
  ['half a dark frame', () => runTimes(capsule, { dark: 0.5 }), 'The dark of a run is 0.5'],
  ['a negative time', () => runTimes(capsule, { settle: -1 }), 'The settle of a run is -1'],
  ['no number', () => runTimes(capsule, { lead: NaN }), 'The lead of a run is NaN'],
  ['none of the limit', () => runTimes(capsule, { fraction: 0 }), 'The share of the limit that may be used is 0'],
  ['a sheet of a thousand pages', () => runSheet({ ...capsule, views: { count: 3000 }, exposure: { seconds: 1, frames: 100 } }), '300000 exposures'],
  ['an exposure that melts the tube by itself', () => runSheet({ ...capsule, exposure: { seconds: 3000 } }), 'No rest between exposures is enough'],
])('%s is refused in a sentence', (_, call, says) => expect(call).toThrow(says));
