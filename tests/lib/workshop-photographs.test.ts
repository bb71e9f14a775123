/** The sheet for photographs, its plain part: what may happen to a roll, how it becomes a scan file and back, what is made of files that were dropped. */
import fc from 'fast-check';
import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { readScan, scanGeometry, writeScan, type Scan } from '../../src/lib/index.ts';
import { faultsOf, hindrance, outlineOf, remarksOn, volumeHindrance } from '../../src/workshop/photographs/geometry.ts';
import {
  added, anglesOf, begun, changed, edited, emptyRoll, framesOf, moved, placed, placedAt, rectangleBetween, redone, reversed, shifted, sized, stepsInTurn, stepsOf, undone, viewsOf, type Role, type Roll,
} from '../../src/workshop/photographs/model.ts';
import { receive } from '../../src/workshop/photographs/receive.ts';
import { axisKey, lightKey, stepsKey, volumeKey } from '../../src/workshop/photographs/results.ts';
import { rollFrom, scanOf } from '../../src/workshop/photographs/scanfile.ts';
import type { GivenFile } from '../../src/workshop/scan/receive.ts';

const size = { width: 512, height: 384 };
const views = (count: number, role: Role = 'view') => Array.from({ length: count }, (_, k) => ({ name: `${role}-${k + 1}.jpg`, bytes: 1000, role }));
const rollOf = (count: number): Roll => ({ ...added(emptyRoll('a'), [...views(count), ...views(2, 'dark'), ...views(3, 'flat')]), size });
const names = (roll: Roll) => viewsOf(roll).map(({ name }) => name);
const file = (name: string, content = 'x'): GivenFile => { const bytes = new TextEncoder().encode(content); return { name, size: bytes.length, blob: new Blob([bytes]), bytes: async () => bytes }; };

describe('the order of the turn', () => {
  test('45 photographs are taken to go once round in steps of 8°', () => {
    const roll = rollOf(45);
    expect(roll.rig.step).toBe(8);
    expect(anglesOf(roll)).toEqual(Array.from({ length: 45 }, (_, k) => 8 * k));
    expect(stepsInTurn(roll)).toBe(45);
    expect(framesOf(roll, 'flat')).toHaveLength(3);
  });

  test('the step is guessed anew with every photograph, until somebody says what it is', () => {
    const more = added(rollOf(5), views(5));
    expect(more.rig.step).toBe(36);
    expect(changed(more, new Set([1, 2]), { role: 'dark' }).rig.step).toBe(45);
    const { stepGuessed, ...rig } = more.rig;
    expect(added({ ...more, rig: { ...rig, step: 8 } }, views(5)).rig.step).toBe(8);
  });

  test('a view that is left out keeps its step empty: the others keep their angles', () => {
    const roll = changed(rollOf(45), new Set([3]), { out: true });
    expect(anglesOf(roll).slice(0, 4)).toEqual([0, 8, 24, 32]);
    expect(viewsOf(roll)).toHaveLength(44);
  });

  test('a view that is set aside was never a step: those after it follow', () => {
    const roll = changed(rollOf(45), new Set([3]), { role: 'aside' });
    expect(anglesOf(roll).slice(0, 3), 'and as the step was a guess, it is 44 views once round').toEqual([0, 8.181818, 16.363636]);
  });

  test('a step that the reader gives moves all views after it', () => {
    const roll = placedAt(rollOf(10), 4, 5);
    expect([...stepsOf(roll).values()]).toEqual([0, 1, 2, 5, 6, 7, 8, 9, 10, 11]);
  });

  test('steps that were found stand until the order is changed', () => {
    const found = placed(rollOf(8), [0, 2, 3, 4, 6, 7, 8, 9]);
    expect(anglesOf(found).slice(0, 3)).toEqual([0, 90, 135]);
    expect([...stepsOf(shifted(found, new Set([2]), 1)).values()], 'an old answer would put the wrong photographs at these steps').toEqual([0, 1, 2, 3, 4, 5, 6, 7]);
    expect(placed(found, undefined)).toEqual(rollOf(8));
  });

  test('steps found for the views that are used leave those left out alone', () => {
    const roll = placed(changed(rollOf(10), new Set([1]), { out: true }), [3, 4, 5, 6, 7, 8, 9, 10, 11]);
    expect(anglesOf(roll)[0]).toBe(3 * 36);
  });

  test('photographs are moved to where they are dropped, and later or earlier among their kind', () => {
    const roll = rollOf(5);
    expect(names(moved(roll, new Set([1]), 3))).toEqual(['view-2.jpg', 'view-3.jpg', 'view-4.jpg', 'view-1.jpg', 'view-5.jpg']);
    expect(names(shifted(roll, new Set([2, 3]), 1))).toEqual(['view-1.jpg', 'view-4.jpg', 'view-2.jpg', 'view-3.jpg', 'view-5.jpg']);
    expect(names(shifted(roll, new Set([2, 3]), -1))).toEqual(['view-2.jpg', 'view-3.jpg', 'view-1.jpg', 'view-4.jpg', 'view-5.jpg']);
    expect(shifted(roll, new Set([1]), -1), 'the first has nowhere earlier to go').toBe(roll);
    expect(names(reversed(roll))).toEqual(['view-5.jpg', 'view-4.jpg', 'view-3.jpg', 'view-2.jpg', 'view-1.jpg']);
  });

  test('no move loses or doubles a photograph', () => {
    fc.assert(fc.property(fc.uniqueArray(fc.integer({ min: 1, max: 17 })), fc.integer({ min: -3, max: 20 }), (ids, place) => {
      const roll = rollOf(12);
      const after = moved(roll, new Set(ids), place).frames.map(({ id }) => id);
      return [...after].sort((a, b) => a - b).join() === roll.frames.map(({ id }) => id).join();
    }));
  });

  test('whatever was done can be undone, step by step, and done again', () => {
    const acts: ((roll: Roll) => Roll)[] = [
      (roll) => changed(roll, new Set([2]), { out: true }), (roll) => shifted(roll, new Set([1]), 1), reversed,
      (roll) => ({ ...roll, rig: { ...roll.rig, pitch: 0.25 } }), (roll) => added(roll, views(1)),
    ];
    fc.assert(fc.property(fc.array(fc.integer({ min: 0, max: acts.length - 1 }), { maxLength: 30 }), (list) => {
      let history = begun(rollOf(9));
      for (const k of list) history = edited(history, acts[k]);
      const last = history.now;
      const far = history.past.length;
      for (let k = 0; k < far; k++) history = undone(history);
      expect(history.now).toEqual(rollOf(9));
      for (let k = 0; k < far; k++) history = redone(history);
      expect(history.now).toEqual(last);
    }));
  });

  test('typing into one field is one step back', () => {
    const typed = edited(edited(begun(rollOf(9)), (roll) => ({ ...roll, title: 'A' })), (roll) => ({ ...roll, title: 'AB' }), true);
    expect(undone(typed).now.title).toBe('');
  });
});

