/** The book's sources, read as text. */
import { existsSync, readFileSync, readdirSync } from 'node:fs';
import { join, resolve, sep } from 'node:path';

export const root = resolve(import.meta.dirname, '../../..');

/** Files below a folder of the project, with slashes and from the project's root: 'src/lib/index.ts'. */
export function filesUnder(folder: string, ending: RegExp): string[] {
  const full = join(root, folder);
  if (!existsSync(full)) return [];
  return readdirSync(full, { recursive: true, encoding: 'utf8' })
    .map((file) => `${folder}/${file.split(sep).join('/')}`)
    .filter((file) => ending.test(file))
    .sort();
}

export function read(file: string): string {
  return readFileSync(join(root, file), 'utf8');
}

export interface ChapterSource {
  readonly slug: string;
  readonly file: string;
  readonly text: string;
  readonly frontmatter: Readonly<Record<string, string>>;
}

/** The chapters that are written, in the book's order. Of the frontmatter, its one-line entries. */
export const chapterSources: readonly ChapterSource[] = filesUnder('chapters', /^chapters\/\d\d-[^/]+\.mdx$/).map((file) => {
  const text = read(file);
  const head = /^---\n([\s\S]*?)\n---/.exec(text)?.[1] ?? '';
  const frontmatter = Object.fromEntries([...head.matchAll(/^(\w+): *(.+)$/gm)].map(([, name, value]) => [name, value.replace(/^['"]|['"]$/g, '')]));
  return { slug: file.replace(/^chapters\/\d\d-|\.mdx$/g, ''), file, text, frontmatter };
});

/** The values of an attribute of a component, in the order in which they stand: attributes(text, 'Cite', 'of'). */
export function attributes(text: string, component: string, name: string): string[] {
  return [...text.matchAll(new RegExp(`<${component}\\s[^>]*?\\b${name}="([^"]+)"`, 'g'))].map((match) => match[1]);
}
