/** The bibliography in print: sorted by author and year, numbered once for the whole book. */
import { references, type Reference } from '../references.ts';

export interface NumberedReference extends Reference {
  readonly number: number;
}

export const bibliography: readonly NumberedReference[] = [...references]
  .sort((a, b) => a.authors.localeCompare(b.authors, 'en') || a.year - b.year || a.title.localeCompare(b.title, 'en'))
  .map((reference, index) => ({ ...reference, number: index + 1 }));

/** Throws where the bibliography does not have it. */
export function reference(key: string): NumberedReference {
  const found = bibliography.find((entry) => entry.key === key);
  if (!found) throw new Error(`The text cites “${key}”, which src/widgets/references.ts does not have.`);
  return found;
}

/** The keys that a chapter's source cites, each once. */
export function citedIn(source: string): string[] {
  return [...new Set([...source.matchAll(/<Cite\s[^>]*?of="([^"]+)"/g)].map((match) => match[1]))];
}
