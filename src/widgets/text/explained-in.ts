/** Which chapters lean on which terms, read off their sources. */
import { getCollection } from 'astro:content';
import { term } from './terms.ts';

/** Slug → keys of the terms explained there. */
export async function explainedIn(): Promise<Map<string, Set<string>>> {
  const entries = await getCollection('chapters');
  return new Map(entries.map(({ data, body = '' }) => [data.slug, new Set(termsIn(body).map((name) => term(name).key))]));
}

export function termsIn(source: string): string[] {
  return [...source.matchAll(/<Term\s[^>]*?of="([^"]+)"/g)].map((match) => match[1]);
}
