/** The glossary and the symbols: no term without an explanation, no explanation that nobody leans on. */
import katex from 'katex';
import { describe, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { glossary } from '../../src/widgets/glossary.ts';
import { symbols } from '../../src/widgets/symbols.ts';
import { inOrder, keyOf, term } from '../../src/widgets/text/terms.ts';
import { markdown } from '../../src/widgets/text/markdown.ts';
import { attributes, chapterSources, filesUnder, read } from './support/sources.ts';

test('keys and names are unique', () => {
  for (const list of [glossary.map(({ key }) => key), glossary.map(({ name }) => keyOf(name))]) {
    expect(list.filter((entry, place) => list.indexOf(entry) !== place)).toEqual([]);
  }
  for (const { key } of glossary) expect(key).toBe(keyOf(key));
});

test('the glossary is in the order of the alphabet', () => {
  expect(inOrder).toHaveLength(glossary.length);
  expect(inOrder.map(({ name }) => name.toLowerCase())).toEqual(glossary.map(({ name }) => name.toLowerCase()).sort((a, b) => a.localeCompare(b, 'en')));
});

test.each(chapterSources)('$file explains only terms that the glossary has', ({ text }) => {
  for (const name of attributes(text, 'Term', 'of')) expect(() => term(name)).not.toThrow();
});

test('every term is one that the reader meets: in a chapter, on a plate, in the workshop or in another entry', () => {
  const met = [...chapterSources.map(({ text }) => text), ...['src/widgets', 'src/workshop', 'src/pages'].flatMap((folder) => filesUnder(folder, /\.(ts|tsx|astro)$/)).filter((file) => file !== 'src/widgets/glossary.ts').map(read)]
    .join('\n').toLowerCase().replace(/[-\s]+/g, ' ');
  const leaned = new Set(chapterSources.flatMap(({ text }) => attributes(text, 'Term', 'of').map((name) => term(name).key)));
  const linked = new Set(glossary.flatMap(({ explains }) => [...explains.matchAll(/\]\(#([^)]+)\)/g)].map((match) => match[1])));
  const named = ({ name }: { name: string }) => met.includes(name.toLowerCase().replace(/\(.*\)/, '').replace(/[-\s]+/g, ' ').trim());
  expect(glossary.filter((entry) => !leaned.has(entry.key) && !linked.has(entry.key) && !named(entry)).map(({ key }) => key)).toEqual([]);
});

test('an unknown term stops the build with a sentence', () => {
  expect(() => term('phlogiston')).toThrow('The text explains the term “phlogiston”, which src/widgets/glossary.ts does not have.');
});

describe.each(glossary)('$name', ({ explains, symbol }) => {
  test('is explained in a few sentences that can be set, with links that lead somewhere', async () => {
    const html = await markdown(explains);
    expect(html).not.toContain('katex-error');
    for (const [, key] of explains.matchAll(/\]\(#([^)]+)\)/g)) expect(glossary.map((entry) => entry.key)).toContain(key);
    expect(explains.length).toBeGreaterThan(30);
    expect(explains.length).toBeLessThan(500);
    if (symbol) expect(() => katex.renderToString(symbol, { strict: 'error', throwOnError: true })).not.toThrow();
  });
});

describe.each(symbols)('the symbol $tex', ({ tex, stands, chapter }) => {
  test('can be set, is explained, and belongs to a written chapter', async () => {
    expect(() => katex.renderToString(tex, { strict: 'error', throwOnError: true })).not.toThrow();
    expect(await markdown(stands)).not.toContain('katex-error');
    expect(chapters.find(({ slug }) => slug === chapter)?.written).toBe(true);
  });
});