describe('the scan file', () => {
  const capsule = readScan(readFileSync(new URL('../../datasets/capsule/scan.json', import.meta.url), 'utf8'));
  const atHand = (scan: Scan, folder = '') => (scan.frames.kind === 'photographs' ? [...scan.frames.files, ...(scan.frames.dark ?? []), ...(scan.frames.flat ?? [])] : []).map((name) => ({ name: folder + name, size: 10 }));
  const rolled = (scan: Scan, folder = '', files = atHand(scan, folder)) => {
    const { roll, frames } = rollFrom(scan, `${folder}scan.json`, files, emptyRoll('a'));
    return added({ ...roll, frames: [] }, frames);
  };

  test('of the capsule comes back as it was, but for the size of the volume, which the sheet states', () => {
    const { reconstruction, ...back } = scanOf(rolled(capsule));
    expect(back).toEqual(capsule);
    expect(reconstruction).toEqual({ method: 'fbp', window: 'ramp', size: 160 });
  });

  test('finds its photographs in the folder that was dropped', () => {
    expect(viewsOf(rolled(capsule, 'my scans/capsule/'))[1].name).toBe('my scans/capsule/views/view-003.jpg');
    expect(rolled(capsule, '', atHand(capsule).map(({ name, size: bytes }) => ({ name: name.slice(name.lastIndexOf('/') + 1), size: bytes }))).frames, 'and by their last names alone').toHaveLength(51);
  });

  test('says which photographs are not there', () => {
    expect(() => rolled(capsule, '', atHand(capsule).slice(2))).toThrow('scan.json names views/view-001.jpg and 1 more, which were not dropped with it');
  });

  test('is refused with the page that takes it when it is not of photographs', () => {
    expect(() => rollFrom({ ...capsule, frames: { kind: 'line-integrals', file: 'a.npy' } }, 'scan.json', [], emptyRoll('a'))).toThrow(/^scan\.json describes line integrals/);
  });

  test('angles in a list become steps, and a list again', () => {
    const list = [10, 18, 26, 42, 50, 58, 66, 74];
    const scan: Scan = { ...capsule, angles: { list }, frames: { kind: 'photographs', encoding: 'srgb', files: views(8).map(({ name }) => name) } };
    const roll = rolled(scan);
    expect(roll.rig).toMatchObject({ start: 10, step: 8 });
    expect([...stepsOf(roll).values()]).toEqual([0, 1, 2, 4, 5, 6, 7, 8]);
    expect(scanOf(roll).angles).toEqual({ list });
  });

  test.each(['counterclockwise', 'clockwise'] as const)('angles that fall, of a source that goes %s, are a turn the other way', (turn) => {
    const scan: Scan = { ...capsule, turn, angles: { list: [0, -45, -90, -135, -180, -225, -270, -315] }, frames: { kind: 'photographs', encoding: 'srgb', files: views(8).map(({ name }) => name) } };
    expect(scanGeometry(scanOf(rolled(scan))).angles.map((angle) => angle.toFixed(6))).toEqual(scanGeometry(scan).angles.map((angle) => angle.toFixed(6)));
  });

  test('any roll is written as a scan file that can be read, with the angles of its views', () => {
    const roll = fc.record({
      out: fc.uniqueArray(fc.integer({ min: 1, max: 20 }), { maxLength: 8 }), step: fc.constantFrom(4, 7.5, 8, 12), start: fc.constantFrom(0, 33), crop: fc.boolean(), mirrored: fc.boolean(),
      turn: fc.constantFrom('clockwise', 'counterclockwise'), bin: fc.integer({ min: 1, max: 4 }), offset: fc.option(fc.constantFrom(-1.5, 0.25), { nil: undefined }),
    });
    fc.assert(fc.property(roll, ({ out, step, start, crop, mirrored, turn, bin, offset }) => {
      const base = rollOf(20);
      const now: Roll = {
        ...changed(base, new Set(out), { out: true }), title: 'Any',
        rig: { ...base.rig, step, start, mirrored, turn: turn as 'clockwise' }, light: { ...base.light, bin, ...(crop ? { crop: { left: 10, top: 20, width: 400, height: 300 } } : {}) }, axis: offset === undefined ? {} : { offset },
      };
      const scan = readScan(writeScan(scanOf(now)));
      const sign = turn === 'clockwise' ? -1 : 1;
      expect(scanGeometry(scan).angles.map((angle) => Number(((sign * angle * 180) / Math.PI).toFixed(4)))).toEqual(anglesOf(now));
      expect(scan.frames.kind === 'photographs' && scan.frames.files).toEqual(names(now));
    }));
  });
});

