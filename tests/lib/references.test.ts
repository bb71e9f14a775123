/** The bibliography: nothing cited that is not there, nothing there that nobody cites. */
import { expect, test } from 'vitest';
import { references } from '../../src/widgets/references.ts';
import { bibliography, citedIn, reference } from '../../src/widgets/text/bibliography.ts';
import { attributes, chapterSources, filesUnder, read } from './support/sources.ts';

test('keys are unique and look like kak1988', () => {
  const keys = references.map(({ key }) => key);
  expect(keys.filter((key, place) => keys.indexOf(key) !== place)).toEqual([]);
  for (const key of keys) expect(key).toMatch(/^[a-z][a-z0-9-]*\d{0,4}[a-z]?$/);
});

test('each entry says who, when, what and where', () => {
  for (const { key, authors, year, title, where, doi } of references) {
    expect(authors.trim() && title.trim() && where.trim(), key).toBeTruthy();
    expect(year, key).toBeGreaterThan(1600);
    expect(year, key).toBeLessThan(2030);
    if (doi !== undefined) expect(doi, key).toMatch(/^10\.\d{4,9}\/\S+$/);
    if (new RegExp(`${year}`).test(key) === false && /\d{4}/.test(key)) expect.fail(`${key} names another year than ${year}`);
  }
});

test('the numbers run through the book in the order of the authors', () => {
  expect(bibliography.map(({ number }) => number)).toEqual(references.map((_, place) => place + 1));
  const authors = bibliography.map((entry) => entry.authors);
  expect(authors).toEqual([...authors].sort((a, b) => a.localeCompare(b, 'en')));
});

test.each(chapterSources)('$file cites only what the bibliography has', ({ text }) => {
  const known = new Set(references.map(({ key }) => key));
  expect(attributes(text, 'Cite', 'of').filter((key) => !known.has(key))).toEqual([]);
  expect(citedIn(text).length, 'a chapter leans on somebody').toBeGreaterThan(0);
});

test('nothing stands in the bibliography that neither a chapter nor the code leans on', () => {
  const code = ['src', 'datasets'].flatMap((folder) => filesUnder(folder, /\.(ts|tsx|astro|md)$/)).filter((file) => file !== 'src/widgets/references.ts').map(read).join('\n');
  const cited = new Set(chapterSources.flatMap(({ text }) => citedIn(text)));
  const named = ({ key, authors, title }: (typeof references)[number]) => code.includes(key) || code.includes(authors.split(/[,\s]/)[0]) || code.includes(title);
  expect(references.filter((entry) => !cited.has(entry.key) && !named(entry)).map(({ key }) => key)).toEqual([]);
});

test('an unknown key stops the build with a sentence', () => {
  expect(() => reference('nobody1900')).toThrow('The text cites “nobody1900”, which src/widgets/references.ts does not have.');
});
