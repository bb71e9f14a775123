import { describe, expect, test } from 'vitest';
import fc from 'fast-check';
import { naturalOrder, sortFrames } from '../../src/lib/index.ts';

describe('naturalOrder(names)', () => {
  test.each([
    [['IMG_10.jpg', 'IMG_9.jpg', 'IMG_1.jpg'], ['IMG_1.jpg', 'IMG_9.jpg', 'IMG_10.jpg']],
    [['b/1.png', 'a/10.png', 'a/2.png'], ['a/2.png', 'a/10.png', 'b/1.png']],
    [['v-008.jpg', 'v-8.jpg', 'v-07.jpg'], ['v-07.jpg', 'v-008.jpg', 'v-8.jpg']],
    [['a.png', 'B.png', 'A.png'], ['A.png', 'a.png', 'B.png']],
  ])('%j', (names, expected) => {
    expect(naturalOrder(names)).toEqual(expected);
  });

  test('numbers count whatever surrounds them, and the order does not depend on the order given', () => {
    fc.assert(fc.property(fc.uniqueArray(fc.nat(99999), { maxLength: 30 }), fc.constantFrom('IMG_', '', 'view '), (numbers, before) => {
      const names = numbers.map((n) => `${before}${n}.jpg`);
      const expected = [...numbers].sort((a, b) => a - b).map((n) => `${before}${n}.jpg`);
      expect(naturalOrder(names)).toEqual(expected);
      expect(naturalOrder([...names].reverse())).toEqual(expected);
    }), { seed: 5 });
  });
});

describe('sortFrames(names)', () => {
  test.each([
    ['dark-01.jpg', 'dark'], ['IMG_0003_DARK.JPG', 'dark'], ['darks/IMG_3.jpg', 'dark'], ['DarkField2.png', 'dark'], ['beam off/1.jpg', 'dark'], ['beam_off_1.jpg', 'dark'],
    ['flat.tif', 'flat'], ['flat_3.jpg', 'flat'], ['white-field/4.jpg', 'flat'], ['OpenBeam07.jpg', 'flat'], ['empty.png', 'flat'],
    ['IMG_0001.jpg', 'views'], ['darkroom_01.jpg', 'views'], ['flatiron 3.jpg', 'views'], ['view.heic', 'views'], ['dark/scan/IMG_1.jpg', 'views'], ['a.NEF', 'views'],
    ['scan.json', 'other'], ['notes about dark frames.txt', 'other'], ['._IMG_1.jpg', 'other'], ['__MACOSX/IMG_1.jpg', 'other'],
  ] as const)('%s is counted with %s', (name, kind) => {
    expect(sortFrames([name])[kind]).toEqual([name]);
  });

  test('every name comes back once', () => {
    fc.assert(fc.property(fc.array(fc.constantFrom('a1.jpg', 'dark 2.jpg', 'flat3.png', 'x.txt', 'a10.jpg')), (names) => {
      const { views, dark, flat, other } = sortFrames(names);
      expect([...views, ...dark, ...flat, ...other].sort()).toEqual([...names].sort());
    }), { seed: 6 });
  });
});
