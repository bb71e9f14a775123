/** The built pages as files. */
import { readFileSync, readdirSync } from 'node:fs';
import { join, sep } from 'node:path';
import { inject } from 'vitest';

export interface BuiltPage {
  /** Below the book's root: '' for the front page, 'turning/' for a chapter. */
  readonly path: string;
  readonly html: string;
}

/** Every page of the book except the one for a missing address. */
export function builtPages(): BuiltPage[] {
  const dist = inject('dist');
  return readdirSync(dist, { recursive: true, encoding: 'utf8' })
    .filter((file) => file.endsWith('index.html'))
    .map((file) => ({ path: file.split(sep).join('/').replace(/index\.html$/, ''), html: readFileSync(join(dist, file), 'utf8') }))
    .sort((a, b) => a.path.localeCompare(b.path));
}