describe('what was dropped', () => {
  const got = (files: GivenFile[], present?: Roll) => receive(files, present, new Map(), 'new');

  test('photographs become views, dark and flat frames by their names, in natural order', async () => {
    const { roll, fresh, unused } = await got(['scan/IMG_10.JPG', 'scan/IMG_9.JPG', 'scan/dark/IMG_1.JPG', 'scan/flat-2.jpg', 'scan/notes.txt', 'scan/.DS_Store'].map((name) => file(name)));
    expect(viewsOf(roll).map(({ name }) => name)).toEqual(['scan/IMG_9.JPG', 'scan/IMG_10.JPG']);
    expect(framesOf(roll, 'dark')).toHaveLength(1);
    expect(framesOf(roll, 'flat')).toHaveLength(1);
    expect(unused).toEqual(['scan/notes.txt']);
    expect(fresh).toHaveLength(4);
    expect(roll.title).toBe('scan');
  });

  test('more photographs join those that are there, and do not change the step', async () => {
    const { stepGuessed, ...rig } = rollOf(8).rig;
    const before: Roll = { ...rollOf(8), rig: { ...rig, step: 8 } };
    const { roll, fresh } = await got([file('dark-9.jpg')], before);
    expect(roll.id).toBe('a');
    expect(framesOf(roll, 'dark')).toHaveLength(3);
    expect(fresh.map(({ frame }) => frame.name)).toEqual(['dark-9.jpg']);
    expect(roll.rig.step).toBe(8);
    expect(new Set(roll.frames.map(({ id }) => id)).size, 'two photographs under one number').toBe(roll.frames.length);
  });

  test('a scan file with its photographs begins a scan of its own', async () => {
    const scan = { format: 'scan', version: 1, title: 'Egg', beam: { shape: 'cone', sourceToAxis: 300, sourceToDetector: 400 }, detector: { pitch: 0.5, columns: 64, rows: 48 }, angles: { step: 45, count: 8 }, frames: { kind: 'photographs', encoding: 'srgb', files: views(8).map(({ name }) => name) } };
    const { roll, scanName } = await got([file('egg/scan.json', JSON.stringify(scan)), ...views(8).map(({ name }) => file(`egg/${name}`))], rollOf(9));
    expect(roll.id).toBe('new');
    expect(roll.title).toBe('Egg');
    expect(scanName).toBe('egg/scan.json');
  });

  test.each([
    ['nothing', [], /^Nothing that could be opened was dropped/],
    ['a text', [file('letter.txt')], /^letter\.txt is not a photograph/],
    ['a broken scan file', [file('scan.json', '{"format": "scan",'), file('a.jpg')], /^scan\.json: This scan file is not JSON/],
  ])('%s gets one sentence', async (_, files, sentence) => {
    await expect(got(files)).rejects.toThrow(sentence);
  });

  test('JSON of another kind beside the photographs is passed over', async () => {
    const { roll } = await got([file('camera.json', '{"iso": 100}'), ...views(8).map(({ name }) => file(name))]);
    expect(viewsOf(roll)).toHaveLength(8);
  });
});

