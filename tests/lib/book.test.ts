/** The book as one thing: its order, and what each chapter has to bring. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { chapters } from '../../src/widgets/book.ts';
import { exercisesOf } from '../../src/widgets/exercise/all.ts';
import { keyOf } from '../../src/widgets/text/terms.ts';
import { attributes, chapterSources, filesUnder, root } from './support/sources.ts';

const ownPage = 'your-own-scan'; // the chapter that is a page of the workshop

test('the chapters are numbered from 0 without a gap', () => {
  expect(chapters.map(({ number }) => number)).toEqual(chapters.map((_, place) => place));
  expect(new Set(chapters.map(({ slug }) => slug)).size).toBe(chapters.length);
});

test('the contents promise exactly the chapters whose text is there', () => {
  const promised = chapters.filter(({ written, slug }) => written && slug !== ownPage).map(({ slug }) => slug);
  expect(chapterSources.map(({ slug }) => slug)).toEqual(promised);
  expect(existsSync(join(root, 'src/pages', ownPage, 'index.astro')), 'the page /your-own-scan/').toBe(true);
});

test('every plate belongs to one chapter and is there', () => {
  const placed = chapters.flatMap(({ plates }) => plates);
  expect(new Set(placed).size, 'no plate twice').toBe(placed.length);
  const built = filesUnder('src/widgets', /^src\/widgets\/[^/]+\/Plate\.astro$/).map((file) => file.split('/')[2]);
  expect(built.sort(), 'folders with a Plate.astro, against src/widgets/book.ts').toEqual([...placed].sort());
});

describe.each(chapterSources)('$file', ({ slug, file, text, frontmatter }) => {
  const chapter = chapters.find((each) => each.slug === slug)!;

  test('carries the number, the title and the slug of the contents', () => {
    expect(frontmatter).toMatchObject({ number: String(chapter.number), title: chapter.title, slug });
    expect(file).toBe(`chapters/${String(chapter.number).padStart(2, '0')}-${slug}.mdx`);
  });

  test('shows exactly its plates, in the order of their numbers', () => {
    const imported = new Map([...text.matchAll(/^import (\w+) from '\.\.\/src\/widgets\/([\w-]+)\/Plate\.astro'/gm)].map(([, name, id]) => [name, id]));
    const body = text.replace(/^import .*$/gm, '');
    const shown = [...body.matchAll(/<(\w+)[\s>/]/g)].map(([, name]) => imported.get(name)).filter((id) => id !== undefined);
    expect(shown).toEqual(chapter.plates);
  });

  test('sets all its exercises, four or more, in the order of their numbers', async () => {
    const exercises = await exercisesOf(slug);
    expect(attributes(text, 'Exercise', 'of')).toEqual(exercises.map(({ id }) => `${slug}/${id}`));
    expect(exercises.length).toBeGreaterThanOrEqual(4);
  });

  test('has objectives, a worked example, a summary and a reading list', () => {
    expect(text).toMatch(/^objectives:\n( +- .+\n)+/m);
    for (const part of ['<Worked ', '<Summary>', '<Reading>']) expect(text, part).toContain(part);
  });

  test('has about as many words as a chapter wants: 1500 to 2500, a fifth either way', () => {
    const prose = text
      .replace(/^---[\s\S]*?\n---/, '').replace(/^import .*$/gm, '')
      .replace(/\$\$[\s\S]*?\$\$/g, ' ').replace(/\$[^$]*\$/g, ' x ')
      .replace(/<[^>]+\/>/g, ' x ').replace(/<[^>]+>/g, ' ');
    const words = prose.split(/\s+/).filter((word) => /[\p{L}\p{N}]/u.test(word)).length;
    expect(words).toBeGreaterThan(1200);
    expect(words).toBeLessThan(3000);
  });

  test('gives no anchor twice', () => {
    const headings = [...text.matchAll(/^#{2,3} (.+)$/gm)].map(([, heading]) => keyOf(heading));
    expect(headings.filter((heading, place) => headings.indexOf(heading) !== place)).toEqual([]);
  });
});
