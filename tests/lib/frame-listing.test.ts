import { expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import type { AnyPlate } from '../../src/widgets/frame/definition.ts';
import { excerpt } from '../../src/widgets/listing/listing.ts';

const models = import.meta.glob<Record<string, AnyPlate>>('../../src/widgets/*/model.ts');

test('a function comes with its comment, and its lines are counted as in the file', () => {
  const { code, file, firstLine, lastLine } = excerpt({ file: 'physics/attenuation.ts', function: 'linearAttenuation' });
  expect(code).toMatch(/^\/\*\* Share of a narrow beam/);
  expect(code).toMatch(/\n}$/);
  expect(code.split('\n')).toHaveLength(lastLine - firstLine + 1);
  expect(file).toBe('src/lib/physics/attenuation.ts');
});

test('a file, a region or a function that is not there stops the build', () => {
  expect(() => excerpt({ file: 'physics/none.ts' })).toThrow('src/lib/physics/none.ts, which does not exist');
  expect(() => excerpt({ file: 'physics/attenuation.ts', region: 'none' })).toThrow('has 0 regions "none"');
  expect(() => excerpt({ file: 'physics/attenuation.ts', function: 'attenuation' })).toThrow('has no function attenuation');
});

test('every listing that a plate names is there', async () => {
  for (const id of chapters.flatMap(({ plates }) => plates)) {
    const load = models[`../../src/widgets/${id}/model.ts`];
    if (!load) continue;
    const plate = Object.values(await load()).find((each) => each?.id === id && typeof each.compute === 'function')!;
    for (const listing of plate.listings ?? []) expect(excerpt(listing).code.length, `${id}: ${listing.file}`).toBeGreaterThan(40);
  }
});
