/** The three arrows of the house: who may import from whom. */
import { posix } from 'node:path';
import { expect, test } from 'vitest';
import { filesUnder, read } from './support/sources.ts';

const code = /\.(ts|tsx|mts|mjs|astro|mdx|css)$/;

/** What a file imports, packages by their name, files by their path from the project's root. */
function importsOf(file: string, source = read(file)): string[] {
  const text = source.replace(/^\s*(\/\/|\*|\/\*).*$/gm, '');
  const named = [...text.matchAll(/(?:^|[\s;{(])(?:import|export)\s(?:[^'"();]*?\sfrom\s*)?['"]([^'"\n]+)['"]/g)];
  const called = [...text.matchAll(/\bimport\(\s*(?:\/\*.*?\*\/\s*)?['"]([^'"\n]+)['"]/g)];
  const addressed = [...text.matchAll(/new URL\(\s*['"](\.[^'"\n]+)['"],\s*import\.meta\.url/g)];
  return [...named, ...called, ...addressed].map(([, target]) => (target.startsWith('.') ? posix.normalize(posix.join(posix.dirname(file), target.replace(/\?.*$/, ''))) : target));
}

function broken(files: readonly string[], allowed: (target: string) => boolean): string[] {
  return files.flatMap((file) => importsOf(file).filter((target) => !allowed(target)).map((target) => `${file} imports ${target}`));
}

const isFile = (target: string) => /^(src|chapters|tests|datasets|benchmarks|scripts)\//.test(target);

test('the library imports nothing from the rest of the house but tables of data', () => {
  const files = filesUnder('src/lib', code);
  expect(files.length).toBeGreaterThan(20);
  expect(broken(files, (target) => target.startsWith('src/lib/') || /^datasets\/.*\.json$/.test(target) || !isFile(target))).toEqual([]);
});

test('the library knows no page: no DOM, no site packages, no node modules', () => {
  const files = filesUnder('src/lib', code);
  expect(broken(files, (target) => !/^(preact|astro|@astrojs|@observablehq|katex|node:)/.test(target))).toEqual([]);
  const dom = files.filter((file) => /\bdocument\.\w|\bHTML\w*Element\b|\blocalStorage\b/.test(read(file).replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, '')));
  expect(dom, 'files that reach for the page').toEqual([]);
});

test('chapters import from src/widgets and from nowhere else', () => {
  const files = filesUnder('chapters', code);
  expect(files.length).toBeGreaterThan(0);
  expect(broken(files, (target) => target.startsWith('src/widgets/') || (target.startsWith('chapters/') && !target.endsWith('.mdx')))).toEqual([]);
});

test('widgets, workshop, pages and layouts call the library by its front door', () => {
  const files = ['src/widgets', 'src/workshop', 'src/pages', 'src/layouts'].flatMap((folder) => filesUnder(folder, code));
  expect(files.length).toBeGreaterThan(20);
  expect(broken(files, (target) => !target.startsWith('src/lib/') || target === 'src/lib/index.ts')).toEqual([]);
});

test('widgets do not know the workshop, the pages or the chapters’ text', () => {
  const files = filesUnder('src/widgets', code);
  expect(broken(files, (target) => !/^(src\/(workshop|pages)\/|chapters\/.*\.mdx$)/.test(target))).toEqual([]);
});

test('the imports of a made-up file are found in all their forms', () => {
  // The tests above are only worth something if this reader of imports sees what a file imports.
  const source = `
    import 'preact';
    import { fbp } from '../lib/index.ts';
    import type { Image,
      Grid } from "../lib/types.ts";
    export * from './book.ts';
    const katex = await import('katex');
    new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' });
    // import nothing from '../lib/old.ts'
  `;
  expect(importsOf('src/widgets/sample.ts', source).sort()).toEqual(['katex', 'preact', 'src/lib/index.ts', 'src/lib/types.ts', 'src/widgets/book.ts', 'src/widgets/worker.ts']);
});