describe('what stands in the way, and what is remarked', () => {
  test('nothing, of a scan in order', () => {
    expect(volumeHindrance(rollOf(45))).toBeUndefined();
    expect(Object.values(faultsOf(rollOf(45))).filter(Boolean)).toEqual([]);
  });

  test.each<[string, (roll: Roll) => Roll, RegExp]>([
    ['too few views', () => rollOf(7), /there are 7 views, and at least 8/],
    ['a screen before the axis', (roll) => ({ ...roll, rig: { ...roll.rig, sourceToDetector: 300 } }), /at least 350 mm/],
    ['no step', (roll) => ({ ...roll, rig: { ...roll.rig, step: 0 } }), /above 0° and up to 180°/],
    ['a crop beside the photograph', (roll) => ({ ...roll, light: { ...roll.light, crop: { left: 500, top: 0, width: 100, height: 100 } } }), /within the 512 × 384 pixels/],
    ['a part that does not reach the axis', (roll) => ({ ...roll, light: { ...roll.light, crop: { left: 300, top: 0, width: 200, height: 384 } } }), /does not reach the axis/],
    ['a volume beyond the memory', (roll) => ({ ...roll, volume: { ...roll.volume, size: 1024 } }), /would take .* would fit/],
  ])('%s', (_, change, sentence) => {
    expect(volumeHindrance(change(rollOf(45)))).toMatch(sentence);
  });

  test('a volume too large does not keep the light from being looked at', () => {
    expect(hindrance({ ...rollOf(45), volume: { ...rollOf(45).volume, size: 1024 } })).toBeUndefined();
  });

  test('a turn that is five views short is remarked, with the number', () => {
    const roll = { ...rollOf(40), rig: { ...rollOf(40).rig, step: 8 } };
    expect(remarksOn(roll, outlineOf(roll)).map(({ sentence }) => sentence).join(' ')).toContain('40 views in steps of 8° are 5 short of a whole turn');
  });

  test('pixels are put together until the frames are at most 512 wide', () => {
    expect(sized(rollOf(45), { width: 4000, height: 3000 }, true).light.bin).toBe(8);
  });

  test('a rectangle drawn backwards and beyond the edge lies within the photograph', () => {
    expect(rectangleBetween([400.4, -5], [100.2, 60], size)).toEqual({ left: 100, top: 0, width: 300, height: 60 });
  });

  test('what was made is known to be old when, and only when, something it hangs on has changed', () => {
    const roll = rollOf(45);
    const turned = { ...roll, rig: { ...roll.rig, turn: 'clockwise' as const } };
    expect(lightKey(turned)).toBe(lightKey(roll));
    expect(axisKey(turned)).not.toBe(axisKey(roll));
    const larger = { ...roll, volume: { ...roll.volume, size: 200 } };
    expect(axisKey(larger)).toBe(axisKey(roll));
    expect(volumeKey(larger)).not.toBe(volumeKey(roll));
    expect(stepsKey(placedAt(roll, 3, 7)), 'the search does not hang on its own answer').toBe(stepsKey(roll));
    expect(lightKey(changed(roll, new Set([5]), { out: true }))).not.toBe(lightKey(roll));
    expect(volumeKey({ ...roll, title: 'Other' })).toBe(volumeKey(roll));
  });
});
