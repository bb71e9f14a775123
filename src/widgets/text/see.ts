/** Where a cross reference leads and how it reads. */
import { getCollection, render } from 'astro:content';
import { chapters } from '../book.ts';

export interface Target {
  /** A plate's folder name. */
  readonly plate?: string;
  /** A chapter's slug; with `section`, the chapter that the section is in (else the one being read). */
  readonly chapter?: string;
  /** A heading's anchor: 'the-slice-theorem'. */
  readonly section?: string;
}

/** `here` is the slug of the chapter being built. Throws on a plate, chapter or section that the book does not have. */
export async function seen({ plate, chapter, section }: Target, here: string | undefined): Promise<{ href: string; text: string }> {
  if (plate !== undefined) return seenPlate(plate);
  if (section !== undefined) return seenSection(chapter ?? here, section, here);
  return seenChapter(chapter);
}

function seenPlate(plate: string): { href: string; text: string } {
  const home = chapters.find(({ plates }) => plates.includes(plate));
  if (!home) throw new Error(`The text refers to the plate “${plate}”, which src/widgets/book.ts does not place in any chapter.`);
  return { href: `/${home.slug}/#plate-${plate}`, text: `Plate\u00a0${home.number}.${home.plates.indexOf(plate) + 1}` };
}

function seenChapter(slug: string | undefined): { href: string; text: string } {
  const chapter = chapters.find((entry) => entry.slug === slug);
  if (!chapter) throw new Error(`The text refers to the chapter “${slug}”, which src/widgets/book.ts does not have.`);
  // A chapter that is still to be written is named, and the contents say so.
  return { href: chapter.written ? `/${chapter.slug}/` : '/#contents-list', text: `Chapter\u00a0${chapter.number}, ${chapter.title}` };
}

async function seenSection(slug: string | undefined, section: string, here: string | undefined): Promise<{ href: string; text: string }> {
  const entry = (await getCollection('chapters')).find(({ data }) => data.slug === slug);
  if (!entry) throw new Error(`The text refers to a section of the chapter “${slug}”, which is not written.`);
  const headings = (await render(entry)).headings.filter(({ depth }) => depth === 2 || depth === 3);
  const heading = headings.find((each) => each.slug === section);
  if (!heading) throw new Error(`The text refers to the section “${section}” of “${slug}”, which has: ${headings.map((each) => each.slug).join(', ')}.`);
  const number = headings.filter(({ depth }) => depth === 2).indexOf(heading) + 1;
  const text = number > 0 ? `Section\u00a0${entry.data.number}.${number}` : `“${heading.text}”`;
  return { href: `${slug === here ? '' : `/${slug}/`}#${section}`, text };
}
