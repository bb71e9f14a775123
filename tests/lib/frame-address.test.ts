import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { readAddress, writeAddress } from '../../src/widgets/frame/address.ts';
import { definePlate, type AnyControlOf, type AnyPlate, type State } from '../../src/widgets/frame/definition.ts';
import { bounds, clean, decimals, inWords, onStep } from '../../src/widgets/frame/settings.ts';

const sample = definePlate<{ views: number; view: number; gain: number; window: string; noise: boolean; formula: string; size: number }, null>({
  id: 'sample', title: 'A sample',
  initial: { views: 12, view: 3, gain: 0.5, window: 'hann', noise: false, formula: 'cos(f)', size: 128 },
  controls: {
    views: { kind: 'range', label: 'Views', min: 4, max: 360, step: 1 },
    view: { kind: 'range', label: 'View', min: 1, max: ({ views }) => views, step: 1 },
    gain: { kind: 'range', label: 'Gain', min: -1, max: 2, step: 0.05, unit: 'dB' },
    window: { kind: 'choice', label: 'Window', options: [{ value: 'hann', label: 'Hann' }, { value: 'ramp', label: 'ramp' }] },
    noise: { kind: 'toggle', label: 'Noise' },
    formula: { kind: 'text', label: 'Formula', maxLength: 40 },
    size: { kind: 'choice', label: 'Size', options: [{ value: 64, label: '64' }, { value: 128, label: '128' }] },
  },
  compute: () => null,
  describe: () => '',
});

const models = import.meta.glob<Record<string, AnyPlate>>('../../src/widgets/*/model.ts');
const inTheBook = chapters.flatMap(({ plates }) => plates).filter((id) => `../../src/widgets/${id}/model.ts` in models);
const plateOf = async (id: string) => Object.values(await models[`../../src/widgets/${id}/model.ts`]()).find((each) => each?.id === id && typeof each.compute === 'function')!;

/** Wishes of every sort for a plate's settings; clean() makes them whole. */
const wishes = (plate: AnyPlate) => fc.record(Object.fromEntries(Object.entries<AnyControlOf<State>>(plate.controls).map(([name, control]) => [name,
  control.kind === 'range' ? fc.double({ min: bounds(control, plate.initial).min - 5, max: bounds(control, plate.initial).max + 5 })
  : control.kind === 'choice' ? fc.constantFrom(...control.options.map(({ value }) => value))
  : control.kind === 'toggle' ? fc.boolean()
  : fc.string({ maxLength: 60, unit: 'binary' })])));

describe('settings in the address', () => {
  test.each(['sample', ...inTheBook])('of plate %s come back as they were', async (id) => {
    const plate: AnyPlate = id === 'sample' ? sample : await plateOf(id);
    fc.assert(fc.property(wishes(plate), (wish) => {
      const state = clean(plate, wish);
      expect(readAddress(plate, writeAddress(plate, state, '?other=1'))).toEqual(state);
    }), { seed: 5, numRuns: 100 });
  });

  test('leave out what stands as it started, and leave everything else alone', () => {
    expect(writeAddress(sample, sample.initial, '?turning.angle=4&sample.views=90')).toBe('?turning.angle=4');
    expect(writeAddress(sample, { ...sample.initial, views: 45, noise: true }, '')).toBe('?sample.views=45&sample.noise=on');
    expect(writeAddress(sample, sample.initial, '')).toBe('');
  });

  test.each([
    ['?sample.views=3', 'a number below its range'], ['?sample.views=361', 'a number above its range'], ['?sample.views=NaN', 'no number'],
    ['?sample.views=', 'nothing'], ['?sample.views=1e2', 'a number in another spelling'], ['?sample.views=Infinity', 'infinity'], ['?sample.window=welch', 'an option that there is not'],
    ['?sample.noise=1', 'a toggle that is neither on nor off'], [`?sample.formula=${'x'.repeat(41)}`, 'a text that is too long'], ['?sample.view=13', 'a view beyond the number of views'],
    ['?sample.toString=1', 'a setting that there is not'], ['?views=90', 'another plate’s setting'],
  ])('%s (%s) counts as absent', (search) => {
    expect(readAddress(sample, search)).toEqual(sample.initial);
  });

  test('a bound that follows another setting follows the one in the address', () => {
    expect(readAddress(sample, '?sample.view=300&sample.views=360')).toMatchObject({ view: 300, views: 360 });
  });
});

describe('clean(plate, wish)', () => {
  test('always gives settings that every control can hold, and changes them no more', () => {
    fc.assert(fc.property(fc.record({ views: fc.anything(), view: fc.anything(), gain: fc.oneof(fc.double(), fc.anything()), window: fc.anything(), noise: fc.anything(), formula: fc.anything(), size: fc.anything() }), (wish) => {
      const state = clean(sample, wish);
      expect(Object.keys(state).sort()).toEqual(Object.keys(sample.initial).sort());
      expect(state.views).toSatisfy((views: number) => Number.isInteger(views) && views >= 4 && views <= 360);
      expect(state.view).toSatisfy((view: number) => view >= 1 && view <= (state.views as number));
      expect(clean(sample, state)).toEqual(state);
    }), { seed: 6 });
  });
});

test('onStep(control, state, value) puts a value on the scale without the dust of floating point', () => {
  expect(onStep(sample.controls.gain as never, sample.initial, 0.1 + 0.2)).toBe(0.3);
  expect(onStep(sample.controls.gain as never, sample.initial, 1.98)).toBe(2);
  expect(onStep(sample.controls.gain as never, sample.initial, -7)).toBe(-1);
  expect(decimals(0.25)).toBe(2);
  expect(decimals(1e-6)).toBe(6);
  expect(decimals(5)).toBe(0);
});

test('inWords(control, state, value) has a true minus and a thin space before the unit', () => {
  expect(inWords(sample.controls.gain as never, sample.initial, -0.5)).toBe('−0.5\u202fdB');
});
