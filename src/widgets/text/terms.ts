/** The glossary, found by key or by name: "Fourier transform" and "fourier-transform" are the same term. */
import { glossary, type Term } from '../glossary.ts';

export function keyOf(term: string): string {
  return term.trim().toLowerCase().replace(/[\s_]+/g, '-');
}

/** Throws where the glossary does not have it. */
export function term(name: string): Term {
  const key = keyOf(name);
  const found = glossary.find((entry) => entry.key === key) ?? glossary.find((entry) => keyOf(entry.name) === key);
  if (!found) throw new Error(`The text explains the term “${name}”, which src/widgets/glossary.ts does not have.`);
  return found;
}

export const inOrder: readonly Term[] = [...glossary].sort((a, b) => a.name.localeCompare(b.name, 'en', { sensitivity: 'base' }));
