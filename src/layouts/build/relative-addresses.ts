/** Turns the addresses in built pages and style sheets from "/shadows/" into "../shadows/", so that the book works in any folder of any host. */
import { readFile, readdir, writeFile } from 'node:fs/promises';
import { join, relative, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { AstroIntegration } from 'astro';

const attributes = ['href', 'src', 'action', 'poster', 'component-url', 'renderer-url', 'before-hydration-url', 'data-address'];
const inPages = new RegExp(`(\\s(?:${attributes.join('|')})=["'])/(?!/)`, 'g');
const inStyles = /(url\(["']?)\/(?!\/)/g;

export function relativeAddresses(): AstroIntegration {
  return {
    name: 'relative-addresses',
    hooks: {
      'astro:build:done': async ({ dir }) => {
        const root = fileURLToPath(dir);
        for (const file of await readdir(root, { recursive: true })) {
          // The page for a missing address is served at any depth, so its own addresses stay as they are.
          const pattern = file.endsWith('.html') && file !== '404.html' ? inPages : file.endsWith('.css') ? inStyles : undefined;
          if (!pattern) continue;
          const path = join(root, file);
          const up = '../'.repeat(relative(root, path).split(sep).length - 1) || './';
          await writeFile(path, (await readFile(path, 'utf8')).replace(pattern, `$1${up}`));
        }
      },
    },
  };
}
